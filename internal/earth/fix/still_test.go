package fix

import (
	"math"
	"math/rand/v2"
	"testing"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"

	"pgregory.net/rapid"
)

var yard = geo.Point{LatDeg: 52.6184, LonDeg: 9.2735}

// fixAt is a valid fix so many metres from a place.
func fixAt(p geo.Point, e, n, altitude float64) Fix {
	q, _ := geo.FromENU(p, 0, e, n, 0)
	return Fix{Valid: true, Point: maybe.Known(q), AltitudeM: maybe.Known(altitude)}
}

// run plays a receiver whose error has a deviation in each axis and hangs together from second to
// second by phi (an autoregressive process of the first order).
type run struct {
	devE, devN, devH, phi float64
	turn                  float64 // of the axes, clockwise, radians
	driftPerS             float64
	offE, offN            float64
}

func (r run) into(s *Still, seconds int, seed uint64) {
	rnd := rand.New(rand.NewPCG(seed, 77))
	fresh := math.Sqrt(1 - r.phi*r.phi)
	a, b, h := rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()
	sin, cos := math.Sincos(r.turn)
	for t := range seconds {
		n, e := a*r.devN, b*r.devE
		x := fixAt(yard, e*cos+n*sin+r.offE+r.driftPerS*float64(t), n*cos-e*sin+r.offN, 61+h*r.devH)
		s.Add(float64(t), &x)
		a, b, h = r.phi*a+fresh*rnd.NormFloat64(), r.phi*b+fresh*rnd.NormFloat64(), r.phi*h+fresh*rnd.NormFloat64()
	}
}

func figuresOf(t testing.TB, r run, seconds int, seed uint64) StillFigures {
	t.Helper()
	s := NewStill(maybe.Value[geo.Point]{}, maybe.Value[float64]{})
	r.into(s, seconds, seed)
	f, ok := s.Figures()
	if !ok {
		t.Fatal("no figures")
	}
	return f
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.5f, want %.5f within %.5f", what, got, want, within)
	}
}

// TestStillNormal: independent positions of a round normal distribution have the handbook's
// proportions (see TestHandbook), and their intervals are those of independent samples.
func TestStillNormal(t *testing.T) {
	const n, dev = 60_000, 3.0
	f := figuresOf(t, run{devE: dev, devN: dev, devH: 5}, n, 1)
	for _, x := range []struct {
		name  string
		got   Figure
		sigma float64
	}{{"CEP", f.CEP50M, 1.1774}, {"R68", f.R68M, 1.5152}, {"R95", f.R95M, 2.4477}, {"DRMS", f.DRMSM, 1.4142}, {"2DRMS", f.TwoDRMSM, 2.8284}} {
		near(t, x.name, x.got.Value, x.sigma*dev, 0.02*x.sigma*dev)
		r, ok := x.got.Range.Get()
		if !ok || r.Low > x.sigma*dev*1.001 || r.High < x.sigma*dev*0.999 {
			t.Errorf("%s: %+v does not hold %.4f", x.name, r, x.sigma*dev)
		}
	}
	// "The relative deviation of a median of n such distances is near 1/(1.386 sqrt n)".
	r, _ := f.CEP50M.Range.Get()
	near(t, "width of CEP's interval", (r.High-r.Low)/2/f.CEP50M.Value, 1.96/(1.386*math.Sqrt(n)), 0.3*1.96/(1.386*math.Sqrt(n)))
	within, ok := f.MeanWithinM.Get()
	if !ok || geo.DistanceM(f.Mean, yard) > within {
		t.Errorf("the mean is %.4f m off, said to be within %.4f", geo.DistanceM(f.Mean, yard), within)
	}
	near(t, "mean within", within, 2.4477*dev/math.Sqrt(n), 0.3*2.4477*dev/math.Sqrt(n))
	near(t, "normal CEP", f.NormalCEP50M, f.CEP50M.Value, 0.02*f.CEP50M.Value)
	hang, _ := f.Hang.Get()
	if !hang.Settled || hang.IndependentEveryS > 1.5 {
		t.Errorf("independent positions hang together: %+v", hang)
	}
	h, _ := f.Height.Get()
	near(t, "height", h.MeanM.Value, 61, 0.1)
	near(t, "height deviation", h.DeviationM.Value, 5, 0.1)
	near(t, "height 95 of 100", h.P95M.Value, 1.96*5, 0.2)
	if f.Available.Value != 1 || f.Outages != 0 || f.Epochs != n || f.EveryS != 1 || f.SpanS != n-1 {
		t.Errorf("%+v", f)
	}
	if d, ok := f.Drift.Get(); !ok || d.Real {
		t.Errorf("drift %+v of what does not drift", d)
	}
}

