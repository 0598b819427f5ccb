package track

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"firstfix/internal/earth/fix"
	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/when"

	"pgregory.net/rapid"
)

var (
	yard  = geo.Point{LatDeg: 51.7102, LonDeg: -0.3074}
	noon  = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)
	place = func(eastM, northM float64) geo.Point {
		p, _ := geo.FromENU(yard, 0, eastM, northM, 0)
		return p
	}
)

// at is a good fix so many seconds after noon, so far east of the yard.
func at(seconds, eastM float64) Sighting {
	return Sighting{Fix: fix.Fix{Valid: true, Point: maybe.Known(place(eastM, 0)), UTC: maybe.Known(noon.Add(time.Duration(seconds * 1e9))), HDOP: maybe.Known(0.9)},
		From: Origin{File: "t", Line: int(seconds) + 1}}
}

func (s Sighting) with(change func(s *Sighting)) Sighting { change(&s); return s }

// sift runs sightings through a sieve and spells the outcome: "." kept, "!" kept after a
// jump that was believed, else the first letters of the reason.
func sift(t *testing.T, list []Sighting) (string, []Judged) {
	t.Helper()
	v := NewSieve(Usual)
	var out []Judged
	for i := range list {
		out = v.Add(&list[i], out)
	}
	out = v.End(out)
	if len(out) != len(list) {
		t.Fatalf("%d sightings went in, %d came out", len(list), len(out))
	}
	var words []string
	for i := range out {
		if out[i].From != list[i].From {
			t.Fatalf("the order changed at %d: %v", i, out[i].From)
		}
		switch {
		case out[i].Moved:
			words = append(words, "!")
		case out[i].Kept():
			words = append(words, ".")
		default:
			words = append(words, out[i].Why.Name)
			if out[i].Why.Text == "" || out[i].Why.Source == "" {
				t.Errorf("%d: %+v without words or without a source", i, out[i].Why)
			}
		}
	}
	return strings.Join(words, " "), out
}

