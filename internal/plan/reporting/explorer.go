package reporting

import (
	"fmt"
	"math"

	"firstfix/internal/earth/geo"
)

const (
	// maxPolicies is how many are played at once: each costs some 20 ns for a point.
	maxPolicies = 2000
	// farM is from where on the flat reckoning gives way to the ellipsoid: it is then off by some
	// parts in a thousand.
	farM = 50_000
	// The errors are counted in eighths of each doubling, from half a metre to the other side of the earth:
	// that is what the exponent and the three highest digits of a float64 tell.
	leastErrorM = 0.5
	errorBins   = 1 + 26*8
	binShift    = 52 - 3
)

// An Explorer plays policies over a track. Use [NewExplorer].
type Explorer struct {
	delayS float64
	runs   []run
	motion motion

	begun      bool
	last       Point
	latM, lonM float64 // of a degree at scaleLat
	scaleLat   float64

	spanS, movingS float64
	points         int
}

// run is one policy on its way.
type run struct {
	policy Policy

	// What the device remembers of its last report.
	place   geo.Point
	atS     float64
	heading float64
	heads   bool
	owed    bool // something happened too soon after the last report
	count   int

	// What the recipient believes: the last report that has arrived, and those on their way.
	belief   geo.Point
	beliefS  float64
	onWay    [maxOnWay]report
	waiting  int
	error    float64 // of the belief at the last point
	overrun  int     // reports that were on their way when there was no room for more
	sum      float64 // of error over time
	moving   float64 // the same while it moves
	age      float64 // of the belief, over time
	worst    float64
	worstAge float64
	bins     [errorBins]float64 // seconds
}

type report struct {
	place geo.Point
	atS   float64
}

// maxOnWay is how many reports may be under way at once: a delay of a minute at a report every ten seconds. What
// does not fit is taken to arrive at once, and is counted.
const maxOnWay = 8

// NewExplorer returns an explorer of policies whose reports arrive after a delay.
func NewExplorer(policies []Policy, delayS float64) (*Explorer, error) {
	if len(policies) == 0 || len(policies) > maxPolicies {
		return nil, fmt.Errorf("reporting: %d policies: want 1 to %d", len(policies), maxPolicies)
	}
	if !(delayS >= 0 && delayS <= maxEveryS) {
		return nil, fmt.Errorf("reporting: a delay of %g s: want 0 to %d", delayS, maxEveryS)
	}
	x := &Explorer{delayS: delayS, runs: make([]run, len(policies)), scaleLat: math.NaN()}
	for i := range policies {
		x.runs[i].policy = policies[i]
	}
	return x, nil
}

// Add takes the next point of the track.
func (x *Explorer) Add(p *Point) {
	// The scale of a degree changes by a thousandth in some kilometres.
	if !(math.Abs(p.Place.LatDeg-x.scaleLat) < 0.02) {
		x.scaleLat = p.Place.LatDeg
		x.latM, x.lonM = geo.MetresPerDegree(x.scaleLat)
	}
	x.motion.see(p, x.latM, x.lonM)
	x.points++
	if !x.begun {
		x.begun = true
		for i := range x.runs {
			r := &x.runs[i]
			r.send(p, &x.motion)
			r.arrive(0) // before the first report the recipient believes nothing, and nothing is counted
		}
		x.last = *p
		return
	}
	spanS := p.AtS - x.last.AtS
	if p.Gap || spanS < 0 {
		spanS = 0
	}
	moves := !x.motion.standing
	x.spanS += spanS
	if moves {
		x.movingS += spanS
	}
	for i := range x.runs {
		x.play(&x.runs[i], p, spanS, moves)
	}
	x.last = *p
}

// play lets one policy live through a step.
func (x *Explorer) play(r *run, p *Point, spanS float64, moves bool) {
	for r.waiting > 0 && r.onWay[0].atS+x.delayS <= p.AtS-spanS {
		r.arrive(x.distance(r.onWay[0].place, x.last.Place))
	}
	if r.waiting > 0 && r.onWay[0].atS+x.delayS < p.AtS {
		x.halfway(r, p, spanS, moves)
	} else {
		x.weigh(r, r.error, x.distance(r.belief, p.Place), p.AtS, spanS, moves)
	}
	if x.wants(r, p) {
		r.send(p, &x.motion)
		if x.delayS == 0 {
			r.arrive(0)
		}
	}
}