// TestHangsTogether: for an autoregressive process of the first order all is known: likeness
// falls to 1/e after -1/ln(phi) steps, one independent value comes in (1+phi)/(1-phi) steps.
func TestHangsTogether(t *testing.T) {
	for _, phi := range []float64{0.5, 0.9, 0.98} {
		f := figuresOf(t, run{devE: 2, devN: 2, phi: phi}, 200_000, 3)
		hang, ok := f.Hang.Get()
		want := (1 + phi) / (1 - phi)
		if !ok || !hang.Settled {
			t.Fatalf("phi %v: %+v", phi, hang)
		}
		near(t, "independent every", hang.IndependentEveryS, want, 0.25*want)
		tau, _ := hang.TimeS.Get()
		near(t, "correlation time", tau, -1/math.Log(phi), 0.15*-1/math.Log(phi)+0.2)
		// The mean scatters as if of so many fewer; counted naively it would seem much better.
		within, _ := f.MeanWithinM.Get()
		naive := 2.4477 * 2 / math.Sqrt(200_000)
		near(t, "mean within, against the naive", within/naive, math.Sqrt(want), 0.2*math.Sqrt(want))
	}
}

// TestIntervalsHold: of many runs 95 of 100 intervals hold the true figure, though positions hang
// together; the naive ones would hold it in a small part of the runs.
func TestIntervalsHold(t *testing.T) {
	const runs, seconds = 150, 5000
	play := run{devE: 3, devN: 3, devH: 4, phi: 0.97} // 66 steps to an independent one: 90 of them
	truth := map[string]float64{"CEP": 3.5322, "R68": 4.5456, "R95": 7.3431, "DRMS": 4.2426, "height": 61, "height deviation": 4, "ellipse": 3}
	holds := map[string]int{}
	naive := 0
	for i := range runs {
		f := figuresOf(t, play, seconds, uint64(1000+i))
		h, _ := f.Height.Get()
		for name, figure := range map[string]Figure{"CEP": f.CEP50M, "R68": f.R68M, "R95": f.R95M, "DRMS": f.DRMSM, "height": h.MeanM, "height deviation": h.DeviationM} {
			if r, ok := figure.Range.Get(); ok && r.Low <= truth[name] && truth[name] <= r.High {
				holds[name]++
			}
		}
		off := geo.DistanceM(f.Mean, yard)
		if within, ok := f.MeanWithinM.Get(); ok && off <= within {
			holds["mean"]++
		}
		if off <= 2.4477*3/math.Sqrt(seconds) {
			naive++
		}
	}
	for _, name := range []string{"mean", "CEP", "R68", "R95", "DRMS", "height", "height deviation"} {
		// A share of 150 runs scatters by 1.8 %; the intervals are approximate.
		if got := float64(holds[name]) / runs; got < 0.87 {
			t.Errorf("%s: %.1f of 100 intervals hold the truth", name, 100*got)
		} else {
			t.Logf("%s: %.1f of 100", name, 100*got)
		}
	}
	if float64(naive)/runs > 0.3 {
		t.Errorf("even naive circles hold the truth in %d of %d runs: the test shows nothing", naive, runs)
	}
}