// The expectations are written by hand from what a person would say of each story.
func TestSieve(t *testing.T) {
	steady := func(from, to int) (out []Sighting) { // 10 m/s
		for i := from; i < to; i++ {
			out = append(out, at(float64(i), float64(i)*10))
		}
		return out
	}
	join := func(parts ...[]Sighting) (out []Sighting) {
		for _, p := range parts {
			out = append(out, p...)
		}
		return out
	}
	one := func(s Sighting) []Sighting { return []Sighting{s} }
	moved := func(seconds, eastM float64) Sighting { return at(seconds, eastM) }
	tests := []struct {
		name string
		list []Sighting
		want string
	}{
		{"steady", steady(0, 6), ". . . . . ."},
		{"status V", join(steady(0, 3), one(at(3, 30).with(func(s *Sighting) { s.Valid, s.Void = false, "status V" })), steady(4, 6)), ". . . void . ."},
		{"no position", join(steady(0, 3), one(at(3, 30).with(func(s *Sighting) { s.Point = maybe.Value[geo.Point]{} })), steady(4, 5)), ". . . void ."},
		{"GSA without a fix", join(steady(0, 3), one(at(3, 30).with(func(s *Sighting) { s.Dimensions = maybe.Known(1) })), steady(4, 5)), ". . . void ."},
		{"zeros", join(steady(0, 3), one(at(3, 0).with(func(s *Sighting) { s.Point = maybe.Known(geo.Point{}) })), steady(4, 5)), ". . . impossible ."},
		{"latitude 91", join(one(at(0, 0).with(func(s *Sighting) { s.Point = maybe.Known(geo.Point{LatDeg: 91}) })), steady(1, 4)), "impossible . . ."},
		{"damaged", join(steady(0, 3), one(at(3, 30).with(func(s *Sighting) { s.Guess = "perhaps" })), steady(4, 5)), ". . . damaged ."},
		{"one outlier", join(steady(0, 4), one(moved(4, 900)), steady(5, 8)), ". . . . jump . . ."},
		{"four outliers that agree", join(steady(0, 4), one(moved(4, 900)), one(moved(5, 905)), one(moved(6, 910)), one(moved(7, 912)), steady(8, 10)), ". . . . jump jump jump jump . ."},
		{"five that agree are believed", join(steady(0, 4), one(moved(4, 900)), one(moved(5, 910)), one(moved(6, 920)), one(moved(7, 930)), one(moved(8, 940)), one(moved(9, 950))), ". . . . ! . . . . ."},
		{"outliers that do not agree", join(steady(0, 4), one(moved(4, 900)), one(moved(5, -900)), one(moved(6, 2000)), one(moved(7, 4000)), one(moved(8, 9000)), steady(9, 11)), ". . . . jump jump jump jump jump . ."},
		{"the first is wrong", join(one(moved(0, 5000)), steady(1, 6)), "contradiction . . . . ."},
		{"the first two are wrong", join(one(moved(0, 5000)), one(moved(1, -5000)), steady(2, 6)), "contradiction jump . . . ."},
		{"two that contradict, and no more", join(one(moved(0, 0)), one(moved(1, 5000))), "contradiction jump"},
		{"two that agree, and no more", steady(0, 2), ". ."},
		{"one alone", steady(0, 1), "."},
		{"the same fix twice", join(steady(0, 3), steady(2, 5)), ". . . duplicate . ."},
		{"two sources, one behind the other", []Sighting{at(0, 0), at(1, 10), at(2, 20), at(1, 10), at(2, 20), at(3, 30)}, ". . . duplicate duplicate ."},
		{"same time, beside it", []Sighting{at(0, 0), at(1, 10), at(2, 20), at(2, 24), at(3, 30)}, ". . . duplicate ."},
		{"same time, far away", []Sighting{at(0, 0), at(1, 10), at(2, 20), at(2, 2400), at(3, 30)}, ". . . contradiction ."},
		{"backwards", []Sighting{at(10, 0), at(11, 10), at(12, 20), at(5, 0), at(13, 30)}, ". . . backwards ."},
		{"the clock is set back", join(steady(100, 104), []Sighting{at(50, 1040), at(51, 1050), at(52, 1060), at(53, 1070), at(54, 1080), at(55, 1090)}), ". . . . ! . . . . ."},
		{"an hour later anything is possible", join(steady(0, 3), []Sighting{at(3600, 60e3), at(3601, 60010), at(3602, 60020)}), ". . . . . ."},
		{"waiting ends with the file", join(steady(0, 4), one(moved(4, 9000)), one(moved(5, 9010))), ". . . . jump jump"},
	}
	for _, test := range tests {
		if got, all := sift(t, test.list); got != test.want {
			t.Errorf("%s:\n got %s\nwant %s", test.name, got, test.want)
			for _, j := range all {
				t.Logf("  %s: %s", j.Why.Name, j.Why.Text)
			}
		}
	}
}

// A speed that the receiver tells bounds the way more closely: from 2 m/s at both ends and
// with 8 m/s² nobody comes 300 m in 4 s (4 × 2 + 8 × 16/4 = 40 m), though 70 m/s would do.
func TestSieveSpeed(t *testing.T) {
	slow := func(seconds, eastM float64) Sighting {
		return at(seconds, eastM).with(func(s *Sighting) { s.SpeedMPS = maybe.Known(2.0) })
	}
	list := []Sighting{slow(0, 0), slow(4, 8), slow(8, 16), slow(12, 316), slow(16, 32)}
	if got, _ := sift(t, list); got != ". . . jump ." {
		t.Error(got)
	}
	for i := range list {
		list[i].SpeedMPS = maybe.Value[float64]{}
	}
	if got, _ := sift(t, list); got != ". . . . ." {
		t.Error("without speeds 70 m/s are possible:", got)
	}
	// An aeroplane says 230 m/s and goes 230 m/s: it is believed.
	var plane []Sighting
	for i := range 8 {
		plane = append(plane, at(float64(i), float64(i)*230).with(func(s *Sighting) { s.SpeedMPS = maybe.Known(230.0) }))
	}
	if got, _ := sift(t, plane); got != ". . . . . . . ." {
		t.Error(got)
	}
}

