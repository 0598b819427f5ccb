package track

import (
	"fmt"
	"math"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
)

// A Fence is an area: a circle, or polygons. Its circle is on the ellipsoid; the edges of its
// polygons are straight in longitude and latitude, as RFC 7946 (3.1.1) has them, and distances
// from them are on the ellipsoid.
type Fence struct {
	Name     string
	Centre   geo.Point
	RadiusM  float64 // above 0: a circle
	Polygons []Polygon
}

// A Polygon is an outer ring and the holes in it. Rings need not repeat their first point.
type Polygon [][]geo.Point

// Hysteresis keeps noise from crossing a fence again and again.
type Hysteresis struct {
	MarginM float64 // a side is certain so far from the line
	Count   int     // and when so many sightings in a row say so
}

// UsualHysteresis: 20 m is what a good fix is off at most (four sigma of a HDOP of one,
// handbook budget); two in a row, since reflections come single. Our choice.
var UsualHysteresis = Hysteresis{MarginM: 20, Count: 2}

// A Crossing is that a track came over a fence's line, or began on one side of it.
type Crossing struct {
	Fence  string `json:"fence"`
	Inside bool   `json:"inside"` // the side it is on now
	Began  bool   `json:"began"`  // no crossing: the track begins there
	Before *Stand `json:"before"` // the last sighting certainly on the other side; nil when it began
	First  Stand  `json:"first"`  // the first on this side of the line
	Sure   Stand  `json:"sure"`   // the one that made it certain
	firstM Moment // of First
}

// FenceFigures is what a track amounts to at one fence.
type FenceFigures struct {
	Fence     string     `json:"fence"`
	Crossings []Crossing `json:"crossings"` // the first ones, see maxListed
	Count     int        `json:"count"`     // crossings, without the beginning
	InsideS   Seconds    `json:"inside_s"`  // time inside, as far as it is certain; not known without times
}

// Guard watches fences. Use [NewGuard].
type Guard struct {
	hysteresis Hysteresis
	watched    []watched
}

// watched is a fence and the side the track is on.
type watched struct {
	name   string
	area   area
	result FenceFigures

	side     maybe.Value[bool] // inside; not known before it is certain
	before   sample            // the last one certainly on that side
	over     bool              // the last ones were on another side, overSide, since first
	first    sample
	overSide bool
	run      int    // how many of them certainly
	since    Moment // inside since
	inside   time.Duration

	safeAt geo.Point // within safeM of it the side is the same, and certain
	safeM  float64
}

// NewGuard returns a guard over fences.
func NewGuard(fences []Fence, h Hysteresis) (*Guard, error) {
	if h.MarginM < 0 || h.Count < 1 {
		return nil, fmt.Errorf("track: a margin of %g m and a count of %d: want at least 0 m and at least 1", h.MarginM, h.Count)
	}
	g := &Guard{hysteresis: h}
	for i := range fences {
		a, err := fences[i].area()
		if err != nil {
			return nil, err
		}
		g.watched = append(g.watched, watched{name: fences[i].Name, area: a, result: FenceFigures{Fence: fences[i].Name}})
	}
	return g, nil
}

// Add takes the next sighting; those set apart are passed over. It appends what crossed.
func (g *Guard) Add(j *Judged, out []Crossing) []Crossing {
	if !j.Kept() || len(g.watched) == 0 {
		return out
	}
	s := sampleOf(j)
	for i := range g.watched {
		out = g.watched[i].add(&s, g.hysteresis, out)
	}
	return out
}

func (w *watched) add(s *sample, h Hysteresis, out []Crossing) []Crossing {
	known, sure := w.side.Get()
	if sure && w.safeM > 0 && atMostM(w.safeAt, s.point) < w.safeM {
		w.before, w.run, w.over = *s, 0, false
		return out
	}
	signed := w.area.signedM(s.point) // negative inside
	inside, certain := signed < 0, math.Abs(signed) >= h.MarginM
	if sure && inside == known {
		if certain {
			w.before = *s
			w.safeAt, w.safeM = s.point, min(math.Abs(signed)/2-h.MarginM, maxSafeM)
		}
		w.run, w.over = 0, false
		return out
	}
	if !w.over || inside != w.overSide {
		w.first, w.over, w.overSide, w.run = *s, true, inside, 0
	}
	if !certain {
		return out
	}
	if w.run++; w.run < h.Count {
		return out
	}
	c := Crossing{Fence: w.name, Inside: inside, Began: !sure, First: *w.first.stand(), Sure: *s.stand(), firstM: w.first.moment}
	if sure {
		c.Before = w.before.stand()
		w.result.Count++
	}
	w.count(&c)
	w.side, w.before, w.run, w.over, w.safeM = maybe.Known(inside), *s, 0, false, 0
	if len(w.result.Crossings) < maxListed {
		w.result.Crossings = append(w.result.Crossings, c)
	}
	return append(out, c)
}

// count adds up the time inside.
func (w *watched) count(c *Crossing) {
	switch {
	case c.Inside:
		w.since = c.firstM
	case w.since.Known && c.firstM.Known:
		w.inside += c.firstM.Sub(w.since)
		w.since = Moment{}
	}
}

// End returns the figures. last is the moment of the last sighting.
func (g *Guard) End(last Moment) []FenceFigures {
	var out []FenceFigures
	for i := range g.watched {
		w := &g.watched[i]
		inside := w.inside
		if in, sure := w.side.Get(); sure && in && w.since.Known && last.Known {
			inside += last.Sub(w.since)
		}
		if last.Known {
			w.result.InsideS = maybe.Known(inside.Seconds())
		}
		out = append(out, w.result)
	}
	return out
}

// maxSafeM bounds how far a side is taken for granted: so near, a degree of longitude is
// the same length to a few parts in a hundred.
const maxSafeM = 20e3