// TestEllipse: axes 4 and 1.5 m, the longer one 30 degrees east of north.
func TestEllipse(t *testing.T) {
	f := figuresOf(t, run{devE: 1.5, devN: 4, turn: 30 * math.Pi / 180}, 50_000, 5)
	near(t, "major", f.Ellipse.MajorM.Value, 4, 0.06)
	near(t, "minor", f.Ellipse.MinorM.Value, 1.5, 0.03)
	near(t, "turn", f.Ellipse.TurnDeg, 30, 0.6)
	within, ok := f.Ellipse.TurnWithinDeg.Get()
	if !ok || within > 1 || within < 0.1 {
		t.Errorf("turn within %v %v", within, ok)
	}
	near(t, "normal R95", f.NormalR95M, f.R95M.Value, 0.02*f.R95M.Value)
	near(t, "east", f.EastM, math.Sqrt(1.5*1.5*0.75+4*4*0.25), 0.06)
	for turn, want := range map[float64]float64{-30: 150, 100: 100, 90: 90, 179: 179} {
		g := figuresOf(t, run{devE: 1.5, devN: 4, turn: turn * math.Pi / 180}, 20_000, 6)
		if off := math.Abs(math.Mod(g.Ellipse.TurnDeg-want+270, 180) - 90); off > 1 {
			t.Errorf("turned by %v: %.1f, want %.1f", turn, g.Ellipse.TurnDeg, want)
		}
	}
	round := figuresOf(t, run{devE: 2, devN: 2}, 500, 7)
	if round.Ellipse.TurnWithinDeg.IsKnown() {
		t.Errorf("a round cloud points to %v within %v", round.Ellipse.TurnDeg, round.Ellipse.TurnWithinDeg)
	}
}

// TestTruth: a bias of 3 m east and 4 m north is seen as such, and no more than that.
func TestTruth(t *testing.T) {
	s := NewStill(maybe.Known(yard), maybe.Known(58.0))
	run{devE: 1, devN: 1, devH: 2, phi: 0.9, offE: 3, offN: 4}.into(s, 20_000, 8)
	f, _ := s.Figures()
	truth, ok := f.Truth.Get()
	if !ok || !truth.Real {
		t.Fatalf("%+v", truth)
	}
	near(t, "offset", truth.OffsetM, 5, 0.1)
	near(t, "direction", truth.OffsetDeg, math.Atan2(3, 4)*180/math.Pi, 1.5)
	near(t, "DRMS about the truth", truth.DRMSM.Value, math.Sqrt(25+2), 0.1)
	if truth.R95M.Value < truth.CEP50M.Value || truth.CEP50M.Value < 4.5 || f.R95M.Value > 2.7 {
		t.Errorf("about the truth %v %v, about the mean %v", truth.CEP50M, truth.R95M, f.R95M)
	}
	h, ok := truth.HeightM.Get()
	if r, known := h.Range.Get(); !ok || !known || r.Low > 3 || r.High < 3 {
		t.Errorf("height %+v, want 3 m too high", h)
	}
	none := NewStill(maybe.Known(yard), maybe.Value[float64]{})
	run{devE: 3, devN: 3, phi: 0.95}.into(none, 3000, 9)
	g, _ := none.Figures()
	if truth, _ := g.Truth.Get(); truth.Real || truth.HeightM.IsKnown() {
		t.Errorf("no bias was planted: %+v", truth)
	}
}