// halfway is a step within which reports arrive: it is cut where they do, on the straight line
// between the points.
func (x *Explorer) halfway(r *run, p *Point, spanS float64, moves bool) {
	from, fromS := x.last.Place, p.AtS-spanS
	at := from
	for r.waiting > 0 && r.onWay[0].atS+x.delayS < p.AtS {
		cutS := r.onWay[0].atS + x.delayS
		part := (cutS - (p.AtS - spanS)) / spanS
		at = geo.Point{LatDeg: from.LatDeg + part*(p.Place.LatDeg-from.LatDeg), LonDeg: from.LonDeg + part*math.Remainder(p.Place.LonDeg-from.LonDeg, 360)}
		x.weigh(r, r.error, x.distance(r.belief, at), cutS, cutS-fromS, moves)
		fromS = cutS
		r.arrive(x.distance(r.onWay[0].place, at))
	}
	x.weigh(r, r.error, x.distance(r.belief, p.Place), p.AtS, p.AtS-fromS, moves)
}

// weigh adds up a stretch at whose ends the belief is off by so much.
func (x *Explorer) weigh(r *run, before, after, endS, spanS float64, moves bool) {
	r.error = after
	if spanS <= 0 {
		return
	}
	area := (before + after) / 2 * spanS
	r.sum += area
	if moves {
		r.moving += area
	}
	age := endS - r.beliefS
	r.age += (age - spanS/2) * spanS
	r.worst, r.worstAge = max(r.worst, before, after), max(r.worstAge, age)
	r.bins[binOf((before+after)/2)] += spanS
}

// wants says whether the policy reports now. The device knows what it reported, also what has not arrived.
func (x *Explorer) wants(r *run, p *Point) bool {
	t, m := &r.policy, &x.motion
	r.owed = r.owed || t.Stop && m.changed || t.Fence && p.Crossed
	if m.heads && !r.heads {
		r.heading, r.heads = m.heading, true // the first heading after a report that had none
	}
	since := p.AtS - r.atS
	if since < t.LeastS {
		return false
	}
	if r.owed || t.EveryS > 0 && since >= t.EveryS {
		return true
	}
	if t.EveryM > 0 {
		away := r.error
		if r.waiting > 0 {
			away = x.distance(r.place, p.Place)
		}
		if away >= t.EveryM {
			return true
		}
	}
	return t.TurnDeg > 0 && r.heads && m.heads && math.Abs(math.Remainder(m.heading-r.heading, 360)) >= t.TurnDeg
}

// send makes a report.
func (r *run) send(p *Point, m *motion) {
	r.place, r.atS, r.heading, r.heads, r.owed = p.Place, p.AtS, m.heading, m.heads, false
	r.count++
	if r.waiting == maxOnWay {
		r.overrun++
		r.arrive(0)
	}
	r.onWay[r.waiting] = report{p.Place, p.AtS}
	r.waiting++
}

// arrive lets the first report under way arrive; error is how far off it is by then.
func (r *run) arrive(error float64) {
	r.belief, r.beliefS = r.onWay[0].place, r.onWay[0].atS
	copy(r.onWay[:], r.onWay[1:r.waiting])
	r.waiting--
	r.error = error
}

// distance is between two places; flat where they are near.
func (x *Explorer) distance(a, b geo.Point) float64 {
	d := wayM(a, b, x.latM, x.lonM)
	if d > farM {
		return geo.DistanceM(a, b)
	}
	return d
}

// wayM is the way between two places that are near each other, with the lengths of a degree there.
func wayM(a, b geo.Point, latM, lonM float64) float64 {
	lon := b.LonDeg - a.LonDeg
	if lon > 180 || lon < -180 {
		lon = math.Remainder(lon, 360)
	}
	n, e := (b.LatDeg-a.LatDeg)*latM, lon*lonM
	return math.Sqrt(n*n + e*e)
}

func headingOf(a, b geo.Point, latM, lonM float64) float64 {
	return math.Mod(math.Atan2(math.Remainder(b.LonDeg-a.LonDeg, 360)*lonM, (b.LatDeg-a.LatDeg)*latM)*180/math.Pi+360, 360)
}

func binOf(errorM float64) int {
	if errorM < leastErrorM {
		return 0
	}
	return min(errorBins-1, 1+int(math.Float64bits(errorM)>>binShift)-int(math.Float64bits(leastErrorM)>>binShift))
}

// binEnd is the greatest error in a bin.
func binEnd(bin int) float64 {
	return math.Float64frombits((math.Float64bits(leastErrorM)>>binShift + uint64(bin)) << binShift)
}
