package track

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"firstfix/internal/earth/fix"
	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
)

// measure runs sightings through sieve and meter.
func measure(scale Scale, list []Sighting) *Figures {
	v, p, m := NewSieve(Usual), NewPacer(0), NewMeter(scale)
	count := func(list []Judged) {
		for k := range list {
			m.Add(&list[k])
		}
	}
	var out []Judged
	for i := range list {
		out = v.Add(&list[i], out[:0])
		count(p.Add(out))
	}
	count(p.Add(v.End(out[:0])))
	count(p.End())
	return m.End()
}

func near3(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance {
		t.Errorf("%s is %.4f, want %.4f", what, got, want)
	}
}

// One degree of meridian from the equator is 110574.389 m long on WGS-84 (meridian arc,
// computed with the published series); one degree of the equator 111319.491 m. Gone in
// steps of an arc second, at 30.7 and 30.9 m/s.
func TestDistance(t *testing.T) {
	for _, test := range []struct {
		name     string
		lat, lon float64
		want     float64
	}{{"meridian", 1, 0, 110574.389}, {"equator", 0, 1, 111319.491}} {
		var list []Sighting
		for i := 0; i <= 3600; i++ {
			part := float64(i) / 3600
			p := geo.Point{LatDeg: test.lat * part, LonDeg: 179.5 + test.lon*part}
			p.LonDeg = geo.NormalLon(p.LonDeg)
			list = append(list, at(float64(i), 0).with(func(s *Sighting) { s.Point = maybe.Known(p) }))
		}
		f := measure(Scale{}, list)
		if f.Kept != 3601 {
			t.Fatalf("%s: %d of %d kept", test.name, f.Kept, f.Read)
		}
		near3(t, test.name, f.Moving.TotalM(), test.want, 0.05)
		near3(t, "seconds", f.SpanS.Or(0), 3600, 1e-6)
		near3(t, "mean speed", f.Speed.MeanMPS.Or(0), test.want/3600, 1e-4)
		near3(t, "greatest speed", f.Speed.MaxMPS.Or(0), test.want/3600, 1e-2)
		near3(t, "usual interval", f.Every.UsualS.Or(0), 1, 1e-9)
		if f.Speed.Source != "positions" || f.Gaps.Count != 0 || f.Stops.Count != 0 {
			t.Errorf("%+v", f)
		}
		if test.lon > 0 && (f.Box.West < 179 || f.Box.East > -179) {
			t.Errorf("the box over the 180th meridian is %+v", f.Box)
		}
	}
}

// A morning worked out by hand: 20 minutes of standing with some wander, 10 minutes of road
// at 10 m/s, a tunnel of 2 minutes, 5 more minutes of road, 10 minutes of standing.
func TestMorning(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var list []Sighting
	clock, east := 0.0, 0.0
	add := func(wander float64) {
		list = append(list, at(clock, 0).with(func(s *Sighting) {
			s.Point = maybe.Known(place(east+wander*r.NormFloat64(), wander*r.NormFloat64()))
		}))
	}
	for range 20 * 60 {
		add(3)
		clock++
	}
	road := func(seconds int) {
		for range seconds {
			add(0)
			clock, east = clock+1, east+10
		}
	}
	road(600)
	clock, east = clock+120, east+1200
	road(300)
	for range 10*60 + 1 {
		add(3)
		clock++
	}
	f := measure(Scale{}, list)
	if f.Kept != f.Read || f.Stops.Count != 2 || f.Gaps.Count != 1 {
		t.Fatalf("%d of %d kept, %d stops, %d gaps", f.Kept, f.Read, f.Stops.Count, f.Gaps.Count)
	}
	a, b, g := f.Stops.List[0], f.Stops.List[1], f.Gaps.List[0]
	// A stop ends half as far again as its radius from the middle: 45 m, 5 s at 10 m/s.
	near3(t, "first stop", a.SpanS, 1200, 6)
	near3(t, "second stop", b.SpanS, 600, 6)
	near3(t, "gap", g.SpanS.Or(0), 121, 1.01)
	near3(t, "way over the gap", g.WayM, 1210, 1)
	near3(t, "way", f.Moving.TotalM(), 10200, 100)
	near3(t, "span", f.SpanS.Or(0), clock-1, 1e-6)
	near3(t, "moving", f.Moving.MovingS, 900, 12)
	near3(t, "mean speed", f.Speed.MeanMPS.Or(0), 10, 0.3)
	// The mean of 1200 positions with 3 m of wander in each axis.
	d := geo.DistanceM(yard, geo.Point{LatDeg: a.LatDeg, LonDeg: a.LonDeg})
	if d > 0.5 {
		t.Errorf("the first stop lies %.2f m beside the yard", d)
	}
	if f.Moving.StandingM < 1000 {
		t.Errorf("the wander in the stops, %.0f m, should be told apart from the way", f.Moving.StandingM)
	}
	sum := f.Moving.MovingS + f.Moving.GapsS + f.Moving.StandingS
	near3(t, "parts of the time", sum, f.SpanS.Or(0), 1e-6)
}

// A tracker that reports every 20 minutes: that is its usual interval and no gap; two
// reports from one place are a stop.
func TestSparseReports(t *testing.T) {
	var list []Sighting
	for i, east := range []float64{0, 5, 3, 15000, 30000, 30004, 30001, 30002, 45000} {
		list = append(list, at(float64(i)*1200, east))
	}
	f := measure(Scale{}, list)
	near3(t, "usual interval", f.Every.UsualS.Or(0), 1200, 1e-9)
	if f.Gaps.Count != 0 || f.Stops.Count != 2 {
		t.Fatalf("%d gaps, %d stops: want 0 and 2", f.Gaps.Count, f.Stops.Count)
	}
	near3(t, "first stop", f.Stops.List[0].SpanS, 2400, 1)
	near3(t, "second stop", f.Stops.List[1].SpanS, 3600, 1)
	if f.Stops.List[0].Count != 3 || f.Stops.List[1].Count != 4 {
		t.Errorf("sightings: %d and %d, want 3 and 4", f.Stops.List[0].Count, f.Stops.List[1].Count)
	}
	near3(t, "way", f.Moving.TotalM(), 45000, 60)
}

