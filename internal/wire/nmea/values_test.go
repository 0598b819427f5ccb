package nmea

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// An angle is the double nearest to what is written: compared with the quotient of whole
// numbers without bounds, rounded once.
func TestAngleIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		deg := rapid.IntRange(0, 179).Draw(t, "degrees")
		minutes := rapid.IntRange(0, 59).Draw(t, "minutes")
		decimals := rapid.StringMatching("[0-9]{0,11}").Draw(t, "decimals")
		text := fmt.Sprintf("%03d%02d", deg, minutes)
		if decimals != "" {
			text += "." + decimals
		}
		inMinutes, _ := new(big.Rat).SetString(fmt.Sprintf("%d.%s", deg*60+minutes, "0"+decimals))
		if decimals != "" {
			inMinutes, _ = new(big.Rat).SetString(fmt.Sprintf("%d.%s", deg*60+minutes, decimals))
		}
		want, _ := new(big.Rat).Quo(inMinutes, big.NewRat(60, 1)).Float64()

		got, wrong := readAngle(text, 'E', 5)
		if wrong != "" || got.Deg != want || got.Text != text {
			t.Fatalf("%s: %v, %s; want %v", text, got.Deg, wrong, want)
		}
		var s Sentence
		if err := Scan(Format("GPGLL", "0000.00", "N", text, "W", "000000", "A"), &s); err != nil {
			t.Fatal(err)
		}
		if r, err := DecodeGLL(&s); err != nil || r.Lon.Or(Angle{}).Deg != -want {
			t.Fatalf("%s: decoded %v, %v; want %v", text, r.Lon, err, -want)
		}
	})
}

// A number is the double nearest to what is written, as strconv reads it.
func TestNumberIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`-?[0-9]{1,6}(\.[0-9]{0,7})?`).Draw(t, "number")
		want, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		var s Sentence
		if err := Scan(Format("GPGGA", "", "", "", "", "", "", "", "", text, "M", "", "", "", ""), &s); err != nil {
			t.Fatal(err)
		}
		if r, err := DecodeGGA(&s); err != nil || r.AltitudeM.Or(math.NaN()) != want {
			t.Fatalf("%s: %v, %v", text, r.AltitudeM, err)
		}
	})
}

// The angles a position is made of come back to within half a step of their last decimal.
func TestMadeAngles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		deg := rapid.Float64Range(-180, 180).Draw(t, "degrees")
		places := rapid.IntRange(0, 8).Draw(t, "decimals")
		a := Longitude(deg, places)
		if step := math.Pow10(-places) / 60; math.Abs(a.Deg-deg) > step/2+1e-12 {
			t.Fatalf("%v with %d decimals is %+v", deg, places, a)
		}
		if whole, fraction, _ := strings.Cut(a.Text, "."); len(whole) != 5 || len(fraction) != places {
			t.Fatalf("%v with %d decimals is %+v", deg, places, a)
		}
	})
	for _, test := range []struct {
		deg  float64
		want Angle
	}{
		{48.1173, Angle{48.1173, "4807.0380", 'N'}},
		{-0.5, Angle{-0.5, "0030.0000", 'S'}},
		{9.9999999999, Angle{10, "1000.0000", 'N'}}, // never 60 minutes
	} {
		if got := Latitude(test.deg, 4); got != test.want {
			t.Errorf("%v: %+v, want %+v", test.deg, got, test.want)
		}
	}
}

func TestClock(t *testing.T) {
	day := 24 * time.Hour
	for text, want := range map[string]time.Duration{
		"000000":           0,
		"235959.999999999": day - 1,
		"235960":           day, // a leap second
		"235960.50":        day + 500*time.Millisecond,
		"101530.00":        10*time.Hour + 15*time.Minute + 30*time.Second,
		"172809.456":       17*time.Hour + 28*time.Minute + 9*time.Second + 456*time.Millisecond,
	} {
		got, wrong := readClock(text)
		if got != want || wrong != "" {
			t.Errorf("%s: %v, %s", text, got, wrong)
		}
		if again, _ := readClock(writeClock(got)); again != got {
			t.Errorf("%s is written %s", text, writeClock(got))
		}
	}
	for _, text := range []string{"240000", "236000", "225960", "235961", "12351", "1235199", "123519.", "12351a", "123519.0000000001", "-12351", ""} {
		if got, wrong := readClock(text); wrong == "" {
			t.Errorf("%q was read as %v", text, got)
		}
	}
}

// Which days exist is the same as in the calendar of the time package.
func TestDatesExist(t *testing.T) {
	for year := range 200 {
		for month := range 14 {
			for day := range 33 {
				d := NewDate(1900+year, month, day)
				real := time.Date(1900+year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
				if want := real.Day() == day && int(real.Month()) == month; d.exists() != want {
					t.Fatalf("%v: %v", d, d.exists())
				}
			}
		}
	}
}

// Two-digit years: GPS began in 1980, so no receiver means an earlier one.
func TestCentury(t *testing.T) {
	for year, want := range map[int]int16{80: 1980, 99: 1999, 0: 2000, 26: 2026, 79: 2079} {
		if got := shortDate(1, 1, year).Year; got != want {
			t.Errorf("%02d: %d, want %d", year, got, want)
		}
	}
}

func TestDateAt(t *testing.T) {
	got := Date{2016, 12, 31}.At(24*time.Hour + time.Second/2) // the last leap second so far
	if want := time.Date(2017, 1, 1, 0, 0, 0, 5e8, time.UTC); !got.Equal(want) {
		t.Errorf("%v, want %v", got, want)
	}
}