// TestDrift: half a metre an hour is found among errors of a metre, with its interval.
func TestDrift(t *testing.T) {
	f := figuresOf(t, run{devE: 1, devN: 1, phi: 0.9, driftPerS: 0.5 / 3600}, 12*3600, 10)
	d, ok := f.Drift.Get()
	r, _ := d.EastMPerH.Range.Get()
	if !ok || !d.Real || r.Low > 0.5 || r.High < 0.5 {
		t.Errorf("%+v", d)
	}
	real := 0
	for i := range 60 {
		f := figuresOf(t, run{devE: 1, devN: 1, phi: 0.9}, 3600, uint64(200+i))
		if d, ok := f.Drift.Get(); ok && d.Real {
			real++
		}
	}
	if real > 9 { // of 60: 3 are to be expected
		t.Errorf("drift was seen in %d of 60 runs without any", real)
	}
}

// TestTimeFor: how long to average is read from the run, and beyond it only where it may be.
func TestTimeFor(t *testing.T) {
	f := figuresOf(t, run{devE: 3, devN: 3, phi: 0.95}, 100_000, 11)
	// One independent position in 39 s; a mean of T seconds scatters by 3 sqrt(39/T) in each axis.
	want := 39 * (2.4477 * 3) * (2.4477 * 3) // for a metre
	got, beyond, ok := f.TimeForMean(1)
	if !ok || beyond {
		t.Fatalf("%v %v %v", got, beyond, ok)
	}
	near(t, "seconds for a metre", got, want, 0.35*want)
	got, beyond, ok = f.TimeForMean(0.05)
	if !ok || !beyond {
		t.Fatalf("%v %v %v", got, beyond, ok)
	}
	near(t, "seconds for five centimetres", got, want*400, 0.35*want*400)
	if got, _, ok := f.TimeForMean(100); !ok || got != 1 {
		t.Errorf("a single position is within 100 m: %v %v", got, ok)
	}
	short := figuresOf(t, run{devE: 3, devN: 3, phi: 0.999}, 600, 12)
	if s, _, ok := short.TimeForMean(0.1); ok {
		t.Errorf("ten minutes of errors that last half an hour cannot say %v s", s)
	}
	// Four times as long gives half the interval.
	r, _ := f.R95M.Range.Get()
	now := (r.High - r.Low) / 2 / f.R95M.Value
	if s, ok := f.TimeForFigure(f.R95M, now/2); !ok || math.Abs(s/f.SpanS-4) > 1e-9 {
		t.Errorf("%v %v", s, ok)
	}
	if _, ok := f.TimeForFigure(Figure{Value: 3}, 0.1); ok {
		t.Error("of a figure without an interval")
	}
}

// TestShortRuns: what cannot be said is not said.
func TestShortRuns(t *testing.T) {
	s := NewStill(maybe.Value[geo.Point]{}, maybe.Value[float64]{})
	if _, ok := s.Figures(); ok {
		t.Error("figures of nothing")
	}
	void := Fix{Void: "status V", Point: maybe.Known(yard)}
	s.Add(0, &void)
	if f, ok := s.Figures(); ok || f.Epochs != 1 || f.Available.Value != 0 || f.Outages != 1 {
		t.Errorf("%+v", f)
	}
	one := fixAt(yard, 0, 0, 61)
	s.Add(1, &one)
	f, ok := s.Figures()
	if !ok || f.Valid != 1 || f.CEP50M.Value > 1e-6 || f.CEP50M.Range.IsKnown() || f.MeanWithinM.IsKnown() || f.Hang.IsKnown() || f.Drift.IsKnown() || len(f.Means) > 0 {
		t.Errorf("%+v", f)
	}
	if geo.DistanceM(f.Mean, yard) > 1e-6 {
		t.Errorf("mean %v", f.Mean)
	}
	// A receiver that repeats itself says nothing about chance.
	frozen := NewStill(maybe.Value[geo.Point]{}, maybe.Value[float64]{})
	for i := range 1000 {
		frozen.Add(float64(i), &one)
	}
	if f, _ := frozen.Figures(); f.R95M.Value > 1e-6 || f.R95M.Range.IsKnown() || f.MeanWithinM.IsKnown() || f.Hang.IsKnown() || f.RepeatShare != 1 {
		t.Errorf("%+v", f)
	}
}

