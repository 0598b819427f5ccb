package epoch

import (
	"fmt"
	"strings"
	"testing"

	"firstfix/internal/wire/nmea"
)

// skies tells the sky of each epoch: "7:41 13:-" or "nothing", with "?" when it is not known.
func skies(list []*Epoch) string {
	var all []string
	for _, e := range list {
		var one []string
		for _, v := range e.Satellites {
			level := "-"
			if cn0, ok := v.CN0DBHz.Get(); ok {
				level = fmt.Sprint(cn0)
			}
			one = append(one, fmt.Sprintf("%s%d:%s", v.System.String()[:2], v.ID, level))
		}
		if len(one) == 0 {
			one = append(one, "nothing")
		}
		if !e.SkyKnown {
			one = append(one, "?")
		}
		all = append(all, strings.Join(one, " "))
	}
	return strings.Join(all, " | ")
}

func TestSky(t *testing.T) {
	rmc := func(second int) string {
		return fmt.Sprintf("GPRMC,1015%02d,A,5142.613,N,00018.442,W,0.0,,040326,,,A", second)
	}
	tests := []struct {
		name  string
		lines []string
		want  string
	}{
		{"none said", []string{rmc(30)}, "nothing ?"},
		{"hears nothing, old form", []string{rmc(30), "GPGSV,1,1,00"}, "nothing"},
		{"hears nothing, form 4.1", []string{rmc(30), "GPGSV,1,1,00,1"}, "nothing"},
		{"the better of two signals", []string{rmc(30), "GPGSV,1,1,03,07,31,210,41,13,62,110,,20,,,30,1", "GPGSV,1,1,03,07,31,210,35,13,62,110,28,20,05,033,33,8"},
			"GP7:41 GP13:28 GP20:33"},
		{"the same number in two systems", []string{rmc(30), "GPGSV,1,1,01,07,31,210,41,1", "GAGSV,1,1,01,07,31,210,38,7"}, "GP7:41 Ga7:38"},
		{"kept for epochs without GSV", []string{rmc(30), "GPGSV,1,1,01,07,31,210,41", "+1s", rmc(31), "+1s", rmc(32)}, "GP7:41 | GP7:41 | GP7:41"},
		{"not longer than 10 s", []string{rmc(30), "GPGSV,1,1,01,07,31,210,41", "+9.9s", rmc(40), "+1s", rmc(41)}, "GP7:41 | GP7:41 | nothing ?"},
		{"nor by the receiver's clock", []string{rmc(30), "GPGSV,1,1,01,07,31,210,41", rmc(40), rmc(41)}, "GP7:41 | GP7:41 | nothing ?"},
		{"a set spread over epochs", []string{rmc(30), "GPGSV,2,1,05,01,10,100,30,02,10,100,30,03,10,100,30,04,10,100,30", rmc(31), "GPGSV,2,2,05,05,10,100,30", rmc(32), "GPGSV,2,1,05,01,10,100,20,02,10,100,20,03,10,100,20,04,10,100,20", rmc(33)},
			"GP1:30 GP2:30 GP3:30 GP4:30 ? | GP1:30 GP2:30 GP3:30 GP4:30 GP5:30 | GP1:30 GP2:30 GP3:30 GP4:30 GP5:30 | GP1:30 GP2:30 GP3:30 GP4:30 GP5:30"},
		{"a sentence is missing", []string{rmc(30), "GPGSV,3,1,09,01,10,100,30", "GPGSV,3,3,09,09,10,100,30", rmc(31)}, "GP1:30 ? | nothing ?"},
		{"a system falls silent", []string{rmc(30), "GPGSV,1,1,01,07,31,210,41", "GLGSV,1,1,01,71,31,210,41", rmc(31), "GPGSV,1,1,01,07,31,210,40", rmc(32), "GPGSV,1,1,01,07,31,210,39"},
			"GP7:41 GL71:41 | GP7:40 | GP7:39"},
		{"GLONASS and SBAS under GP, old form", []string{rmc(30), "GPGSV,1,1,03,07,31,210,41,33,31,210,38,71,31,210,35"}, "GP7:41 SB33:38 GL71:35"},
	}
	for _, test := range tests {
		if got := skies(epochs(t, test.lines...)); got != test.want {
			t.Errorf("%s:\n got %s\nwant %s", test.name, got, test.want)
		}
	}
}

