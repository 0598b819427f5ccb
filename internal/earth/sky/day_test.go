package sky

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// TestDOPTable: arrangements and their dilutions, worked out from the definition by another
// program than this (Q = inverse(A'A), rows of sines and cosines of azimuth and elevation); the
// first five also follow by hand, see TestDOP.
func TestDOPTable(t *testing.T) {
	for _, row := range []struct {
		looks         []Look
		g, p, h, v, t float64
	}{
		{[]Look{{90, 0}, {0, 0}, {0, 120}, {0, 240}}, 1.7321, 1.6330, 1.1547, 1.1547, 0.5774},
		{[]Look{{90, 0}, {5, 0}, {5, 120}, {5, 240}}, 1.8311, 1.7157, 1.1591, 1.2649, 0.6396},
		{[]Look{{90, 0}, {10, 0}, {10, 120}, {10, 240}}, 1.9646, 1.8241, 1.1725, 1.3973, 0.7296},
		{[]Look{{90, 0}, {30, 0}, {30, 120}, {30, 240}}, 3.0732, 2.6667, 1.3333, 2.3094, 1.5275},
		// A regular tetrahedron: the least GDOP of four satellites, root of 2.5.
		{[]Look{{90, 0}, {-19.4712206, 0}, {-19.4712206, 120}, {-19.4712206, 240}}, 1.5811, 1.5000, 1.2247, 0.8660, 0.5000},
		{[]Look{{85, 0}, {40, 30}, {20, 75}, {60, 120}, {15, 165}, {35, 210}, {50, 270}, {10, 315}}, 1.7704, 1.5717, 0.9231, 1.2721, 0.8149},
		{[]Look{{40, 83}, {17, 308}, {7, 344}, {22, 228}}, 7.288, 6.667, 2.168, 6.305, 2.943},
		{[]Look{{60, 0}, {55, 20}, {65, 350}, {70, 10}}, 213.3, 151.7, 70.2, 134.5, 149.9},
	} {
		g := NewGeometry(row.looks, nil)
		d := g.DOP()
		for i, c := range []struct{ got, want float64 }{{d.G, row.g}, {d.P, row.p}, {d.H, row.h}, {d.V, row.v}, {d.T, row.t}} {
			if !g.Valid || math.Abs(c.got-c.want) > 0.00051*math.Max(1, c.want) {
				t.Errorf("%v, figure %d: %.4f, want %.4f", row.looks, i, c.got, c.want)
			}
		}
	}
}

var (
	somePlace = NewHorizon(52.6184, 9.2735, 100)
	someDay   = time.Date(2026, 3, 4, 0, 0, 0, 0, time.UTC)
	fiveDeg   = Mask{ElevationDeg: 5}
)

// TestDay: a day at 52 degrees north. The standard promises four satellites and PDOP of 6 or less
// nearly always, with 24 of them 8 or 9 above 5 degrees on the mean (the share of the sphere
// above 5 degrees at that distance times 24 is 8.2).
func TestDay(t *testing.T) {
	day := OverDay(Nominal(), &somePlace, &fiveDeg, someDay, 24*time.Hour, time.Minute)
	s := Summarise(day)
	if s.Moments != 1441 || s.FewestVisible < 4 || s.MeanVisible < 7 || s.MeanVisible > 9.5 || s.GoodShare < 0.97 || s.MedianPDOP < 1.3 || s.MedianPDOP > 3 {
		t.Errorf("%+v", s)
	}
	// Half the sky is gone: fewer satellites, worse geometry.
	wall := Mask{ElevationDeg: 5, Obstacles: []Obstacle{{FromDeg: 90, ToDeg: 270, UpToDeg: 70}}}
	w := Summarise(OverDay(Nominal(), &somePlace, &wall, someDay, 24*time.Hour, time.Minute))
	if w.MeanVisible > s.MeanVisible*0.7 || w.GoodShare > s.GoodShare || w.MedianPDOP < s.MedianPDOP {
		t.Errorf("behind a wall: %+v", w)
	}
	if s := Summarise(nil); s != (Summary{}) {
		t.Errorf("of no day: %+v", s)
	}
}