// TestAvailability: stretches without a fix, gaps in the log, a clock that jumps back.
func TestAvailability(t *testing.T) {
	s := NewStill(maybe.Value[geo.Point]{}, maybe.Value[float64]{})
	good, void := fixAt(yard, 0, 0, 61), Fix{Void: "status V"}
	for i := range 10_000 {
		at := float64(i)
		if i >= 5000 {
			at += 100 // a gap
		}
		if i%1000 < 200 {
			s.Add(at, &void)
		} else {
			s.Add(at, &good)
		}
		if i == 7000 {
			s.Add(at-50, &good)
		}
	}
	f, _ := s.Figures()
	if f.Epochs != 10_000 || f.Valid != 8000 || f.Missed != 100 || f.Backwards != 1 || f.Outages != 10 || f.LongestOutageS != 200 {
		t.Errorf("%+v", f)
	}
	if f.Available.Value != 0.8 {
		t.Errorf("%v", f.Available)
	}
}

// TestAvailabilityHangsTogether: stretches of 200 s without a fix, at random, tell much less than so
// many epochs that fail each by itself; still the interval holds what was planted.
func TestAvailabilityHangsTogether(t *testing.T) {
	good, void := fixAt(yard, 0, 0, 61), Fix{Void: "status V"}
	holds, wide := 0, 0.0
	const runs, n = 60, 20_000
	for i := range runs {
		s := NewStill(maybe.Value[geo.Point]{}, maybe.Value[float64]{})
		r := rand.New(rand.NewPCG(uint64(i), 41))
		out := false
		for at := range n {
			switch { // 200 s without, 800 s with, on the mean
			case out && r.Float64() < 1.0/200:
				out = false
			case !out && r.Float64() < 1.0/800:
				out = true
			}
			if out {
				s.Add(float64(at), &void)
			} else {
				s.Add(float64(at), &good)
			}
		}
		f, _ := s.Figures()
		x, ok := f.Available.Range.Get()
		if ok && x.Low <= 0.8 && x.High >= 0.8 {
			holds++
		}
		wide += (x.High - x.Low) / runs
	}
	if naive := Wilson(0.8, n); wide < 5*(naive.High-naive.Low) || holds < runs*88/100 {
		t.Errorf("%d of %d intervals hold it; %.3f wide", holds, runs, wide)
	}
}

// TestThinning: beyond what is kept the figures stay those of all positions.
func TestThinning(t *testing.T) {
	const n = maxKept*5 + 123
	s := NewStill(maybe.Value[geo.Point]{}, maybe.Value[float64]{})
	rnd := rand.New(rand.NewPCG(13, 1))
	var distances []float64
	for i := range n {
		e, north := 2*rnd.NormFloat64(), 2*rnd.NormFloat64()
		distances = append(distances, math.Hypot(e, north))
		x := fixAt(yard, e, north, 61)
		s.Add(float64(i), &x)
	}
	f, _ := s.Figures()
	if f.Kept > maxKept || f.Kept < maxKept/2 || f.Stride != 8 || f.Valid != n {
		t.Errorf("kept %d, one in %d", f.Kept, f.Stride)
	}
	near(t, "CEP", f.CEP50M.Value, 1.1774*2, 0.02*2.35)
	near(t, "R95", f.R95M.Value, 2.4477*2, 0.02*4.9)
	largest := 0.0
	for _, d := range distances {
		largest = max(largest, d)
	}
	near(t, "largest", f.LargestM, largest, 0.0013*largest+0.02) // the mean moves by a few millimetres
	if h, _ := f.Hang.Get(); !h.Settled || h.IndependentEveryS > 1.5 {
		t.Errorf("%+v", h)
	}
}