// Numbers that stand still while the speed says 20 m/s: after 100 m they are an old fix.
func TestSieveFrozen(t *testing.T) {
	var list []Sighting
	for i := range 12 {
		list = append(list, at(float64(i), 0).with(func(s *Sighting) { s.SpeedMPS = maybe.Known(20.0) }))
	}
	if got, _ := sift(t, list); got != ". . . . . . stale stale stale stale stale stale" {
		t.Error(got)
	}
	for i := range list {
		list[i].SpeedMPS = maybe.Known(0.1)
	}
	if got, _ := sift(t, list); got != strings.TrimSpace(strings.Repeat(". ", 12)) {
		t.Error("a receiver that stands still:", got)
	}
	for i := range list { // two decimals of a degree: steps of 1.1 km
		list[i].SpeedMPS, list[i].StepDeg = maybe.Known(20.0), 0.01
	}
	if got, _ := sift(t, list); got != strings.TrimSpace(strings.Repeat(". ", 12)) {
		t.Error("coarse numbers change seldom:", got)
	}
}

// The same fix heard again 40 s later is an old one told as new; within 2 s it is a duplicate.
func TestSieveStale(t *testing.T) {
	heard := func(at Sighting, seconds int) Sighting {
		return at.with(func(s *Sighting) { s.Timed, s.At = true, when.Instant(seconds)*when.Second })
	}
	got, _ := sift(t, []Sighting{heard(at(0, 0), 0), heard(at(1, 10), 1), heard(at(2, 20), 2), heard(at(2, 20), 3), heard(at(2, 20), 42), heard(at(43, 30), 43)})
	if got != ". . . duplicate stale ." {
		t.Error(got)
	}
}

func TestSieveRetold(t *testing.T) {
	told := at(2.5, 25).with(func(s *Sighting) { s.Told, s.UTC = true, maybe.Value[time.Time]{} })
	if got, _ := sift(t, []Sighting{at(0, 0), at(1, 10), at(2, 20), told, at(3, 30)}); got != ". . . retold ." {
		t.Error(got)
	}
	if got, _ := sift(t, []Sighting{told, told, told}); got != ". . ." {
		t.Error("texts alone, without times:", got)
	}
}

// daytime leaves only the time of day.
func daytime(s Sighting) Sighting {
	utc, _ := s.UTC.Get()
	s.TimeOfDay, s.UTC = maybe.Known(timeOfDay(utc)), maybe.Value[time.Time]{}
	return s
}

// Twenty-five hours without a date, one sighting a minute: midnight is passed, and the time
// of day of the end is an hour after that of the beginning, a day later.
func TestTwentyFiveHours(t *testing.T) {
	var list []Sighting
	for i := 0; i <= 25*60; i++ {
		list = append(list, daytime(at(float64(i*60), float64(i)*20)))
	}
	_, out := sift(t, list)
	first, last := out[0].Moment, out[len(out)-1].Moment
	if got := last.Sub(first); got != 25*time.Hour {
		t.Errorf("the log is %s long, want 25 h", got)
	}
	for i := range out {
		if !out[i].Kept() {
			t.Fatalf("%d: %+v", i, out[i].Why)
		}
	}
	// With the date told now and then, or from the middle on, it is the same.
	for i := range list {
		if i%7 == 3 || i > 700 {
			list[i].UTC = maybe.Known(noon.Add(time.Duration(i) * time.Minute))
		}
	}
	_, out = sift(t, list)
	if got := out[len(out)-1].Moment.Sub(out[0].Moment); got != 25*time.Hour {
		t.Errorf("with some dates the log is %s long, want 25 h", got)
	}
}

// A night without sentences: the recording's clock tells that a day passed.
func TestDayWithoutSentences(t *testing.T) {
	heard := func(hours float64) Sighting {
		return daytime(at(hours*3600, 0)).with(func(s *Sighting) { s.Timed, s.At = true, when.Instant(hours*3600)*when.Second })
	}
	_, out := sift(t, []Sighting{heard(0), heard(1), heard(50)})
	if got := out[2].Moment.Sub(out[0].Moment); got != 50*time.Hour {
		t.Errorf("%s, want 50 h", got)
	}
}

