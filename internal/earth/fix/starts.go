package fix

import (
	"math"
	"slices"

	"firstfix/internal/maybe"
)

// A Run is one start of a receiver: how long it took to the first fix, or was waited for in vain.
type Run struct {
	Start string  // "cold", "warm", "hot", or what is known of it
	TookS float64 // to the fix; without one, until nobody waited any longer
	Found bool
}

// StartWatch finds starts in a stream of epochs: where they begin, where they begin again after a
// silence, and where it is told that one is. It is a machine without hands.
type StartWatch struct {
	kind    string // of the next start, as told; "" when nobody said
	open    bool
	begun   bool
	began   float64
	last    float64
	current string
}

// StartGapS is a silence after which a receiver that speaks again was switched off in between:
// most speak every second, the slowest in use every ten. Our estimate.
const StartGapS = 30

// Kinds of start when nobody says which it was. A receiver that knows the date at once has a clock
// that kept running, or a fix already.
const (
	StartClockKept = "clock kept"
	StartClockLost = "clock lost"
	StartUnclear   = "clock not told"
)

// Restart says that the receiver starts anew with the next epoch, and how. "" leaves the kind open.
func (w *StartWatch) Restart(kind string, out []Run) []Run {
	out = w.close(out)
	w.kind, w.begun = kind, false
	return out
}

// Add takes an epoch. It appends the start that this ends to out.
func (w *StartWatch) Add(atS float64, f *Fix, out []Run) []Run {
	if !w.begun || atS-w.last >= StartGapS || atS < w.last {
		out = w.close(out)
		w.open, w.begun, w.began = true, true, atS
		w.current, w.kind = w.kind, ""
		if w.current == "" {
			w.current = kindOf(f)
		}
	}
	w.last = atS
	if w.open && atS == w.began && f.Valid {
		w.open = false // it had a fix before anybody listened: nothing was measured
	}
	if w.open && f.Valid && f.Point.IsKnown() {
		w.open = false
		out = append(out, Run{w.current, atS - w.began, true})
	}
	return out
}

func kindOf(f *Fix) string {
	switch {
	case f.UTC.IsKnown():
		return StartClockKept
	case f.TimeOfDay.IsKnown():
		return StartUnclear // the time of day alone: no sentence with a date yet
	}
	return StartClockLost
}

// End closes a start that nobody waited for any longer.
func (w *StartWatch) End(out []Run) []Run { return w.close(out) }

func (w *StartWatch) close(out []Run) []Run {
	if w.open && w.last > w.began {
		out = append(out, Run{w.current, w.last - w.began, false})
	}
	w.open = false
	return out
}

// A Bound is a figure of waiting times: not known where so many starts never came to a fix.
type Bound struct {
	Value maybe.Value[float64] `json:"value"`
	Low   maybe.Value[float64] `json:"low"` // 95 of 100
	High  maybe.Value[float64] `json:"high"`
}

// A Within is how many starts have a fix after so long.
type Within struct {
	S     float64  `json:"s"`
	Share float64  `json:"share"`
	Range Interval `json:"range"`
}

// StartFigures are the first fixes of one kind of start.
type StartFigures struct {
	Start        string
	Count, Found int
	LeastS       float64 // of those found; 0 when none
	MostS        float64
	MedianS      Bound
	P95S         Bound
	Within       []Within
}

// withinS are the waiting times that are told of: a frame, a minute, two, five (IS-GPS-200: a frame is 30 s).
var withinS = [...]float64{30, 60, 120, 300}

// Starts puts starts into figures, a row for each kind, in the order in which they first came.
func Starts(runs []Run) []StartFigures {
	var kinds []string
	for i := range runs {
		if !slices.Contains(kinds, runs[i].Start) {
			kinds = append(kinds, runs[i].Start)
		}
	}
	var out []StartFigures
	for _, kind := range kinds {
		var own []Run
		for i := range runs {
			if runs[i].Start == kind {
				own = append(own, runs[i])
			}
		}
		out = append(out, startFigures(kind, own))
	}
	return out
}

func startFigures(kind string, runs []Run) StartFigures {
	f := StartFigures{Start: kind, Count: len(runs)}
	slices.SortStableFunc(runs, func(a, b Run) int {
		switch {
		case a.TookS < b.TookS:
			return -1
		case a.TookS > b.TookS:
			return 1
		case a.Found && !b.Found:
			return -1
		case b.Found && !a.Found:
			return 1
		}
		return 0
	})
	for i := range runs {
		if !runs[i].Found {
			continue
		}
		if f.Found == 0 {
			f.LeastS = runs[i].TookS
		}
		f.Found++
		f.MostS = runs[i].TookS
	}
	c := survivors(runs)
	f.MedianS, f.P95S = c.quantile(0.5, runs), c.quantile(0.95, runs)
	for _, s := range withinS {
		if w, ok := c.within(s); ok {
			f.Within = append(f.Within, w)
		}
	}
	return f
}

