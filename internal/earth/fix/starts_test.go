package fix

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"firstfix/internal/maybe"
)

// TestSurvivors holds the curve against the example of every textbook of survival analysis: weeks
// in remission of 21 patients (E. J. Freireich and others, Blood 21 (1963) 699; the group that was
// treated; + is broken off): 6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+.
// The curve and Greenwood's errors are printed there to three and four places.
func TestSurvivors(t *testing.T) {
	var runs []Run
	for _, week := range []float64{6, 6, 6, -6, 7, -9, 10, -10, -11, 13, 16, -17, -19, -20, 22, 23, -25, -32, -32, -34, -35} {
		runs = append(runs, Run{"cold", math.Abs(week), week > 0})
	}
	c := survivors(runs)
	want := []struct{ at, left, deviation float64 }{
		{6, 0.857, 0.0764}, {7, 0.807, 0.0869}, {10, 0.753, 0.0963}, {13, 0.690, 0.1068}, {16, 0.627, 0.1141}, {22, 0.538, 0.1282}, {23, 0.448, 0.1346},
	}
	if len(c.at) != len(want) {
		t.Fatalf("%+v", c)
	}
	for i, w := range want {
		deviation := c.left[i] * math.Sqrt(c.spread[i])
		if c.at[i] != w.at || math.Abs(c.left[i]-w.left) > 0.0006 || math.Abs(deviation-w.deviation) > 6e-5 {
			t.Errorf("after %v: %.4f +- %.5f, the book says %v: %.3f +- %.4f", c.at[i], c.left[i], deviation, w.at, w.left, w.deviation)
		}
	}
	f := Starts(runs)[0]
	if f.MedianS.Value != maybe.Known(23.0) {
		t.Errorf("median %v, the book says 23", f.MedianS.Value)
	}
	// On the log(-log) scale statistics packages give 13 and no upper bound for it (from memory).
	if f.MedianS.Low != maybe.Known(13.0) || f.MedianS.High.IsKnown() || f.P95S.Value.IsKnown() {
		t.Errorf("median %+v, 95 of 100 %+v", f.MedianS, f.P95S)
	}
	if f.Count != 21 || f.Found != 9 || f.LeastS != 6 || f.MostS != 23 {
		t.Errorf("%+v", f)
	}
	for _, w := range f.Within {
		if w.S == 30 && (math.Abs(w.Share-0.552) > 0.001 || w.Range.Low > 0.40 || w.Range.High < 0.70 || w.Range.Low < 0.25 || w.Range.High > 0.85) {
			t.Errorf("within 30: %+v", w)
		}
		if w.S > 35 {
			t.Errorf("nobody waited %v", w.S)
		}
	}
}

// TestRanks: the ranks between which a median lies with 95 of 100, from the table that books of
// nonparametric statistics have (W. J. Conover's, from memory): n = 6: 1 and 6; 10: 2 and 9; 15: 4 and 12;
// 20: 6 and 15; 30: 10 and 21; 100: 40 and 61. Of five starts nothing can be said.
func TestRanks(t *testing.T) {
	for n, want := range map[int][2]float64{6: {1, 6}, 10: {2, 9}, 15: {4, 12}, 20: {6, 15}, 30: {10, 21}, 100: {40, 61}, 5: {0, 0}} {
		var runs []Run
		for i := range n {
			runs = append(runs, Run{"cold", float64(i + 1), true}) // the time is the rank
		}
		b := Starts(runs)[0].MedianS
		if b.Low.Or(0) != want[0] || b.High.Or(0) != want[1] {
			t.Errorf("of %d: ranks %v to %v, the table says %v", n, b.Low, b.High, want)
		}
	}
	// An upper bound to what 95 of 100 stay below needs 72 starts: 0.95 to the 72nd is below 0.025.
	for n, want := range map[int]bool{71: false, 72: true} {
		var runs []Run
		for i := range n {
			runs = append(runs, Run{"cold", float64(i + 1), true})
		}
		if b := Starts(runs)[0].P95S; b.High.IsKnown() != want || b.Value.Or(0) != math.Ceil(0.95*float64(n)) {
			t.Errorf("of %d: %+v", n, b)
		}
	}
}

// TestStartIntervalsHold: exponential waiting times, broken off after a time of their own or not.
func TestStartIntervalsHold(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 1))
	const runs, starts, mean = 400, 40, 40.0
	for _, broken := range []bool{false, true} {
		holds, within := 0, 0
		for range runs {
			var list []Run
			for range starts {
				took, limit := mean*r.ExpFloat64(), math.Inf(1)
				if broken {
					limit = 120 * r.Float64()
				}
				list = append(list, Run{"warm", math.Min(took, limit), took <= limit})
			}
			f := Starts(list)[0]
			truth := mean * math.Ln2
			if f.MedianS.Low.Or(0) <= truth && truth <= f.MedianS.High.Or(math.Inf(1)) {
				holds++
			}
			for _, w := range f.Within {
				if truth := 1 - math.Exp(-30/mean); w.S == 30 && w.Range.Low <= truth && truth <= w.Range.High {
					within++
				}
			}
		}
		if holds < runs*91/100 || within < runs*91/100 {
			t.Errorf("broken off %v: medians %d, within 30 s %d of %d", broken, holds, within, runs)
		}
	}
}

func TestStartWatch(t *testing.T) {
	good := fixAt(yard, 0, 0, 61)
	dated := Fix{UTC: maybe.Known(time.Date(2026, 3, 4, 0, 0, 0, 0, time.UTC))}
	clock := Fix{TimeOfDay: maybe.Known(time.Hour)}
	none := Fix{}
	var w StartWatch
	var runs []Run
	feed := func(from, to float64, f Fix) {
		for at := from; at < to; at++ {
			runs = w.Add(at, &f, runs)
		}
	}
	feed(0, 33, none) // nothing is known: 33 s to the fix
	feed(33, 100, good)
	feed(100, 110, none) // lost again: no start
	feed(110, 120, good)
	feed(200, 210, dated) // after a silence
	feed(210, 220, good)
	runs = w.Restart("hot", runs)
	feed(221, 223, clock)
	feed(223, 225, good)
	feed(300, 360, clock) // never
	feed(400, 410, good)  // a fix at once: it was running before
	runs = w.End(runs)
	runs = w.End(runs)
	want := []Run{{StartClockLost, 33, true}, {StartClockKept, 10, true}, {"hot", 2, true}, {StartUnclear, 59, false}}
	if len(runs) != len(want) {
		t.Fatalf("%+v", runs)
	}
	for i := range want {
		if runs[i] != want[i] {
			t.Errorf("%+v, want %+v", runs[i], want[i])
		}
	}
	if f := Starts(nil); len(f) > 0 {
		t.Errorf("of no start: %+v", f)
	}
	never := Starts([]Run{{"cold", 600, false}, {"cold", 20, false}})
	if f := never[0]; f.Found != 0 || f.MedianS.Value.IsKnown() || len(f.Within) != 4 || f.Within[0].Share != 0 {
		t.Errorf("%+v", f)
	}
}
