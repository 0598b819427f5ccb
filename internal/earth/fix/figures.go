package fix

import (
	"math"
	"slices"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
)

// A Figure is a value and where it lies with a confidence of 95 of 100, allowing for positions
// that hang together: a second later a receiver makes nearly the same error. The interval says how
// this run would come out again under the same conditions, not how far off the truth is. Of simulated
// runs that were worth 75 positions, 87 (of deviations) to 97 (of CEP50) of 100 intervals held the truth.
type Figure struct {
	Value float64               `json:"value"`
	Range maybe.Value[Interval] `json:"range"` // not known: the run is too short to say
}

// StillFigures is what the positions of a still antenna amount to.
type StillFigures struct {
	Epochs    int64   // told
	Valid     int64   // with a position that counts
	Missed    int64   // that the rhythm would have had, in gaps of the log
	Backwards int64   // left out: their time was before the last
	SpanS     float64 // from the first epoch to the last, without breaks between logs
	EveryS    float64 // the usual time between epochs
	Kept      int64   // positions that shares are taken from
	Stride    int64   // one in so many was kept

	// RepeatShare is how many positions are the one before to the last digit. Receivers that believe to stand
	// hold their position: what scatters then is the holding, not the measuring.
	RepeatShare float64

	Available      Figure // share of the epochs told that have a valid position
	Outages        int64
	LongestOutageS float64

	Mean        geo.Point
	MeanWithinM maybe.Value[float64] // the mean of a very long run lies so near, 95 of 100
	EastM       float64              // deviation
	NorthM      float64              // deviation

	CEP50M, R68M, R95M Figure // 50, 68.27 and 95 of 100 are nearer to the mean
	DRMSM, TwoDRMSM    Figure
	LargestM           float64

	Ellipse Ellipse
	// NormalCEP50M and NormalR95M are what a normal distribution with that ellipse would have: when
	// the positions' own are far from them, there are reflections or jumps among them.
	NormalCEP50M, NormalR95M float64

	Height maybe.Value[HeightFigures]
	Hang   maybe.Value[Correlation]
	Drift  maybe.Value[Drift]
	Means  []Averaged // what averaging brings, short to long

	Truth maybe.Value[TruthFigures]
}

// An Ellipse is the deviation in each direction: 39.35 of 100 positions of a normal
// distribution lie in it, and 95 of 100 in one 2.4477 times as large.
type Ellipse struct {
	MajorM, MinorM Figure
	TurnDeg        float64              // direction of the longer axis, 0 (north) to below 180, clockwise
	TurnWithinDeg  maybe.Value[float64] // not known: too round, or too short a run, to say
}

// HeightFigures are of the altitude above the sea, as told.
type HeightFigures struct {
	Count      int64
	MeanM      Figure
	DeviationM Figure
	P95M       Figure // 95 of 100 are nearer to the mean
	LowestM    float64
	HighestM   float64
	GeoidM     maybe.Value[float64] // as the sentences say, their mean
}

// Correlation is how positions hang together in time.
type Correlation struct {
	TimeS             maybe.Value[float64] // after which likeness has fallen to 1/e
	IndependentEveryS float64              // one independent position in so long
	Independent       float64              // how many independent ones the run is worth
	Settled           bool                 // false: the run is too short to say; there are fewer
}

// Drift is a steady motion of the position.
type Drift struct {
	EastMPerH, NorthMPerH Figure
	Real                  bool // more than chance
}

// Averaged is what the mean of all positions of so long a time is worth.
type Averaged struct {
	OverS   float64
	WithinM float64 // such a mean lies so near to that of the whole run, 95 of 100
	Blocks  int     // stretches of the run from which that was seen
}

// TruthFigures hold the positions against a place that is known.
type TruthFigures struct {
	Point         geo.Point
	OffsetM       float64 // of the mean
	OffsetDeg     float64 // its direction, clockwise from north
	EastM, NorthM Figure  // of the mean
	Real          bool    // the offset is not explained by the length of the run
	CEP50M, R95M  Figure  // about the truth
	DRMSM         Figure
	LargestM      float64
	HeightM       maybe.Value[Figure] // mean altitude less the known one
}