// TestLargest: the greatest distance from anywhere, against trying every position.
func TestLargest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := NewStill(maybe.Value[geo.Point]{}, maybe.Value[float64]{})
		var points []geo.Point
		for i := range rapid.IntRange(1, 60).Draw(t, "count") {
			x := fixAt(yard, rapid.Float64Range(-500, 500).Draw(t, "e"), rapid.Float64Range(-500, 500).Draw(t, "n"), 0)
			p, _ := x.Point.Get()
			points = append(points, p)
			s.Add(float64(i), &x)
		}
		f, _ := s.Figures()
		want := 0.0
		for _, p := range points {
			e, n, _ := geo.ENU(f.Mean, 0, p, 0)
			want = max(want, math.Hypot(e, n))
		}
		if f.LargestM > want*1.0001+0.01 || f.LargestM < want*0.9987-0.01 {
			t.Fatalf("largest %.3f, want %.3f", f.LargestM, want)
		}
	})
}

// TestAnywhere: the same errors give the same figures at the date line, near a pole, and asked in between.
func TestAnywhere(t *testing.T) {
	places := []geo.Point{yard, {LatDeg: 0, LonDeg: 180}, {LatDeg: -89.999, LonDeg: 12}, {LatDeg: 71, LonDeg: -179.99999}}
	var first StillFigures
	for i, p := range places {
		s := NewStill(maybe.Value[geo.Point]{}, maybe.Value[float64]{})
		rnd := rand.New(rand.NewPCG(14, 1))
		for k := range 3000 {
			q, _ := geo.FromENU(p, 0, 3*rnd.NormFloat64(), 2*rnd.NormFloat64(), 0)
			x := Fix{Valid: true, Point: maybe.Known(q)}
			s.Add(float64(k), &x)
			if i == 0 && k%500 == 0 {
				s.Figures() // asking changes nothing
			}
		}
		f, _ := s.Figures()
		if i == 0 {
			first = f
			continue
		}
		near(t, "CEP", f.CEP50M.Value, first.CEP50M.Value, 1e-3)
		near(t, "R95", f.R95M.Value, first.R95M.Value, 1e-3)
		near(t, "DRMS", f.DRMSM.Value, first.DRMSM.Value, 1e-3)
		near(t, "largest", f.LargestM, first.LargestM, 0.02)
		near(t, "from the place", geo.DistanceM(f.Mean, p), geo.DistanceM(first.Mean, yard), 1e-3)
	}
}

// TestAddAllocates nothing: a year has 31.5 million epochs.
func TestAddAllocates(t *testing.T) {
	s := NewStill(maybe.Known(yard), maybe.Value[float64]{})
	x := fixAt(yard, 1, 2, 61)
	at := 0.0
	if n := testing.AllocsPerRun(200_000, func() { s.Add(at, &x); at++ }); n != 0 {
		t.Errorf("%v allocations for each epoch", n)
	}
}

// Enough: an epoch of a receiver that speaks RMC, GGA, GSA and GSV is some 400 octets, of one that speaks RMC
// and GGA 159; at 200 MB/s the shorter takes 800 ns. Statistics may take a quarter of that: 800 MB/s.
func BenchmarkStill(b *testing.B) {
	rnd := rand.New(rand.NewPCG(15, 1))
	fixes := make([]Fix, 4096)
	for i := range fixes {
		fixes[i] = fixAt(yard, 3*rnd.NormFloat64(), 3*rnd.NormFloat64(), 61+rnd.NormFloat64())
	}
	s := NewStill(maybe.Value[geo.Point]{}, maybe.Value[float64]{})
	b.SetBytes(159)
	b.ReportAllocs()
	at := 0.0
	for i := 0; b.Loop(); i++ {
		s.Add(at, &fixes[i%len(fixes)])
		at++
	}
}

// Enough: the figures of a year in 150 ms.
func BenchmarkFigures(b *testing.B) {
	s := NewStill(maybe.Known(yard), maybe.Value[float64]{})
	run{devE: 3, devN: 3, devH: 4, phi: 0.97}.into(s, 200_000, 16)
	for b.Loop() {
		s.Figures()
	}
}
