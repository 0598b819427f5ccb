// Package trackmap draws a track as one self-contained SVG picture: no map behind it, but
// everything to scale, with north, a scale bar and a grid of degrees.
//
// # What it promises
//
// Distances from the middle of the picture are true on the ellipsoid (azimuthal equidistant
// projection), so it works at the poles, over the 180th meridian and for any length. What
// was set apart is drawn as a cross of another colour and never joined to the line; gaps
// are dashed. A [Map] holds a bounded amount: a long track is thinned, and the picture says
// to how many metres.
//
// # What it leaves to others
//
// Which sightings are kept, where stops and gaps are: earth/track.
//
// # Where to start
//
// Read [Map.Add] and [Map.Draw].
package trackmap

import (
	"math"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
)

const (
	// maxPoints is how many points are held: more than a screen has columns, many times over.
	maxPoints = 20_000

	// maxPieces bounds the pieces of line, maxCrosses what was set apart. More are counted.
	maxPieces  = 2_000
	maxCrosses = 400

	// firstBoundM is where thinning begins; it doubles when that is not enough.
	firstBoundM = 0.5
)

// Map collects what is drawn. Use [New].
type Map struct {
	pieces  []piece
	points  int
	boundM  float64 // how far the drawn line may be from the track: the sum of all thinnings
	nextM   float64
	crosses []cross
	lost    int // crosses beyond maxCrosses
	merged  int // gaps that are no longer drawn

	first, last stand
	any         bool
}

// piece is an unbroken line.
type piece struct{ points []geo.Point }

type cross struct {
	at  geo.Point
	why string
}

type stand struct {
	at    geo.Point
	utc   time.Time
	dated bool
}

// New returns a map without anything on it.
func New() *Map { return &Map{nextM: firstBoundM} }

// Add takes the next sighting.
func (m *Map) Add(j *track.Judged) {
	p, ok := j.Point.Get()
	if !ok {
		return
	}
	if !j.Kept() {
		m.cross(p, j)
		return
	}
	utc, dated := j.UTC.Get()
	m.last = stand{p, utc, dated}
	if !m.any {
		m.any, m.first = true, m.last
	}
	if len(m.pieces) == 0 || j.Gap != "" {
		m.pieces = append(m.pieces, piece{})
		if len(m.pieces) > maxPieces {
			m.merge()
		}
	}
	end := &m.pieces[len(m.pieces)-1]
	if n := len(end.points); n > 0 && end.points[n-1] == p {
		return
	}
	end.points = append(end.points, p)
	if m.points++; m.points > maxPoints {
		m.thin()
	}
}

// cross notes what was set apart, where it says a place that is one: a duplicate hides
// behind the first, a text that repeats a fix says nothing new.
func (m *Map) cross(p geo.Point, j *track.Judged) {
	switch j.Why.Name {
	case track.Duplicate, track.Retold:
		return
	}
	if !p.Valid() || p == (geo.Point{}) {
		return
	}
	if len(m.crosses) >= maxCrosses {
		m.lost++
		return
	}
	m.crosses = append(m.crosses, cross{p, j.Why.Name + ": " + j.Why.Text})
}

// thin halves the points by leaving out what a coarser bound does not need.
func (m *Map) thin() {
	for m.points > maxPoints/2 && m.nextM <= track.MaxBoundM {
		m.points = 0
		for i := range m.pieces {
			p := &m.pieces[i]
			kept := p.points[:0]
			for k, stays := range track.Simplify(p.points, m.nextM) {
				if stays {
					kept = append(kept, p.points[k])
				}
			}
			p.points = kept
			m.points += len(kept)
		}
		m.boundM += m.nextM
		m.nextM *= 2
	}
	if m.points > maxPoints/2 {
		m.decimate()
	}
}

// decimate drops every other point: a track round the earth that no bound can thin.
func (m *Map) decimate() {
	m.points, m.boundM = 0, math.Inf(1)
	for i := range m.pieces {
		p := &m.pieces[i]
		kept := p.points[:0]
		for k := range p.points {
			if k%2 == 0 || k == len(p.points)-1 {
				kept = append(kept, p.points[k])
			}
		}
		p.points = kept
		m.points += len(kept)
	}
}

// merge joins every two pieces: so many gaps are no longer told apart by the eye.
func (m *Map) merge() {
	half := m.pieces[:0]
	for i := 0; i < len(m.pieces); i += 2 {
		p := m.pieces[i]
		if i+1 < len(m.pieces) {
			p.points = append(p.points, m.pieces[i+1].points...)
			m.merged++
		}
		half = append(half, p)
	}
	clear(m.pieces[len(half):])
	m.pieces = half
}
