package track

import (
	"fmt"
	"math"

	"firstfix/internal/earth/geo"
)

// Simplifying leaves out sightings such that no sighting left out is farther than a bound
// from the line through those that stay. The line is made of geodesics.
//
// Where the farthest one stands too far off, it stays, and both halves are looked at
// again. A point and a stretch are compared in space: the plane through both ends and the
// vertical half way holds the geodesic to some millimetres for stretches of up to
// maxStretchM, and the distance from a plane is exact at any length.

const (
	// blockSize is how many sightings are looked at together; the ends of a block stay.
	blockSize = 2048

	// maxStretchM is how long one stretch may be: over 50 km plane and geodesic part by at
	// most 2 mm (the third power of the length; e²L³ sin 2α cos²φ / 12R², from memory; a test measures it).
	maxStretchM = 50e3

	// marginM is kept back from the bound for that and for chords taken for arcs.
	marginM = 0.005

	// MinBoundM and MaxBoundM are the bounds that can be asked for.
	MinBoundM, MaxBoundM = 0.02, 10e3
)

// vector is a place or a direction in space.
type vector struct{ x, y, z float64 }

func (a vector) minus(b vector) vector { return vector{a.x - b.x, a.y - b.y, a.z - b.z} }
func (a vector) plus(b vector) vector  { return vector{a.x + b.x, a.y + b.y, a.z + b.z} }
func (a vector) dot(b vector) float64  { return a.x*b.x + a.y*b.y + a.z*b.z }
func (a vector) times(k float64) vector {
	return vector{a.x * k, a.y * k, a.z * k}
}
func (a vector) cross(b vector) vector {
	return vector{a.y*b.z - a.z*b.y, a.z*b.x - a.x*b.z, a.x*b.y - a.y*b.x}
}
func (a vector) size() float64 { return math.Sqrt(a.dot(a)) }

// spot is a point as simplifying needs it.
type spot struct{ at, up vector }

func spotOf(p geo.Point) spot {
	e := geo.ToECEF(p, 0)
	sinLat, cosLat := math.Sincos(p.LatDeg * math.Pi / 180)
	sinLon, cosLon := math.Sincos(p.LonDeg * math.Pi / 180)
	return spot{vector{e.X, e.Y, e.Z}, vector{cosLat * cosLon, cosLat * sinLon, sinLat}}
}

// stretch is the piece of geodesic between two spots.
type stretch struct {
	from, to    vector
	along, side vector // directions: to its end, and to its side
	lengthM     float64
}

func stretchOf(a, b *spot) stretch {
	s := stretch{from: a.at, to: b.at}
	way := b.at.minus(a.at)
	s.lengthM = way.size()
	if s.lengthM > 0 {
		s.along = way.times(1 / s.lengthM)
		side := s.along.cross(a.up.plus(b.up))
		if n := side.size(); n > 0 {
			s.side = side.times(1 / n)
		}
	}
	return s
}

// offM is how far a spot is from the stretch.
func (s *stretch) offM(p *spot) float64 {
	d := p.at.minus(s.from)
	switch along := d.dot(s.along); {
	case s.lengthM == 0 || along <= 0:
		return d.size()
	case along >= s.lengthM:
		return p.at.minus(s.to).size()
	}
	return math.Abs(d.dot(s.side))
}

// thinner is the work space of one block.
type thinner struct {
	boundM float64
	spots  []spot
	stay   []bool
	stack  [][2]int
}

// run decides which of the spots stay: the first, the last, and as few between as it finds.
func (t *thinner) run() {
	n := len(t.spots)
	t.stay = append(t.stay[:0], make([]bool, n)...)
	if n == 0 {
		return
	}
	t.stay[0], t.stay[n-1] = true, true
	t.stack = append(t.stack[:0], [2]int{0, n - 1})
	for len(t.stack) > 0 {
		a, b := t.stack[len(t.stack)-1][0], t.stack[len(t.stack)-1][1]
		t.stack = t.stack[:len(t.stack)-1]
		if b-a < 2 {
			continue
		}
		s := stretchOf(&t.spots[a], &t.spots[b])
		worst, at := -1.0, (a+b)/2
		for i := a + 1; i < b; i++ {
			if off := s.offM(&t.spots[i]); off > worst {
				worst, at = off, i
			}
		}
		if worst <= t.boundM && s.lengthM <= maxStretchM {
			continue
		}
		t.stay[at] = true
		t.stack = append(t.stack, [2]int{a, at}, [2]int{at, b})
	}
}

func innerBound(boundM float64) float64 { return boundM - marginM - boundM*1e-6 }

// Simplify says which points of a line stay: no other is farther than boundM from the
// geodesics between those. boundM is kept between MinBoundM and MaxBoundM.
func Simplify(points []geo.Point, boundM float64) []bool {
	t := thinner{boundM: innerBound(min(max(boundM, MinBoundM), MaxBoundM))}
	stay := make([]bool, 0, len(points))
	for from := 0; from < len(points); {
		to := min(from+blockSize, len(points))
		t.spots = t.spots[:0]
		for _, p := range points[from:to] {
			t.spots = append(t.spots, spotOf(p))
		}
		t.run()
		if from > 0 { // its first point was the last of the block before
			stay = stay[:len(stay)-1]
		}
		stay = append(stay, t.stay...)
		if to == len(points) {
			break
		}
		from = to - 1
	}
	return stay
}

// Simplifier simplifies a track as it comes. Use [NewSimplifier].
type Simplifier struct {
	boundM float64
	held   []Judged
	thin   thinner
	open   bool // the first of held was already let go
	in     int
	out    int
}

// NewSimplifier returns a simplifier with a bound in metres.
func NewSimplifier(boundM float64) (*Simplifier, error) {
	if !(boundM >= MinBoundM && boundM <= MaxBoundM) {
		return nil, fmt.Errorf("track: a bound of %g m: want %g to %g m", boundM, MinBoundM, MaxBoundM)
	}
	return &Simplifier{boundM: boundM, thin: thinner{boundM: innerBound(boundM)}}, nil
}

// Add takes the next sighting; those set apart are passed over. It appends those that stay,
// once that is known. Where a line does not join the one before, both ends stay.
func (m *Simplifier) Add(j *Judged, out []Judged) []Judged {
	if !j.Kept() {
		return out
	}
	m.in++
	if j.Gap != "" {
		out = m.End(out)
	}
	m.held = append(m.held, *j)
	if len(m.held) < blockSize {
		return out
	}
	out = m.letGo(out)
	m.held[0] = m.held[len(m.held)-1]
	m.held, m.open = m.held[:1], true
	return out
}

// End lets go what is held.
func (m *Simplifier) End(out []Judged) []Judged {
	out = m.letGo(out)
	m.held, m.open = m.held[:0], false
	return out
}

func (m *Simplifier) letGo(out []Judged) []Judged {
	m.thin.spots = m.thin.spots[:0]
	for i := range m.held {
		p, _ := m.held[i].Point.Get()
		m.thin.spots = append(m.thin.spots, spotOf(p))
	}
	m.thin.run()
	for i := range m.held {
		if m.thin.stay[i] && !(i == 0 && m.open) {
			out = append(out, m.held[i])
			m.out++
		}
	}
	return out
}

// Counts says how many sightings came and how many stayed.
func (m *Simplifier) Counts() (came, stayed int) { return m.in, m.out }