// What is set apart is counted with its reason and counts in no figure.
func TestApartCountsNothing(t *testing.T) {
	clean := make([]Sighting, 0, 100)
	for i := range 100 {
		clean = append(clean, at(float64(i), float64(i)*10))
	}
	want := measure(Scale{}, clean)
	var dirty []Sighting
	for i := range clean {
		dirty = append(dirty, clean[i])
		switch {
		case i%10 == 3:
			dirty = append(dirty, at(float64(i)+0.5, 50e3))
		case i%10 == 7:
			dirty = append(dirty, at(float64(i)+0.5, 0).with(func(s *Sighting) { s.Valid, s.Void = false, "status V" }))
		case i%10 == 9:
			dirty = append(dirty, clean[i])
		}
	}
	got := measure(Scale{}, dirty)
	if got.Kept != want.Kept || math.Abs(got.Moving.TotalM()-want.Moving.TotalM()) > 1e-9 || got.SpanS != want.SpanS {
		t.Errorf("kept %d, %.3f m; without what is set apart %d, %.3f m", got.Kept, got.Moving.TotalM(), want.Kept, want.Moving.TotalM())
	}
	counts := map[string]int{}
	for _, row := range got.Apart {
		counts[row.Reason] = row.Count
		if n := len(row.Examples); n < 1 || n > maxExamples || row.Source == "" || row.Title == "" {
			t.Errorf("%+v", row)
		}
	}
	if counts[Jump] != 10 || counts[Void] != 10 || counts[Duplicate] != 10 || len(counts) != 3 {
		t.Errorf("%v", counts)
	}
}

func TestMeterOfNothing(t *testing.T) {
	f := measure(Scale{}, nil)
	if f.Read != 0 || f.First != nil || f.Last != nil || f.Box != nil || f.SpanS.IsKnown() || f.Speed.MaxMPS.IsKnown() {
		t.Errorf("%+v", f)
	}
	f = measure(Scale{}, []Sighting{at(0, 0)})
	if f.Kept != 1 || f.First == nil || *f.First.UTC != noon || f.SpanS.IsKnown() || f.Every.UsualS.IsKnown() {
		t.Errorf("%+v", f)
	}
}

// Without any time the way can still be told, and nothing else.
func TestUntimed(t *testing.T) {
	var list []Sighting
	for i := range 10 {
		list = append(list, Sighting{Fix: fix.Fix{Valid: true, Point: maybe.Known(place(float64(i)*1000, 0))}})
	}
	f := measure(Scale{}, list)
	near3(t, "way", f.Moving.TotalM(), 9000, 5)
	if f.SpanS.IsKnown() || f.Speed.MaxMPS.IsKnown() || f.Gaps.Count+f.Stops.Count != 0 {
		t.Errorf("%+v", f)
	}
}

// The middle of spans that are alike is exact; of others it is within 2.2 %.
func TestSpans(t *testing.T) {
	var h spans
	for range 1000 {
		h.add(0.1)
	}
	got, _ := h.share(0.5)
	near3(t, "of equals", got, 0.1, 1e-12)
	r := rand.New(rand.NewPCG(3, 3))
	var u spans
	for range 100_000 {
		u.add(r.Float64() * 1000)
	}
	for _, part := range []float64{0.1, 0.5, 0.95} {
		got, _ := u.share(part)
		near3(t, "share", got, part*1000, part*1000*0.022+4)
	}
	if _, ok := new(spans).share(0.5); ok {
		t.Error("of nothing")
	}
}

func benchmarkTrack(n int) []Judged {
	r := rand.New(rand.NewPCG(5, 5))
	v := NewSieve(Usual)
	var out []Judged
	lat, lon := yard.LatDeg, yard.LonDeg
	for i := range n {
		lat, lon = lat+(r.Float64()-0.4)*2e-4, lon+(r.Float64()-0.4)*2e-4
		s := at(float64(i), 0)
		s.Point, s.SpeedMPS = maybe.Known(geo.Point{LatDeg: lat, LonDeg: lon}), maybe.Known(r.Float64()*12)
		out = v.Add(&s, out)
	}
	return v.End(out)
}

// Enough: 300 ns for one sighting through sieve, pacer and meter, no allocation: a third of what
// 200 MB/s of sentences leave.
func BenchmarkSieveAndMeter(b *testing.B) {
	list := benchmarkTrack(3600)
	b.ReportAllocs()
	var out []Judged
	for b.Loop() {
		v, p, m := NewSieve(Usual), NewPacer(0), NewMeter(Scale{})
		for i := range list {
			out = v.Add(&list[i].Sighting, out[:0])
			paced := p.Add(out)
			for k := range paced {
				m.Add(&paced[k])
			}
		}
		m.End()
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/3600, "ns/sighting")
}

func TestShort(t *testing.T) {
	for d, want := range map[time.Duration]string{time.Second: "1s", 95 * time.Second: "1m35s", 25 * time.Hour: "25h00m", 240 * time.Hour: "10.0 days"} {
		if got := short(d); got != want {
			t.Errorf("%s: %q, want %q", d, got, want)
		}
	}
}
