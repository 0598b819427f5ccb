package fix

import (
	"math"
	"math/rand/v2"
	"testing"

	"firstfix/internal/maybe"
)

// star is a satellite of a played sky.
type star struct{ el, az, elPerS, azPerS, luck float64 }

// playSky plays so many seconds of a sky in which levels are as told.
func playSky(seed uint64, seconds int, level func(r *rand.Rand, s *star) float64) *Hearing {
	r := rand.New(rand.NewPCG(seed, 19))
	stars := make([]star, 12)
	for i := range stars {
		// Evenly over the sphere above 5 degrees; half a degree a minute.
		stars[i] = star{math.Asin(0.087+0.913*r.Float64()) * 180 / math.Pi, 360 * r.Float64(), 0.008 * (r.Float64() - 0.5), 0.008 * (r.Float64() - 0.5), r.NormFloat64()}
	}
	h := NewHearing()
	var view []Heard
	for range seconds {
		view = view[:0]
		for i := range stars {
			s := &stars[i]
			s.el, s.az = math.Min(90, math.Max(0, s.el+s.elPerS)), math.Mod(s.az+s.azPerS+360, 360)
			v := Heard{System: "GPS", ID: i + 1, ElevationDeg: maybe.Known(math.Round(s.el)), AzimuthDeg: maybe.Known(math.Round(s.az))}
			if cn0 := math.Round(level(r, s) + r.NormFloat64()); cn0 >= 18 {
				v.CN0DBHz, v.Used = maybe.Known(cn0), cn0 > 24
			}
			view = append(view, v)
		}
		h.Add(view)
	}
	return h
}

func open(_ *rand.Rand, s *star) float64 {
	return 35 + 13*math.Sin(s.el*math.Pi/180) + s.luck
}

// TestAntenna: of played skies the antenna's state is named first in nearly all.
func TestAntenna(t *testing.T) {
	states := map[string]func(r *rand.Rand, s *star) float64{
		"good": open,
		"blocked": func(r *rand.Rand, s *star) float64 {
			if s.az > 80 && s.az < 230 && s.el < 60 {
				return open(r, s) - 18
			}
			return open(r, s)
		},
		"passive-for-active": func(r *rand.Rand, s *star) float64 { return open(r, s) - 13 },
		"face-down":          func(_ *rand.Rand, s *star) float64 { return 35 - 10*math.Sin(s.el*math.Pi/180) + 3*s.luck },
		"swapped":            func(r *rand.Rand, s *star) float64 { return open(r, s) - 25 },
		"missing":            func(r *rand.Rand, s *star) float64 { return open(r, s) - 38 },
		"covered":            func(r *rand.Rand, s *star) float64 { return open(r, s) - 22 + 3.5*s.luck },
	}
	for _, state := range antennaStates {
		play, ok := states[state.Name]
		if !ok {
			t.Errorf("nobody plays %s", state.Name)
			continue
		}
		right := 0
		const skies = 40
		for seed := range uint64(skies) {
			f := playSky(seed, 600, play).Figures()
			w := f.Antenna()
			if w[0].State.Name == state.Name {
				right++
			} else if right+5 < int(seed) {
				t.Logf("%s seed %d: %s %.2f for %v against %v", state.Name, seed, w[0].State.Name, w[0].Weight, w[0].For, w[0].Against)
			}
			sum := 0.0
			for _, x := range w {
				sum += x.Weight
			}
			if math.Abs(sum-1) > 1e-9 || len(w) != len(antennaStates) {
				t.Fatalf("weights are %v together", sum)
			}
		}
		if right < skies*3/4 {
			t.Errorf("%s was named first in %d of %d skies", state.Name, right, skies)
		} else {
			t.Logf("%s: %d of %d", state.Name, right, skies)
		}
	}
	if w := (&HearingFigures{Reports: 3}).Antenna(); w != nil {
		t.Errorf("three reports were enough: %+v", w)
	}
}

// TestBlockedSide: a wall from 90 to 180 degrees takes 15 dB up to 40 degrees of elevation; the arc
// that is named is that quarter of the sky, and nothing is named under an open sky.
func TestBlockedSide(t *testing.T) {
	named, clean := 0, 0
	const skies = 20
	for seed := range uint64(skies) {
		h := NewHearing()
		r := rand.New(rand.NewPCG(seed, 23))
		free := NewHearing()
		for range 400 {
			var view, all []Heard
			for id := range 40 { // many satellites: every part of the sky has some
				el, az := math.Floor(85*r.Float64()), math.Floor(360*r.Float64())
				cn0 := 35 + 13*math.Sin(el*math.Pi/180) + r.NormFloat64()
				v := Heard{System: "GPS", ID: id, ElevationDeg: maybe.Known(el), AzimuthDeg: maybe.Known(az), CN0DBHz: maybe.Known(cn0)}
				all = append(all, v)
				if az >= 90 && az < 180 && el < 40 {
					v.CN0DBHz = maybe.Known(cn0 - 15)
				}
				view = append(view, v)
			}
			h.Add(view)
			free.Add(all)
		}
		if a := h.Figures().BlockedArcs; len(a) == 1 && a[0].FromDeg == 90 && a[0].ToDeg == 180 && a[0].LossDB > 8 && a[0].LossDB < 16 {
			named++
		} else {
			t.Logf("%+v", a)
		}
		if len(free.Figures().BlockedArcs) == 0 {
			clean++
		}
	}
	if named != skies || clean != skies {
		t.Errorf("named in %d, clean in %d of %d", named, clean, skies)
	}
}

