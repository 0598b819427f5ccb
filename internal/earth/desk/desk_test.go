package desk

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"

	"pgregory.net/rapid"
)

func read(t interface{ Fatalf(string, ...any) }, text string) geo.Reading {
	r, err := geo.Parse(text)
	if err != nil && r.LatText == "" {
		t.Fatalf("%q: %v", text, err)
	}
	return r
}

func find(list []Doubt, kind geo.Kind) *Doubt {
	for i := range list {
		if list[i].Kind == kind {
			return &list[i]
		}
	}
	return nil
}

// Each way to spoil a place, done by the arithmetic of its format, is turned round: the
// true place is among the doubts, and with a place nearby it is the likely one.
func TestDoubtsTurnRound(t *testing.T) {
	spoilings := []struct {
		kind  geo.Kind
		spoil func(lat, lon float64) string
	}{
		{geo.NotConverted, func(lat, lon float64) string { return fmt.Sprintf("%.4f, %.4f", ddmm(lat), ddmm(lon)) }},
		{geo.MinutesAsDecimals, func(lat, lon float64) string { return fmt.Sprintf("%.6f, %.6f", ddmm(lat)/100, ddmm(lon)/100) }},
		{geo.Swapped, func(lat, lon float64) string { return fmt.Sprintf("%.6f, %.6f", lon, lat) }},
		{geo.LatSign, func(lat, lon float64) string { return fmt.Sprintf("%.6f, %.6f", -lat, lon) }},
		{geo.LonSign, func(lat, lon float64) string { return fmt.Sprintf("%.6f, %.6f", lat, -lon) }},
	}
	rapid.Check(t, func(t *rapid.T) {
		truth := geo.Point{LatDeg: rapid.Float64Range(10, 70).Draw(t, "lat"), LonDeg: -rapid.Float64Range(2, 85).Draw(t, "lon")}
		s := spoilings[rapid.IntRange(0, len(spoilings)-1).Draw(t, "kind")]
		text := s.spoil(truth.LatDeg, truth.LonDeg)
		r := read(t, text)
		near, _ := geo.FromENU(truth, 0, 300, -400, 0)
		list := Doubts(r, maybe.Known(near))
		if r.Point.Valid() && geo.DistanceM(r.Point, truth) < 0.4 {
			return // nothing was spoiled (whole degrees), or numbers so large were taken for what they are
		}
		d := find(list, s.kind)
		if d == nil {
			t.Fatalf("%s of %v is %q: not doubted: %+v", s.kind, truth, text, list)
		}
		meant := geo.Point{LatDeg: d.LatDeg, LonDeg: d.LonDeg}
		if off := geo.DistanceM(meant, truth); off > 0.4 {
			t.Fatalf("%q: would have meant %v, the truth is %v, %.2f m apart", text, meant, truth, off)
		}
		if was := r.Point; !was.Valid() || geo.DistanceM(was, near) > nearM*muchNearer {
			if !list[0].Likely || list[0].Kind != s.kind && list[0].NearM.Or(0) > 510 {
				t.Fatalf("%q: the first doubt is %+v", text, list[0])
			}
		}
	})
}

func ddmm(deg float64) float64 {
	whole, frac := math.Modf(deg)
	return whole*100 + math.Trunc(frac*60*1e4)/1e4 // 60 minutes are never written
}

// The trap of the tutorial sentence: 4807.038,N read as 48.07038 is 5.2 km off, worked out
// from the lengths of a degree.
func TestTutorialTrap(t *testing.T) {
	d := find(Doubts(read(t, "48.07038, 11.31000"), maybe.Value[geo.Point]{}), geo.MinutesAsDecimals)
	if d == nil {
		t.Fatal("not doubted")
	}
	if math.Abs(d.LatDeg-48.1173) > 1e-9 || math.Abs(d.LonDeg-11.51666666666) > 1e-9 {
		t.Errorf("%+v", d)
	}
	// 0.04692 degrees of latitude are 5.2 km, 0.2067 of longitude at 48 degrees 15.4 km.
	if e := d.ErrorM.Or(0); math.Abs(e-math.Hypot(5217, 15390)) > 60 {
		t.Errorf("%.0f m", e)
	}
}