// Figures puts what was collected into figures; false while there is no valid position. It may
// be called at any time, and changes nothing.
func (s *Still) Figures() (StillFigures, bool) {
	c := *s // the ladders are values, so they are copied; slices are only read
	if c.every == 0 {
		c.early = slices.Clone(c.early)
		c.settle()
	}
	f := StillFigures{Epochs: c.epochs, Valid: c.valid, Missed: c.missed, Backwards: c.backwards, SpanS: c.span, EveryS: c.every,
		Kept: int64(len(c.kept)), Stride: c.stride, Outages: c.outages, LongestOutageS: c.longestOut}
	if c.epochs == 0 {
		return f, false
	}
	f.Available = c.availability()
	if c.valid == 0 {
		return f, false
	}
	n := float64(c.valid)
	if c.valid > 1 {
		f.RepeatShare = float64(c.repeats) / (n - 1)
	}
	meanE, meanN := c.sumE/n, c.sumN/n
	f.Mean, _ = geo.FromENU(c.origin, 0, meanE, meanN, 0)
	varE, varN := math.Max(0, c.sumEE/n-meanE*meanE), math.Max(0, c.sumNN/n-meanN*meanN)
	cov := c.sumEN/n - meanE*meanN
	f.EastM, f.NorthM = math.Sqrt(varE), math.Sqrt(varN)

	view := c.view(meanE, meanN)
	east, _, ok := c.axes()
	view.fromOwnMean(east, ok)
	f.CEP50M, f.R68M, f.R95M = view.share(0.5), view.share(0.6827), view.share(0.95)
	f.DRMSM = view.rms(math.Sqrt(varE + varN))
	f.TwoDRMSM = f.DRMSM.times(2)
	f.LargestM = c.largest(meanE, meanN)
	f.Ellipse = view.ellipse(varE, varN, cov)
	f.NormalCEP50M = CircleHolding(0.5, f.Ellipse.MajorM.Value, f.Ellipse.MinorM.Value)
	f.NormalR95M = CircleHolding(0.95, f.Ellipse.MajorM.Value, f.Ellipse.MinorM.Value)
	f.Height = c.heightFigures()
	if hang, ok := c.hang(view); ok {
		f.Hang = maybe.Known(hang)
	}
	f.MeanWithinM = c.meanWithin()
	f.Drift = view.drift()
	f.Means = c.means()
	if p, ok := c.truth.Get(); ok {
		f.Truth = maybe.Known(c.truthFigures(p, meanE, meanN, varE+varN))
	}
	return f, true
}

func (f Figure) times(k float64) Figure {
	out := Figure{Value: k * f.Value}
	if r, ok := f.Range.Get(); ok {
		out.Range = maybe.Known(Interval{k * r.Low, k * r.High})
	}
	return out
}

func (c *Still) availability() Figure {
	share := float64(c.valid) / float64(c.epochs)
	f := Figure{Value: share}
	w, ok := c.available.worth()
	switch {
	case ok:
		f.Range = maybe.Known(Wilson(share, w.independent()))
	case w.steps >= minBlocks: // always or never so: nothing says that epochs hang together
		f.Range = maybe.Known(Wilson(share, w.steps))
	}
	return f
}

// meanWithin is the radius around the mean in which that of a very long run lies.
func (c *Still) meanWithin() maybe.Value[float64] {
	e, n, ok := c.axes()
	if !ok {
		return maybe.Value[float64]{}
	}
	// Half widths of 95 of 100 along each axis, as deviations, then the circle of 95 of 100.
	return maybe.Known(CircleHolding(0.95, e.half()/z95, n.half()/z95))
}

// axes is what both axes are worth. Both hang together as long as the one that does so longer: it is one
// receiver, and how long is known to a quarter at best.
func (c *Still) axes() (e, n worth, ok bool) {
	e, ok1 := c.east.worth()
	n, ok2 := c.north.worth()
	long := e
	if n.inefficient > e.inefficient {
		long = n
	}
	for _, w := range []*worth{&e, &n} {
		w.inefficient, w.blocks, w.settled = long.inefficient, long.blocks, e.settled && n.settled
	}
	return e, n, ok1 && ok2
}

// hang is how positions hang together: by the axis that hangs together longest.
func (c *Still) hang(v *view) (h Correlation, ok bool) {
	w, _, ok := c.axes()
	if !ok {
		return h, false
	}
	h = Correlation{IndependentEveryS: w.inefficient * c.every, Independent: w.independent(), Settled: w.settled}
	h.TimeS = v.fallsBy(1 / math.E)
	return h, true
}

// means is the scatter of block means against their length.
func (c *Still) means() (out []Averaged) {
	for i := range min(c.east.top, c.north.top) {
		e, n := &c.east.rungs[i], &c.north.rungs[i]
		if e.blocks < minBlocks || n.blocks < minBlocks {
			break
		}
		out = append(out, Averaged{OverS: c.every * math.Exp2(float64(i)), Blocks: int(e.blocks),
			WithinM: CircleHolding(0.95, math.Sqrt(e.variance()), math.Sqrt(n.variance()))})
	}
	return out
}