// curve is which part of the starts are still without a fix, by E. L. Kaplan and P. Meier, Journal of
// the American Statistical Association 53 (1958) 457: starts that were broken off count until then.
type curve struct {
	at      []float64 // times of fixes
	left    []float64 // part still without one after it
	spread  []float64 // Greenwood's sum: the variance of left is left² times this
	risk    []float64 // starts that were still waited for just before
	longest float64   // the longest waiting, found or not
}

func survivors(runs []Run) *curve {
	c := &curve{}
	left, spread := 1.0, 0.0
	for i := 0; i < len(runs); {
		risk, fixes, j := float64(len(runs)-i), 0.0, i
		for ; j < len(runs) && runs[j].TookS == runs[i].TookS; j++ {
			if runs[j].Found {
				fixes++
			}
		}
		if fixes > 0 {
			left *= 1 - fixes/risk
			spread += fixes / (risk * (risk - fixes)) // infinite when the last one is found: left is 0 then
			c.at, c.left, c.spread, c.risk = append(c.at, runs[i].TookS), append(c.left, left), append(c.spread, spread), append(c.risk, risk)
		}
		c.longest = runs[i].TookS
		i = j
	}
	return c
}

// quantile is after how long a part of the starts have a fix.
func (c *curve) quantile(part float64, runs []Run) (b Bound) {
	for i, left := range c.left {
		if left <= 1-part+1e-12 {
			b.Value = maybe.Known(c.at[i])
			break
		}
	}
	broken := slices.ContainsFunc(runs, func(r Run) bool { return !r.Found })
	if !broken {
		return c.byRank(part, runs, b)
	}
	// R. Brookmeyer and J. Crowley, Biometrics 38 (1982) 29, on the scale log(-log): times at which
	// the part does not contradict the curve.
	target := math.Log(-math.Log(1 - part))
	seen := false
	for i, left := range c.left {
		off := math.Inf(1) // everyone has a fix
		if left > 0 && left < 1 {
			off = (math.Log(-math.Log(left)) - target) / math.Sqrt(c.spread[i]) * -math.Log(left)
		}
		if off >= -z95 && !seen {
			seen = true
			b.Low = maybe.Known(c.at[i])
		}
		if off > z95 {
			b.High = maybe.Known(c.at[i])
			break
		}
	}
	return b
}

// byRank is the exact interval where every start found its fix: between the two ranks that the
// true quantile lies between with 95 of 100, by the binomial distribution, whatever the times' own.
func (c *curve) byRank(part float64, runs []Run, b Bound) Bound {
	n := len(runs)
	low, high, below := 0, n+1, 0.0 // ranks from 1
	for k := 0; k <= n; k++ {
		// below is the chance that fewer than k starts have a fix before the true quantile.
		if below <= 0.025 {
			low = k
		}
		if high > n && below >= 0.975 {
			high = k
		}
		below += binomial(n, k, part)
	}
	if low >= 1 {
		b.Low = maybe.Known(runs[low-1].TookS)
	}
	if high <= n {
		b.High = maybe.Known(runs[high-1].TookS)
	}
	return b
}

// binomial is the chance of k hits in n trials.
func binomial(n, k int, p float64) float64 {
	lg := func(x int) float64 { v, _ := math.Lgamma(float64(x) + 1); return v }
	return math.Exp(lg(n) - lg(k) - lg(n-k) + float64(k)*math.Log(p) + float64(n-k)*math.Log1p(-p))
}

// within is how many starts have a fix after so long; not ok when nobody waited so long.
func (c *curve) within(s float64) (w Within, ok bool) {
	w = Within{S: s}
	if len(c.at) == 0 && c.longest < s || c.longest < s && c.left[len(c.left)-1] > 0 {
		return w, false
	}
	left, spread, risk := 1.0, 0.0, 0.0
	for i, at := range c.at {
		if at <= s {
			left, spread = c.left[i], c.spread[i]
		}
	}
	if len(c.risk) > 0 {
		risk = c.risk[0]
	}
	w.Share = 1 - left
	// So many starts as would scatter as much as the curve does there, then Wilson's interval.
	n := risk
	if left > 0 && left < 1 && spread > 0 {
		n = (1 - left) / (left * spread)
	}
	w.Range = Wilson(w.Share, n)
	return w, true
}
