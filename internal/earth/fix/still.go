package fix

import (
	"math"
	"slices"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
)

// Still collects the positions of an antenna that does not move. It holds a bounded amount,
// whatever the length of the log: sums, blocks of time and a thinned-out choice of positions.
type Still struct {
	truth    maybe.Value[geo.Point]
	altitude maybe.Value[float64]

	origin geo.Point // where its flat frame touches the ellipsoid
	frame  frame
	placed bool

	epochs, valid, backwards int64
	repeats                  int64 // positions that are the one before to the last digit
	lastPoint                geo.Point
	first, last              float64
	span                     float64 // without breaks
	broken                   bool

	// Exact sums over every position: east and north of the origin, and height where known.
	sumE, sumN, sumEE, sumNN, sumEN float64
	sumH, sumHH                     float64
	heights                         int64
	lowH, highH                     float64
	sumGeoid                        float64
	geoids                          int64

	far    [farDirections]float64 // the greatest reach in each direction
	near   float64                // no position nearer than that to middle can raise any of them
	middle [2]float64

	kept    []sample
	stride  int64
	skipped int64

	outages                 int64
	outageBegan, longestOut float64
	out                     bool

	early           []early // the first epochs, until their rhythm is known
	every           float64 // the usual time between epochs; 0: not known yet
	east, north, up ladder
	available       ladder
	missed          int64
	lastClimb       float64
	climbed         bool
}

type sample struct {
	at   float64
	e, n float32 // a millimetre at ten kilometres
	h    float32 // NaN: not known
}

type early struct {
	at     float64
	valid  bool
	sample sample
}

const (
	// maxKept is how many positions are kept for what needs an order: shares, and how they
	// hang together. A share of 65,536 is known to 0.4 % of itself even if all were independent.
	maxKept = 1 << 16
	// farDirections is in how many directions the greatest distance is looked for: it is then
	// found to 0.12 % (1 - cos(pi/64)).
	farDirections = 64
	// earlyEpochs is after how many epochs their rhythm is believed.
	earlyEpochs = 32
)

// NewStill returns a collector. With a known place, and its altitude above the sea, the
// positions are held against it too.
func NewStill(truth maybe.Value[geo.Point], altitudeM maybe.Value[float64]) *Still {
	s := &Still{truth: truth, altitude: altitudeM, stride: 1, kept: make([]sample, 0, maxKept), early: make([]early, 0, earlyEpochs)}
	if p, ok := truth.Get(); ok {
		s.place(p)
	}
	return s
}

func (s *Still) place(p geo.Point) { s.origin, s.frame, s.placed = p, frameAt(p), true }

// A frame is [geo.ENU] for one origin, worked out once.
type frame struct {
	at          geo.ECEF
	east, north [3]float64
}

func frameAt(p geo.Point) frame {
	sinLat, cosLat := math.Sincos(p.LatDeg * math.Pi / 180)
	sinLon, cosLon := math.Sincos(p.LonDeg * math.Pi / 180)
	return frame{geo.ToECEF(p, 0), [3]float64{-sinLon, cosLon, 0}, [3]float64{-sinLat * cosLon, -sinLat * sinLon, cosLat}}
}

func (f *frame) way(p geo.Point) (e, n float64) {
	x := geo.ToECEF(p, 0)
	dx, dy, dz := x.X-f.at.X, x.Y-f.at.Y, x.Z-f.at.Z
	return dx*f.east[0] + dy*f.east[1], dx*f.north[0] + dy*f.north[1] + dz*f.north[2]
}

// Add takes an epoch at a time in seconds after any beginning. A fix that is not valid counts
// for the availability alone. An epoch before the last one is counted and left out.
func (s *Still) Add(atS float64, f *Fix) {
	if s.epochs > 0 && atS < s.last {
		s.backwards++
		return
	}
	if s.epochs == 0 {
		s.first = atS
	}
	if s.epochs > 0 && !s.broken {
		s.span += atS - s.last
	}
	if s.broken {
		s.broken, s.climbed, s.out = false, false, false
	}
	point, has := f.Point.Get()
	valid := f.Valid && has
	s.outage(atS, valid)
	s.epochs++
	s.last = atS
	x := sample{at: atS}
	if valid {
		x = s.position(atS, point, f)
	}
	if s.every == 0 {
		s.early = append(s.early, early{atS, valid, x})
		if len(s.early) == earlyEpochs {
			s.settle()
		}
		return
	}
	s.climb(atS, valid, &x)
}

// Break says that the log ends here and another begins: what lies between was not recorded.
func (s *Still) Break() { s.broken = s.epochs > 0 }

func (s *Still) outage(atS float64, valid bool) {
	switch {
	case !valid && !s.out:
		s.out, s.outageBegan = true, atS
		s.outages++
	case s.out:
		s.longestOut = math.Max(s.longestOut, atS-s.outageBegan)
	}
	if valid {
		s.out = false
	}
}

