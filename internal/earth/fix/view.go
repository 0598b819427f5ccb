package fix

import (
	"math"
	"slices"

	"firstfix/internal/maybe"
)

// A view is the positions that were kept, in the order of time, seen from a place in their
// frame. Of heights e is the height and n is 0.
type view struct {
	at       []float64 // seconds
	steps    []int64   // the same in steps of the thinned-out rhythm
	stepS    float64
	e, n     []float64
	distance []float64
	sorted   []float64 // distances, the least first
	// shy is by how much the intervals are moved up: seen from their own mean positions scatter less than
	// from that of a very long run, by 1 - 1/n in the square when they are worth n.
	shy float64
}

func (c *Still) view(fromE, fromN float64) *view {
	v := c.emptyView(len(c.kept))
	for i := range c.kept {
		x := &c.kept[i]
		v.add(c.first, x.at, float64(x.e)-fromE, float64(x.n)-fromN)
	}
	return v.sort()
}

func (c *Still) heightView(from float64) *view {
	v := c.emptyView(len(c.kept))
	for i := range c.kept {
		x := &c.kept[i]
		if h := float64(x.h); h == h {
			v.add(c.first, x.at, h-from, 0)
		}
	}
	return v.sort()
}

func (c *Still) emptyView(k int) *view {
	return &view{shy: 1, at: make([]float64, 0, k), steps: make([]int64, 0, k), stepS: c.every * float64(c.stride),
		e: make([]float64, 0, k), n: make([]float64, 0, k), distance: make([]float64, 0, k)}
}

func (v *view) add(first, at, e, n float64) {
	v.at, v.steps = append(v.at, at), append(v.steps, int64(math.Round((at-first)/v.stepS)))
	v.e, v.n, v.distance = append(v.e, e), append(v.n, n), append(v.distance, math.Hypot(e, n))
}

// fromOwnMean says that the view is from the mean of what is in it, which is worth so many.
func (v *view) fromOwnMean(w worth, ok bool) {
	if n := w.independent(); ok && n > 2 {
		v.shy = 1 / math.Sqrt(1-1/n)
	}
}

func (v *view) sort() *view {
	v.sorted = slices.Clone(v.distance)
	slices.Sort(v.sorted)
	return v
}

// share is the distance that so large a share of the positions is within. Where it lies: so
// many independent positions would leave the share itself between two bounds (Wilson), and the
// distances at those are the interval's ends (R. S. Woodruff, Journal of the American Statistical
// Association 47 (1952) 635). Positions count for fewer as their being inside hangs together.
func (v *view) share(part float64) Figure {
	f := Figure{Value: share(v.sorted, part)}
	w, ok := worthOf(v.steps, func(i int) float64 {
		if v.distance[i] <= f.Value {
			return 1
		}
		return 0
	})
	if !ok {
		return f
	}
	// How much they hang together is itself known from so many blocks only: Student's t.
	bounds := wilson(part, w.independent(), student(w.blocks-1))
	f.Range = maybe.Known(Interval{v.shy * share(v.sorted, bounds.Low), v.shy * share(v.sorted, bounds.High)})
	return f
}

// rms is the root of the mean square of the distances, of which the exact value is known.
func (v *view) rms(exact float64) Figure {
	return v.rootMean(exact, func(i int) float64 { return v.distance[i] * v.distance[i] })
}

// rootMean is the root of the mean of a series.
func (v *view) rootMean(exact float64, value func(i int) float64) Figure {
	f := Figure{Value: exact}
	if w, ok := worthOf(v.steps, value); ok {
		// A mean of squares is known in proportion, so its logarithm is what scatters evenly.
		mean := exact * exact
		if half := w.half(); mean > 0 {
			k := math.Exp(half / mean / 2)
			f.Range = maybe.Known(Interval{v.shy * exact / k, v.shy * exact * k})
		} else {
			f.Range = maybe.Known(Interval{exact, exact})
		}
	}
	return f
}

// ellipse is the two directions in which the positions scatter most and least.
func (v *view) ellipse(varE, varN, cov float64) Ellipse {
	mid, half := (varE+varN)/2, math.Hypot((varN-varE)/2, cov)
	major, minor := mid+half, math.Max(0, mid-half)
	turn := math.Atan2(2*cov, varN-varE) / 2 // from north, clockwise
	s, c := math.Sincos(turn)
	var x Ellipse
	x.MajorM = v.rootMean(math.Sqrt(major), func(i int) float64 { a := v.e[i]*s + v.n[i]*c; return a * a })
	x.MinorM = v.rootMean(math.Sqrt(minor), func(i int) float64 { a := v.e[i]*c - v.n[i]*s; return a * a })
	if x.TurnDeg = math.Mod(turn*180/math.Pi+180, 180); major == minor {
		x.TurnDeg = 0
	}
	// The turn scatters with the product of the two scaled deviations along the axes, whose mean is 0.
	w, ok := worthOf(v.steps, func(i int) float64 { return (v.e[i]*s + v.n[i]*c) * (v.e[i]*c - v.n[i]*s) })
	if ok && major > minor {
		if within := w.half() / (major - minor) * 180 / math.Pi; within < maxTurnDeg {
			x.TurnWithinDeg = maybe.Known(within)
		}
	}
	return x
}