// TimeForMean is how long positions must be averaged for the mean to lie within so many
// metres of a very long one's, 95 of 100. extrapolated: no stretch of the run was so long. It is not ok
// when the run is too short to say.
func (f *StillFigures) TimeForMean(withinM float64) (seconds float64, extrapolated, ok bool) {
	for i := range f.Means {
		m := &f.Means[i]
		if m.WithinM > withinM {
			continue
		}
		if i == 0 {
			return m.OverS, false, true
		}
		// Between two lengths along a straight line of logarithms.
		b := &f.Means[i-1]
		part := math.Log(b.WithinM/withinM) / math.Log(b.WithinM/m.WithinM)
		return b.OverS * math.Pow(m.OverS/b.OverS, part), false, true
	}
	hang, known := f.Hang.Get()
	if !known || !hang.Settled || len(f.Means) == 0 || withinM <= 0 {
		return 0, false, false
	}
	// Where stretches are independent of each other the square of the scatter falls as one over their length.
	all := CircleHolding(0.95, f.EastM, f.NorthM)
	return all * all / (withinM * withinM) * hang.IndependentEveryS, true, true
}

// TimeForFigure is how long a run must be for a figure's interval to be so many parts of its value to
// either side, judged by this run; not ok when this run is too short to say.
func (f *StillFigures) TimeForFigure(x Figure, part float64) (seconds float64, ok bool) {
	r, known := x.Range.Get()
	if !known || !(x.Value > 0) || !(part > 0) || !(r.High > r.Low) {
		return 0, false
	}
	now := (r.High - r.Low) / 2 / x.Value
	return f.SpanS * now * now / (part * part), true
}

func (c *Still) truthFigures(p geo.Point, meanE, meanN, variance float64) TruthFigures {
	t := TruthFigures{Point: p, OffsetM: math.Hypot(meanE, meanN), EastM: Figure{Value: meanE}, NorthM: Figure{Value: meanN}}
	t.OffsetDeg = math.Mod(math.Atan2(meanE, meanN)*180/math.Pi+360, 360)
	away := c.view(0, 0) // the truth is the frame's origin
	t.CEP50M, t.R95M = away.share(0.5), away.share(0.95)
	t.DRMSM = away.rms(math.Sqrt(variance + meanE*meanE + meanN*meanN))
	t.LargestM = c.largest(0, 0)
	if e, n, ok := c.axes(); ok {
		t.EastM.Range = maybe.Known(Interval{meanE - e.half(), meanE + e.half()})
		t.NorthM.Range = maybe.Known(Interval{meanN - n.half(), meanN + n.half()})
	}
	t.Real = apart(t.EastM, t.NorthM)
	if h, ok := c.altitude.Get(); ok && c.heights > 0 {
		f := c.meanHeight()
		f.Value -= h
		if r, ok := f.Range.Get(); ok {
			f.Range = maybe.Known(Interval{r.Low - h, r.High - h})
		}
		t.HeightM = maybe.Known(f)
	}
	return t
}

// apart says whether two figures together are not 0: each has an interval of 95 of 100 for itself, and
// the point they make lies outside the ellipse that holds 95 of 100 of both.
func apart(a, b Figure) bool {
	sum := 0.0
	for _, f := range []Figure{a, b} {
		r, ok := f.Range.Get()
		if !ok {
			return false
		}
		if half := (r.High - r.Low) / 2; half > 0 {
			sum += (f.Value / half) * (f.Value / half)
		} else if f.Value != 0 {
			return true
		}
	}
	both := RadiusFactor(0.95) / z95
	return sum > both*both
}

func (c *Still) meanHeight() Figure {
	f := Figure{Value: c.sumH / float64(c.heights)}
	if w, ok := c.up.worth(); ok {
		half := w.half()
		f.Range = maybe.Known(Interval{f.Value - half, f.Value + half})
	}
	return f
}

func (c *Still) heightFigures() (out maybe.Value[HeightFigures]) {
	if c.heights == 0 {
		return out
	}
	h := HeightFigures{Count: c.heights, MeanM: c.meanHeight(), LowestM: c.lowH, HighestM: c.highH}
	n := float64(c.heights)
	if c.geoids > 0 {
		h.GeoidM = maybe.Known(c.sumGeoid / float64(c.geoids))
	}
	up := c.heightView(h.MeanM.Value)
	up.fromOwnMean(c.up.worth())
	h.DeviationM = up.rms(math.Sqrt(math.Max(0, c.sumHH/n-h.MeanM.Value*h.MeanM.Value)))
	h.P95M = up.share(0.95)
	return maybe.Known(h)
}