// Void sightings carry the days through the night.
func TestVoidNight(t *testing.T) {
	var list []Sighting
	for i := 0; i <= 30*6; i++ { // every ten minutes for thirty hours
		s := daytime(at(float64(i*600), 0))
		if i > 5 && i < 175 {
			s.Valid, s.Void = false, "status V"
		}
		list = append(list, s)
	}
	_, out := sift(t, list)
	if got := out[len(out)-1].Moment.Sub(out[0].Moment); got != 30*time.Hour {
		t.Errorf("%s, want 30 h", got)
	}
}

// Out of the sieve comes what went in, in order, each with a verdict, whatever goes in; and
// two kept sightings never contradict the greatest speed.
func TestSieveAlways(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var list []Sighting
		n := rapid.IntRange(0, 120).Draw(r, "n")
		seconds := 0.0
		for i := range n {
			seconds += rapid.SampledFrom([]float64{0, 1, 1, 1, 1, -3, 60, 7200}).Draw(r, "step")
			s := at(seconds, rapid.SampledFrom([]float64{0, 10, 20, 3000, 5000, 1e6}).Draw(r, "east"))
			switch rapid.IntRange(0, 12).Draw(r, "odd") {
			case 0:
				s.Valid, s.Void = false, "status V"
			case 1:
				s = daytime(s)
			case 2:
				s.UTC = maybe.Value[time.Time]{}
			case 3:
				s.SpeedMPS = maybe.Known(rapid.Float64Range(0, 40).Draw(r, "speed"))
			case 4:
				s.AddRounds(1)
			case 5:
				s.Told = true
			}
			s.From.Line = i
			list = append(list, s)
		}
		v := NewSieve(Usual)
		var out []Judged
		for i := range list {
			out = v.Add(&list[i], out)
			if behind := i + 1 - len(out); behind > maxWaiting {
				r.Fatalf("%d wait", behind)
			}
		}
		out = v.End(out)
		if len(out) != n {
			r.Fatalf("%d went in, %d came out", n, len(out))
		}
		var last *Judged
		for i := range out {
			j := &out[i]
			if j.From.Line != i {
				r.Fatalf("number %d came out in place %d", j.From.Line, i)
			}
			if !j.Kept() {
				continue
			}
			if last != nil && j.Moment.Known && last.Moment.Known && !j.Moved {
				span := j.Moment.Sub(last.Moment)
				if span < 0 {
					r.Fatalf("time goes back by %s between two that are kept", -span)
				}
				a, _ := last.Point.Get()
				b, _ := j.Point.Get()
				if way := geo.DistanceM(a, b); way > 70*span.Seconds()+unknownNoiseM {
					r.Fatalf("%g m in %s are both kept", way, span)
				}
			}
			last = j
		}
	})
}

func TestStepM(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		a := geo.Point{LatDeg: rapid.Float64Range(-90, 90).Draw(r, "lat"), LonDeg: rapid.Float64Range(-180, 180).Draw(r, "lon")}
		way := rapid.Float64Range(0, 1).Draw(r, "way")
		b, _ := geo.Direct(a, rapid.Float64Range(-180, 180).Draw(r, "azimuth"), way*way*way*5000)
		got, want := stepM(a, b), geo.DistanceM(a, b)
		if d := got - want; d > 0.001 || d < -0.001 {
			r.Fatalf("%v to %v: %.6f m, the geodesic is %.6f m", a, b, got, want)
		}
		if atMostM(a, b) < want-1e-6 {
			r.Fatalf("%v to %v: at most %g m, the geodesic is %g m", a, b, atMostM(a, b), want)
		}
	})
}

func ExampleSieve() {
	v := NewSieve(Usual)
	var out []Judged
	for _, s := range []Sighting{at(0, 0), at(1, 10), at(2, 20), at(3, 5030), at(4, 40)} {
		out = v.Add(&s, out)
	}
	for _, j := range v.End(out) {
		fmt.Println(j.From, j.Kept(), j.Why.Name, j.Why.Text, "|")
	}
	// Output:
	// t:1 true   |
	// t:2 true   |
	// t:3 true   |
	// t:4 false jump 5.0 km in 1s: 5010 m/s; it can have gone 70 m |
	// t:5 true   |
}