// maxTurnDeg is from where on the direction of an ellipse is not known: an eighth of a turn to
// either side is half of all directions.
const maxTurnDeg = 45

// fallsBy is after how many seconds the likeness of positions has fallen to a part. Not known when
// it has not within a quarter of the run.
func (v *view) fallsBy(part float64) maybe.Value[float64] {
	k := len(v.at)
	whole := 0.0
	for i := range k {
		whole += v.e[i]*v.e[i] + v.n[i]*v.n[i]
	}
	if whole == 0 || k < minBlocks {
		return maybe.Value[float64]{}
	}
	whole /= float64(k)
	lastLag, last := 0.0, 1.0
	for lag := 1; lag <= k/4; lag = max(lag+1, lag*6/5) {
		like, pairs := 0.0, 0
		for i := lag; i < k; i++ {
			if v.steps[i]-v.steps[i-lag] != int64(lag) {
				continue // over a gap
			}
			like += v.e[i]*v.e[i-lag] + v.n[i]*v.n[i-lag]
			pairs++
		}
		if pairs < minBlocks {
			continue
		}
		now := like / float64(pairs) / whole
		if now <= part {
			at := (last - part) / (last - now)
			if now > 0 { // likeness falls as a power: straight in logarithms
				at = math.Log(last/part) / math.Log(last/now)
			}
			return maybe.Known((lastLag + (float64(lag)-lastLag)*at) * v.stepS)
		}
		lastLag, last = float64(lag), now
	}
	return maybe.Value[float64]{}
}

// drift fits a straight line through the means of stretches that are independent of each other.
func (v *view) drift() maybe.Value[Drift] {
	if len(v.at) < minBlocks {
		return maybe.Value[Drift]{}
	}
	// How the rest hangs together when the line is taken away: the line itself never ends to.
	lineE, lineN := slope(v.at, v.e).Value, slope(v.at, v.n).Value
	e, ok1 := worthOf(v.steps, func(i int) float64 { return v.e[i] - lineE*v.at[i] })
	n, ok2 := worthOf(v.steps, func(i int) float64 { return v.n[i] - lineN*v.at[i] })
	if !ok1 || !ok2 || !e.settled || !n.settled {
		return maybe.Value[Drift]{}
	}
	rung := max(e.rung, n.rung)
	var at, me, mn []float64
	count := 0.0
	var key int64
	var sumT, sumE, sumN float64
	flush := func() {
		if 2*count >= math.Exp2(float64(rung)) {
			at, me, mn = append(at, sumT/count/3600), append(me, sumE/count), append(mn, sumN/count)
		}
		count, sumT, sumE, sumN = 0, 0, 0, 0
	}
	for i, step := range v.steps {
		if k := step >> rung; count > 0 && k != key {
			flush()
		}
		key = step >> rung
		count++
		sumT, sumE, sumN = sumT+v.at[i], sumE+v.e[i], sumN+v.n[i]
	}
	flush()
	if len(at) < minBlocks {
		return maybe.Value[Drift]{}
	}
	d := Drift{EastMPerH: slope(at, me), NorthMPerH: slope(at, mn)}
	d.Real = apart(d.EastMPerH, d.NorthMPerH)
	return maybe.Known(d)
}

// slope is that of the straight line through points, by least squares.
func slope(x, y []float64) Figure {
	k := float64(len(x))
	var mx, my float64
	for i := range x {
		mx, my = mx+x[i]/k, my+y[i]/k
	}
	var xx, xy float64
	for i := range x {
		xx, xy = xx+(x[i]-mx)*(x[i]-mx), xy+(x[i]-mx)*(y[i]-my)
	}
	if xx == 0 {
		return Figure{}
	}
	b := xy / xx
	var left float64
	for i := range x {
		r := y[i] - my - b*(x[i]-mx)
		left += r * r
	}
	half := student(k-2) * math.Sqrt(left/(k-2)/xx)
	return Figure{Value: b, Range: maybe.Known(Interval{b - half, b + half})}
}
