package geo

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestMeridianOnTheGrid: on the central meridian the northing is the length of
// the meridian times 0.9996, which geodesics know in another way.
func TestMeridianOnTheGrid(t *testing.T) {
	for lat := -80.0; lat <= 84; lat += 4 {
		u, ok := ToUTM(Point{lat, 27})
		distM := DistanceM(Point{0, 27}, Point{lat, 27})
		want := utmScale * distM
		if lat < 0 {
			want = falseNorthingM - want
		}
		if !ok || math.Abs(u.NorthingM-want) > 1e-6 || math.Abs(u.EastingM-falseEastingM) > 1e-9 {
			t.Errorf("%v: %.7f, want %.7f", lat, u.NorthingM, want)
		}
	}
}

func TestGridThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Point{rapid.Float64Range(-80, 84).Draw(t, "lat"), rapid.Float64Range(-180, 180).Draw(t, "lon")}
		u, ok := ToUTM(p)
		if off := DistanceM(p, u.Point()); !ok || off > 2e-6 {
			t.Fatalf("%v is %+v and comes back %.3g m away", p, u, off)
		}
		r, err := Parse(u.String())
		if off := DistanceM(p, r.Point); err != nil || off > 1.5 || r.Spelling != GridUTM {
			t.Fatalf("%v as %q: %v, %.2f m away, %v", p, u, r, off, err)
		}
		digits := rapid.IntRange(1, 5).Draw(t, "digits")
		text, _ := FormatMGRS(p, digits)
		r, err = Parse(text)
		half := math.Pow10(5-digits) * math.Sqrt2 / 2 * 1.001
		if off := DistanceM(p, r.Point); err != nil || off > half || r.Spelling != GridMGRS || r.Digits != digits {
			t.Fatalf("%v as %q: %+v, %.2f m away, %v", p, text, r, off, err)
		}
	})
}

// TestZones: the rule and its exceptions (NGA.SIG.0012, from memory).
func TestZones(t *testing.T) {
	for _, row := range []struct {
		p    Point
		want string
	}{
		{Point{51.71, -0.307}, "30U"}, {Point{51.71, 0.307}, "31U"}, {Point{0, -180}, "1N"}, {Point{0, 180}, "1N"},
		{Point{-0.001, 179.9}, "60M"}, {Point{60, 3}, "32V"}, {Point{60, 2.9}, "31V"}, {Point{64, 3}, "31W"},
		{Point{78, 8.9}, "31X"}, {Point{78, 9}, "33X"}, {Point{78, 21}, "35X"}, {Point{78, 33}, "37X"}, {Point{84, 42}, "38X"},
		{Point{-80, 0}, "31C"},
	} {
		u, ok := ToUTM(row.p)
		if got := strings.Fields(u.String())[0]; !ok || got != row.want {
			t.Errorf("%v: %s, want %s", row.p, got, row.want)
		}
	}
	for _, p := range []Point{{84.1, 0}, {-80.1, 0}, {math.NaN(), 0}} {
		if _, ok := ToUTM(p); ok {
			t.Errorf("%v is on the grid", p)
		}
		if _, ok := FormatMGRS(p, 5); ok {
			t.Errorf("%v has a square", p)
		}
	}
}

func TestGridSpellings(t *testing.T) {
	quellmoorUTM, _ := ToUTM(quellmoor)
	square, _ := FormatMGRS(quellmoor, 5)
	for _, text := range []string{
		quellmoorUTM.String(), strings.ToLower(quellmoorUTM.String()), strings.Replace(quellmoorUTM.String(), "30U", "30 U", 1),
		square, square[:3] + " " + square[3:5] + " " + square[5:10] + " " + square[10:], strings.ToLower(square),
	} {
		r, err := Parse(text)
		if err != nil || DistanceM(r.Point, quellmoor) > 1.5 {
			t.Errorf("%q: %v %v", text, r.Point, err)
		}
	}
	for _, row := range []struct{ text, want string }{
		{"61U 600000 5700000", "zone"}, {"0UXC1234567890", "zone"}, {"30UAC1234567890", "column"},
		{"30U 600000 1000000", "zone and band"}, {"30UXC123", "as many digits"},
	} {
		if r, err := Parse(row.text); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%q: %+v %v", row.text, r, err)
		}
	}
}