// TestBest compares with trying every window.
func TestBest(t *testing.T) {
	day := OverDay(Nominal(), &somePlace, &Mask{ElevationDeg: 15}, someDay, 24*time.Hour, 5*time.Minute)
	best, worst, ok := Best(day, time.Hour, 3)
	if !ok || len(best) != 3 {
		t.Fatalf("%v %v", best, ok)
	}
	const k = 13
	high, low := 0.0, math.Inf(1)
	for i := 0; i+k <= len(day); i++ {
		sum := 0.0
		for j := i; j < i+k; j++ {
			if day[j].Valid {
				sum += 1 / day[j].DOP.P
			} else {
				sum += 1e-6
			}
		}
		high, low = max(high, sum/k), min(low, sum/k)
	}
	if math.Abs(best[0].MeanPDOP-1/high) > 1e-9 || math.Abs(worst.MeanPDOP-1/low) > 1e-6 {
		t.Errorf("best %.4f worst %.4f, want %.4f %.4f", best[0].MeanPDOP, worst.MeanPDOP, 1/high, 1/low)
	}
	for i := range best {
		for j := range best[:i] {
			if best[i].From.Before(best[j].To) && best[j].From.Before(best[i].To) {
				t.Errorf("%v and %v overlap", best[i], best[j])
			}
		}
		if i > 0 && best[i].MeanPDOP < best[i-1].MeanPDOP {
			t.Error("not the best first")
		}
	}
	if _, _, ok := Best(day[:5], time.Hour, 1); ok {
		t.Error("a window longer than the day")
	}
}

// TestPasses: at every minute, those above are those between rise and set.
func TestPasses(t *testing.T) {
	c := Nominal()
	mask := Mask{ElevationDeg: 10, Obstacles: []Obstacle{{FromDeg: 350, ToDeg: 40, UpToDeg: 35}}}
	passes := Passes(c, &somePlace, &mask, someDay, 24*time.Hour)
	for m := range 1440 {
		at := someDay.Add(time.Duration(m)*time.Minute + 7*time.Second)
		want := map[int]bool{}
		for _, s := range c.Above(&somePlace, &mask, at, nil) {
			want[s.Index] = true
		}
		for _, p := range passes {
			in := !at.Before(p.Rise) && at.Before(p.Set)
			near := at.Sub(p.Rise).Abs() < 2*time.Second || at.Sub(p.Set).Abs() < 2*time.Second
			if in && !want[p.Index] && !near {
				t.Fatalf("%s is said to be up at %v", p.Name, at)
			}
			if in {
				delete(want, p.Index)
			}
		}
		for n := range want {
			// A graze shorter than the step is not looked for.
			l := c.Above(&somePlace, &mask, at, nil)
			for _, s := range l {
				if s.Index == n && s.ElevationDeg > 11 && !(s.AzimuthDeg > 345 || s.AzimuthDeg < 45) {
					t.Fatalf("%s is up at %v (%.1f degrees) and no pass says so", s.Name, at, s.ElevationDeg)
				}
			}
		}
	}
}

// TestMask: obstacles through north, and below their upper edge only.
func TestMask(t *testing.T) {
	m := Mask{ElevationDeg: 5, Obstacles: []Obstacle{{FromDeg: 300, ToDeg: 20, UpToDeg: 30}}}
	for _, test := range []struct {
		look Look
		want bool
	}{{Look{4.9, 100}, true}, {Look{5, 100}, false}, {Look{29, 310}, true}, {Look{29, 0}, true}, {Look{29, 20}, true}, {Look{29, 21}, false}, {Look{31, 0}, false}} {
		if got := m.Hides(test.look); got != test.want {
			t.Errorf("%+v hidden: %v", test.look, got)
		}
	}
}

// TestSubframeChance: a bit of BPSK is wrong once in 100,000 at Eb/N0 of 9.6 dB (the usual
// textbook point); with 17 dB for 50 bit/s and what the receiver loses that is 28.1 dB-Hz, and
// of 300 bits 0.3 % go wrong. "About 26 to 27 dB-Hz for 50 bit/s" is where messages begin to break.
func TestSubframeChance(t *testing.T) {
	if got := SubframeChance(9.6 + 10*math.Log10(50) + decodeLossDB); math.Abs((1-got)-300e-5) > 2e-4 {
		t.Errorf("1 - %.5f, want 0.003 wrong", got)
	}
	if high, low := SubframeChance(27), SubframeChance(23); high < 0.85 || low > 0.2 {
		t.Errorf("%.3f at 27 dB-Hz, %.3f at 23", high, low)
	}
	if SubframeChance(45) < 0.999999 {
		t.Error("an open sky breaks messages")
	}
}