// What rules a mistake out is not doubted.
func TestNoDoubt(t *testing.T) {
	for _, test := range []struct {
		text string
		not  geo.Kind
	}{
		{"51.7102, -0.3073", geo.MinutesAsDecimals},    // .71 is no minute
		{"51 42.613 N 0 18.442 W", geo.Swapped},        // letters
		{"30UXC9209532534", geo.LonSign},               // a grid has no side
		{"51.7102, -0.3073", geo.ZerosLost},            // the same decimals
		{"51.4261, -0.1844", geo.NotConverted},         // fits degrees
		{"5142.6130,N,00018.4420,W", geo.NotConverted}, // says what it is
		{"0, 10.5", geo.LatSign},                       // the equator has no side
	} {
		if d := find(Doubts(read(t, test.text), maybe.Value[geo.Point]{}), test.not); d != nil {
			t.Errorf("%s: %+v", test.text, d)
		}
	}
}

func TestZerosLost(t *testing.T) {
	d := find(Doubts(read(t, "51.7102, 0.03074"), maybe.Value[geo.Point]{}), geo.ZerosLost)
	if d == nil || math.Abs(d.LatDeg-51.07102) > 1e-9 || d.LonDeg != 0.03074 {
		t.Errorf("%+v", d)
	}
}

func TestSecondsDoubt(t *testing.T) {
	d := find(Doubts(read(t, "51 42 41.30 N 0 18 24.42 W"), maybe.Value[geo.Point]{}), geo.FractionAsSeconds)
	if d == nil || math.Abs(d.LatDeg-(51+42.4130/60)) > 1e-9 || math.Abs(d.LonDeg+18.2442/60) > 1e-9 {
		t.Errorf("%+v", d)
	}
}

// Every spelling is read back as the same place, to the worth of its last digit.
func TestSpellingsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := geo.Point{LatDeg: rapid.Float64Range(-90, 90).Draw(t, "lat"), LonDeg: rapid.Float64Range(-180, 180).Draw(t, "lon")}
		step := rapid.SampledFrom([]float64{0, 0.01, 0.2, 3, 1000}).Draw(t, "step")
		for _, s := range Spellings(p, step) {
			if s.Text == "" {
				if p.LatDeg > -80 && p.LatDeg < 84 {
					t.Fatalf("%v has no %s", p, s.Name)
				}
				continue
			}
			r, err := geo.Parse(s.Text)
			if err != nil {
				t.Fatalf("%s %q: %v", s.Name, s.Text, err)
			}
			if off := geo.DistanceM(p, r.Point); off > s.StepM*1.5 {
				t.Fatalf("%v as %s is %q, read back %.3f m away; its last digit is worth %.3f m", p, s.Name, s.Text, off, s.StepM)
			}
		}
	})
}

// A known place in all spellings. The grid references are those of the libraries proj4
// (686026.0655, 5732240.5207) and mgrs, see oracle/geo.
func TestSpellings(t *testing.T) {
	var got []string
	for _, s := range Spellings(geo.Point{LatDeg: 51.710217, LonDeg: -0.307367}, 0.111) {
		got = append(got, s.Text)
	}
	want := "51.710217,-0.307367|51 42.6130 N 0 18.4420 W|51°42.6130'N 0°18.4420'W|51 42 36.781 N 0 18 26.521 W|5142.6130,N,00018.4420,W|geo:51.710217,-0.307367|30U 686026 5732240|30UXC8602632240"
	if text := strings.Join(got, "|"); text != want {
		t.Errorf("got  %s\nwant %s", text, want)
	}
}

func TestWorth(t *testing.T) {
	for text, coarse := range map[string]bool{"51.71, -0.31": true, "51.7102, -0.3074": true, "51.71022, -0.30737": false, "51 42.6 N 0 18.4 W": true, "30UXC8632": true, "30UXC8601232183": false} {
		w, ok := WorthOf(read(t, text))
		if !ok || w.Coarse != coarse || w.Says == "" {
			t.Errorf("%s: %+v", text, w)
		}
	}
}

func FuzzDoubts(f *testing.F) {
	for _, text := range []string{"5142.6130, -18.442", "51.426130,-0.184420", "91, 10", "51 42 36 N 0 18 26 W", "30UXC8632"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := geo.Parse(text)
		if err != nil {
			return
		}
		for _, d := range Doubts(r, maybe.Known(geo.Point{LatDeg: 51.7, LonDeg: -0.3})) {
			if p := (geo.Point{LatDeg: d.LatDeg, LonDeg: d.LonDeg}); !p.Valid() || d.Says == "" || d.ErrorM.IsKnown() != r.Point.Valid() {
				t.Fatalf("%q: %+v", text, d)
			}
		}
		WorthOf(r)
		Spellings(r.Point, r.StepDeg*metresInDegree)
	})
}