// A GSA names a satellite by its system: number 7 of GPS is not number 7 of Galileo.
func TestUsed(t *testing.T) {
	used := func(lines ...string) string {
		var list []string
		for _, v := range epochs(t, lines...)[0].Satellites {
			if v.Used {
				list = append(list, fmt.Sprintf("%s %d", v.System, v.ID))
			}
		}
		return strings.Join(list, ", ")
	}
	view := []string{"GPGSV,1,1,02,07,31,210,41,13,31,210,41,1", "GLGSV,1,1,02,71,31,210,41,80,31,210,41,1", "GAGSV,1,1,02,07,31,210,41,13,31,210,41,7"}
	for _, test := range []struct {
		name string
		gsa  []string
		want string
	}{
		{"form 4.1", []string{"GNGSA,A,3,07,,,,,,,,,,,,2,1,1,1", "GNGSA,A,3,71,,,,,,,,,,,,2,1,1,2", "GNGSA,A,3,13,,,,,,,,,,,,2,1,1,3"}, "GPS 7, GLONASS 71, Galileo 13"},
		{"by talker", []string{"GPGSA,A,3,07,,,,,,,,,,,,2,1,1", "GLGSA,A,3,71,,,,,,,,,,,,2,1,1", "GAGSA,A,3,13,,,,,,,,,,,,2,1,1"}, "GPS 7, GLONASS 71, Galileo 13"},
		{"by number alone", []string{"GNGSA,A,3,07,,,,,,,,,,,,2,1,1", "GNGSA,A,3,71,,,,,,,,,,,,2,1,1"}, "GPS 7, GLONASS 71"},
		{"none", nil, ""},
	} {
		if got := used(append(test.gsa, view...)...); got != test.want {
			t.Errorf("%s: %q, want %q", test.name, got, test.want)
		}
		if got := used(append(append([]string{}, view...), test.gsa...)...); got != test.want {
			t.Errorf("%s, after GSV: %q, want %q", test.name, got, test.want)
		}
	}
}

// Whatever is said, a bounded amount is held.
func TestSkyIsBounded(t *testing.T) {
	f := newFeeder(t)
	for i := range 1000 {
		talker := string(rune('A'+i%26)) + string(rune('A'+i/26%26))
		for n := range 99 {
			f.hear(fmt.Sprintf("%sGSV,99,%d,99,01,10,100,30,02,10,100,30,03,10,100,30,04,10,100,30,%X", talker, n+1, i%16))
		}
		f.out = f.out[:0]
	}
	if n := len(f.a.sky.sets); n > maxSets {
		t.Errorf("%d sets", n)
	}
	for _, s := range f.a.sky.sets {
		if len(s.whole) > maxSetSatellites || len(s.coming) > maxSetSatellites {
			t.Errorf("%d and %d satellites", len(s.whole), len(s.coming))
		}
	}
	if n := len(f.end()); n > 1 {
		t.Errorf("%d epochs at the end", n)
	}
}

// TestSystemNames: every system that wire/nmea can name has its number here.
func TestSystemNames(t *testing.T) {
	for _, talker := range nmea.Talkers {
		for id := range 16 {
			for _, satellite := range []int{1, 40, 70, 130, 200, 300, 410, 500} {
				name := nmea.SystemOf(talker.ID, id, satellite)
				if got := systemOf(name).String(); got != name {
					t.Errorf("%s is called %q", name, got)
				}
			}
		}
	}
}

// TestEpochsShareTheirSky: ten epochs a second and one GSV a second have one view,
// until something new is heard or other satellites are used.
func TestEpochsShareTheirSky(t *testing.T) {
	a := New()
	var done []*Epoch
	add := func(text string) {
		var s nmea.Sentence
		if err := nmea.Scan(text, &s); err != nil {
			t.Fatal(err)
		}
		done = a.Add(Source{Record: 1, Text: text}, &s, done)
	}
	add("$GPGGA,101530.00,,,,,0,00,,,,,,,")
	add("$GPGSV,1,1,02,07,31,210,19,13,28,077,18")
	add("$GPGGA,101530.10,,,,,0,00,,,,,,,")
	add("$GPGGA,101530.20,,,,,0,00,,,,,,,")
	add("$GPGSA,A,1,13,,,,,,,,,,,,,,")
	add("$GPGGA,101530.30,,,,,0,00,,,,,,,")
	done = a.End(done)
	if len(done) != 4 {
		t.Fatalf("%d epochs", len(done))
	}
	if &done[0].Satellites[0] != &done[1].Satellites[0] {
		t.Error("the second epoch has a sky of its own")
	}
	if done[1].Satellites[1].Used || !done[2].Satellites[1].Used || done[3].Satellites[1].Used {
		t.Errorf("used: %v %v %v; want the third alone", done[1].Satellites, done[2].Satellites, done[3].Satellites)
	}
}
