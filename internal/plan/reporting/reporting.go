// Package reporting works out what a way of reporting is worth: how far off the recipient's belief
// is between reports, for how many messages.
//
// # What it promises
//
// A [Policy] is played over a track that was really driven. The recipient believes the last
// report, and nothing else. Every policy hears the same points, in one pass, and a bounded amount is
// held, whatever the length of the track. Time in which the track itself is not known counts for nobody.
//
// # What it leaves to others
//
// Which positions may be believed, and whether a fence was crossed, is the work of earth/track. Prices
// are those of plan/tariff. Where tracks come from and how figures are shown is up to the caller.
//
// # Where to start
//
// Read [Policy] and [ParsePolicy], then [Explorer.Add] and [Pareto].
package reporting

import (
	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
)

// A Point is where the device was.
type Point struct {
	AtS       float64 // seconds after any beginning; never less than that of the point before
	Place     geo.Point
	SpeedMPS  maybe.Value[float64]
	CourseDeg maybe.Value[float64]
	Crossed   bool // a fence was crossed, and this point makes it certain
	Gap       bool // how the device came here from the point before is not known
}

// How a device that stands is told from one that moves, and where it heads. Devices do it in
// different ways; these are our choice.
const (
	standRadiusM = 30  // so near to one place
	standAfterS  = 120 // for so long: it stands
	startRadiusM = 60  // so far away: it has started
	headingMPS   = 2   // a receiver's course means something from here on
	headingWayM  = 25  // without one: the direction of so long a way
)

// motion follows whether the device stands and where it heads. All policies share it.
type motion struct {
	begun    bool
	anchor   geo.Point
	since    float64
	standing bool
	changed  bool // at the last point

	from    geo.Point // of the way that is long enough for a heading
	heading float64
	heads   bool
}

// see takes a point, with the lengths of a degree there.
func (m *motion) see(p *Point, latM, lonM float64) {
	m.changed = false
	if !m.begun {
		m.begun, m.anchor, m.since, m.from = true, p.Place, p.AtS, p.Place
		return
	}
	away := wayM(m.anchor, p.Place, latM, lonM)
	switch {
	case m.standing && away > startRadiusM:
		m.standing, m.changed = false, true
		m.anchor, m.since = p.Place, p.AtS
	case !m.standing && away > standRadiusM:
		m.anchor, m.since = p.Place, p.AtS
	case !m.standing && p.AtS-m.since >= standAfterS:
		m.standing, m.changed = true, true
		m.heads = false
	}
	if p.Gap {
		m.from, m.heads = p.Place, false
	}
	course, ok := p.CourseDeg.Get()
	speed, fast := p.SpeedMPS.Get()
	switch {
	case ok && fast && speed >= headingMPS:
		m.heading, m.heads, m.from = course, true, p.Place
	case wayM(m.from, p.Place, latM, lonM) >= headingWayM && !m.standing:
		m.heading, m.heads = headingOf(m.from, p.Place, latM, lonM), true
		m.from = p.Place
	}
}