// position takes a valid position into the sums.
func (s *Still) position(atS float64, p geo.Point, f *Fix) sample {
	if !s.placed {
		s.place(p)
	}
	e, n := s.frame.way(p)
	if s.valid > 0 && p == s.lastPoint {
		s.repeats++
	}
	s.lastPoint = p
	s.valid++
	s.sumE, s.sumN = s.sumE+e, s.sumN+n
	s.sumEE, s.sumNN, s.sumEN = s.sumEE+e*e, s.sumNN+n*n, s.sumEN+e*n
	x := sample{atS, float32(e), float32(n), float32(math.NaN())}
	if h, ok := f.AltitudeM.Get(); ok {
		if s.heights == 0 {
			s.lowH, s.highH = h, h
		}
		s.heights++
		s.sumH, s.sumHH = s.sumH+h, s.sumHH+h*h
		s.lowH, s.highH = math.Min(s.lowH, h), math.Max(s.highH, h)
		x.h = float32(h)
	}
	if g, ok := f.GeoidM.Get(); ok {
		s.geoids++
		s.sumGeoid += g
	}
	if de, dn := e-s.middle[0], n-s.middle[1]; s.valid == 1 || de*de+dn*dn > s.near*s.near {
		s.reach(e, n)
	}
	s.keep(x)
	return x
}

// reach raises the greatest reaches. A position within the least of them can raise none, so
// that most positions are not looked at here.
func (s *Still) reach(e, n float64) {
	count := float64(s.valid)
	me, mn := s.sumE/count, s.sumN/count
	least := math.Inf(1)
	for i := range s.far {
		if along := e*farAt[i][0] + n*farAt[i][1]; s.valid == 1 || along > s.far[i] {
			s.far[i] = along
		}
		least = min(least, s.far[i]-me*farAt[i][0]-mn*farAt[i][1])
	}
	s.near, s.middle = max(0, least), [2]float64{me, mn}
}

// farAt are the directions.
var farAt = func() (d [farDirections][2]float64) {
	for i := range d {
		d[i][0], d[i][1] = math.Sincos(2 * math.Pi * float64(i) / farDirections)
	}
	return d
}()

// largest is the greatest distance of any position from a place in the frame.
func (s *Still) largest(e, n float64) float64 {
	best := 0.0
	for i := range s.far {
		best = math.Max(best, s.far[i]-e*farAt[i][0]-n*farAt[i][1])
	}
	return best
}

// keep keeps every so many positions. When there is no more room every other one goes.
func (s *Still) keep(x sample) {
	if s.skipped++; s.skipped < s.stride {
		return
	}
	s.skipped = 0
	if len(s.kept) == maxKept {
		for i := range maxKept / 2 {
			s.kept[i] = s.kept[2*i+1]
		}
		s.kept = s.kept[:maxKept/2]
		s.stride *= 2
	}
	s.kept = append(s.kept, x)
}

// settle finds the rhythm of the first epochs, and lets them climb.
func (s *Still) settle() {
	s.every = rhythm(s.early)
	for i := range s.early {
		s.climb(s.early[i].at, s.early[i].valid, &s.early[i].sample)
	}
	s.early = s.early[:0]
}

// rhythm is the usual time between epochs: the median; a second when nothing can be said.
func rhythm(first []early) float64 {
	var apart []float64
	for i := 1; i < len(first); i++ {
		if d := first[i].at - first[i-1].at; d > 0 {
			apart = append(apart, d)
		}
	}
	if len(apart) == 0 {
		return 1
	}
	slices.Sort(apart)
	return apart[len(apart)/2]
}

// climb takes an epoch into the ladders.
func (s *Still) climb(atS float64, valid bool, x *sample) {
	step := int64(math.Round((atS - s.first) / s.every))
	if gap := atS - s.lastClimb; s.climbed && gap > 1.5*s.every {
		s.missed += int64(math.Round(gap/s.every)) - 1
	}
	s.lastClimb, s.climbed = atS, true
	v := 0.0
	if valid {
		v = 1
		s.east.add(step, float64(x.e))
		s.north.add(step, float64(x.n))
		if h := float64(x.h); h == h {
			s.up.add(step, h)
		}
	}
	s.available.add(step, v)
}

// Around returns some of the positions, at most so many and evenly over the run, as metres east and
// north of a place: for pictures.
func (s *Still) Around(p geo.Point, most int) (east, north []float64) {
	middleE, middleN := s.frame.way(p)
	step := max(1, (len(s.kept)+most-1)/max(1, most))
	for i := 0; i < len(s.kept); i += step {
		east, north = append(east, float64(s.kept[i].e)-middleE), append(north, float64(s.kept[i].n)-middleN)
	}
	return east, north
}