// TestArcs: an arc goes through north, and over a sector in which no satellite ever was; a sky that
// is bad all around has no side.
func TestArcs(t *testing.T) {
	cell := func(sector int, loss float64) CellFigures {
		return CellFigures{FromDeg: float64(sector) * 30, LowDeg: 15, Listed: 100, HeardShare: 1, LossDB: maybe.Known(loss)}
	}
	got := arcs([]CellFigures{cell(11, 10), cell(1, 12), cell(2, 1), cell(5, 0), cell(6, 9), cell(8, 2)})
	if len(got) != 2 || got[0].FromDeg != 180 || got[0].ToDeg != 210 || got[1].FromDeg != 330 || got[1].ToDeg != 60 || got[1].WidthDeg() != 90 || got[1].LossDB != 11 {
		t.Errorf("%+v", got)
	}
	if got := arcs([]CellFigures{cell(0, 10), cell(3, 10)}); got != nil {
		t.Errorf("%+v", got)
	}
	if got := arcs(nil); got != nil {
		t.Errorf("%+v", got)
	}
}

// TestHearingFigures: counts by hand.
func TestHearingFigures(t *testing.T) {
	h := NewHearing()
	known := maybe.Known[float64]
	for range 100 {
		h.Add([]Heard{
			{System: "GPS", ID: 7, ElevationDeg: known(45), AzimuthDeg: known(10), CN0DBHz: known(40), Used: true},
			{System: "GPS", ID: 8, ElevationDeg: known(10), AzimuthDeg: known(200)},
			{System: "GLONASS", ID: 7, CN0DBHz: known(30)},
		})
	}
	f := h.Figures()
	if f.Reports != 100 || f.MeanListed != 3 || f.MeanHeard != 2 || f.MeanUsed != 1 || f.FourShare != 0 || f.BestDBHz != known(40) || f.FourthDBHz.IsKnown() || len(f.Satellites) != 3 {
		t.Errorf("%+v", f)
	}
	if s := f.Satellites[1]; s.System != "GPS" || s.ID != 7 || s.MeanDBHz != known(40) || s.DeviationDB != known(0) || s.UsedShare != 1 {
		t.Errorf("%+v", s)
	}
	if s := f.Satellites[2]; s.MeanDBHz.IsKnown() || s.Heard != 0 || s.Listed != 100 {
		t.Errorf("%+v", s)
	}
	if f := NewHearing().Figures(); f.Reports != 0 || f.BestDBHz.IsKnown() {
		t.Errorf("%+v", f)
	}
	// Nothing in view is heard as nothing, not as no report.
	none := NewHearing()
	for range 100 {
		none.Add(nil)
	}
	g := none.Figures()
	if w := g.Antenna(); len(w) == 0 || w[0].State.Name != "missing" {
		t.Errorf("nothing heard: %+v", w)
	}
}

// TestStrangeSkies: numbers out of range and more satellites than there are harm nothing.
func TestStrangeSkies(t *testing.T) {
	h := NewHearing()
	r := rand.New(rand.NewPCG(29, 1))
	odd := func() maybe.Value[float64] {
		switch r.IntN(4) {
		case 0:
			return maybe.Value[float64]{}
		case 1:
			return maybe.Known(1000*r.Float64() - 500)
		}
		return maybe.Known(360 * r.Float64())
	}
	for range 2000 {
		var view []Heard
		for range r.IntN(60) {
			view = append(view, Heard{System: "?", ID: r.IntN(1000) - 500, ElevationDeg: odd(), AzimuthDeg: odd(), CN0DBHz: odd()})
		}
		h.Add(view)
	}
	f := h.Figures()
	f.Antenna()
	if len(f.Satellites) != maxHeard || h.dropped == 0 {
		t.Errorf("%d satellites, %d dropped", len(f.Satellites), h.dropped)
	}
}

func TestHearingAllocates(t *testing.T) {
	h := NewHearing()
	var view []Heard
	for id := range 20 {
		view = append(view, Heard{System: "GPS", ID: id, ElevationDeg: maybe.Known(float64(4 * id)), AzimuthDeg: maybe.Known(float64(17 * id)), CN0DBHz: maybe.Known(float64(30 + id%10))})
	}
	h.Add(view)
	if n := testing.AllocsPerRun(1000, func() { h.Add(view) }); n != 0 {
		t.Errorf("%v allocations for each report", n)
	}
}

// Enough: five sentences of GSV, 350 octets, tell of 20 satellites; at 200 MB/s they take 1.75 µs. A third of that.
func BenchmarkHearing(b *testing.B) {
	h := NewHearing()
	var view []Heard
	for id := range 20 {
		view = append(view, Heard{System: "GPS", ID: id, ElevationDeg: maybe.Known(float64(4 * id)), AzimuthDeg: maybe.Known(float64(17 * id)), CN0DBHz: maybe.Known(float64(30 + id%10))})
	}
	b.SetBytes(350)
	b.ReportAllocs()
	for b.Loop() {
		h.Add(view)
	}
}