// TestExpect compares with a great many starts, played subframe by subframe.
func TestExpect(t *testing.T) {
	var seen []Seen
	for _, e := range []float64{3, 4, 5, 8, 9, 70} {
		seen = append(seen, Seen{Healthy: true, Look: Look{ElevationDeg: e}})
	}
	for _, view := range []View{Views[0], {Name: "weak", LossDB: 7}} {
		for _, start := range Starts {
			want := playStarts(start, view, seen)
			got := Expect(start, view, seen)
			if !got.Possible || math.Abs(got.MedianS-want[0]) > 1 || math.Abs(got.P95S-want[1]) > math.Max(1.5, 0.03*want[1]) {
				t.Errorf("%s, %s: half %.1f s, 95 of 100 %.1f s; played %.1f and %.1f", start.Name, view.Name, got.MedianS, got.P95S, want[0], want[1])
			}
		}
	}
	// Without broken bits: half within 18 + …: a start in the last two subframes of a frame waits 18 to
	// 30 s, one in the first three 30 to 36 s, so 95 of 100 within 36 s.
	open := Expect(Starts[0], Views[0], seen)
	if open.FloorS != 18 || open.P95S-Starts[0].SearchS > 36 || open.MedianS-Starts[0].SearchS < 30 {
		t.Errorf("cold: %+v", open)
	}
	if hot := Expect(Starts[2], Views[0], seen); hot.P95S-Starts[2].SearchS > 7.2 {
		t.Errorf("hot: %+v", hot)
	}
	if in := Expect(Starts[0], Views[3], seen); in.Possible || !math.IsInf(in.MedianS, 1) {
		t.Errorf("indoors: %+v", in)
	}
}

func playStarts(start Start, view View, seen []Seen) [2]float64 {
	r := rand.New(rand.NewPCG(5, 6))
	var times []float64
	for range 20000 {
		phase := 30 * r.Float64()
		var ends []float64
		for _, s := range seen {
			if cn0 := ExpectedCN0dBHz(s.ElevationDeg, view.LossDB); cn0 >= acquireDBHz {
				ends = append(ends, playOne(r, start, SubframeChance(cn0), phase))
			}
		}
		for i := range ends {
			for j := range ends[:i] {
				if ends[j] > ends[i] {
					ends[i], ends[j] = ends[j], ends[i]
				}
			}
		}
		times = append(times, ends[3]-phase+start.SearchS)
	}
	return [2]float64{part(times, 0.5), part(times, 0.95)}
}

// playOne reads subframes one after the other from the first that begins after the start.
func playOne(r *rand.Rand, start Start, c, phase float64) float64 {
	have := [5]bool{}
	for n := int(math.Ceil(phase / 6)); ; n++ {
		if start.Ephemeris {
			if r.Float64() < math.Pow(c, 0.2) {
				return float64(n)*6 + 1.2
			}
			continue
		}
		if r.Float64() < c {
			have[n%5] = true
		}
		if have[0] && have[1] && have[2] {
			return float64(n)*6 + 6
		}
	}
}

func part(v []float64, share float64) float64 {
	for lo, hi := 0.0, 2000.0; ; {
		mid := (lo + hi) / 2
		n := 0
		for _, x := range v {
			if x <= mid {
				n++
			}
		}
		if float64(n) < share*float64(len(v)) {
			lo = mid
		} else {
			hi = mid
		}
		if hi-lo < 0.01 {
			return hi
		}
	}
}

// Enough: a day in minutes, all satellites and the geometry of each, in 20 ms.
func BenchmarkOverDay(b *testing.B) {
	c := Nominal()
	b.ReportAllocs()
	for b.Loop() {
		OverDay(c, &somePlace, &fiveDeg, someDay, 24*time.Hour, time.Minute)
	}
}
