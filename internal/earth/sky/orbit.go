package sky

import (
	"math"
	"time"

	"firstfix/internal/earth/geo"
)

// The constants of the message algorithm: IS-GPS-200, table 20-IV (values from memory).
const (
	messageGM           = 3.986005e14
	messageEarthRateRad = 7.2921151467e-5
)

// An Orbit is an ellipse whose plane turns slowly: the elements of an almanac, IS-GPS-200, 20.3.3.5.2.1.
type Orbit struct {
	Eccentricity   float64
	InclinationRad float64
	SqrtA          float64 // square root of the semi-major axis, in the root of a metre
	NodeRad        float64 // longitude of the ascending node when the week began
	NodeRateRadS   float64
	PerigeeRad     float64
	AnomalyRad     float64 // mean, at OfWeekS
	OfWeekS        float64 // time of applicability, seconds of its week
}

// PeriodS is how long one turn takes.
func (o *Orbit) PeriodS() float64 {
	return 2 * math.Pi / o.motion(messageGM)
}

func (o *Orbit) motion(gm float64) float64 {
	return math.Sqrt(gm) / (o.SqrtA * o.SqrtA * o.SqrtA)
}

// eccentric solves Kepler's equation by Newton's method: IS-GPS-200, table 20-IV.
func eccentric(meanRad, eccentricity float64) float64 {
	m := math.Remainder(meanRad, 2*math.Pi)
	e := m + eccentricity*math.Sin(m)
	for range maxKepler {
		s, c := math.Sincos(e)
		step := (m - e + eccentricity*s) / (1 - eccentricity*c)
		e += step
		if math.Abs(step) < 1e-13 {
			break
		}
	}
	return e
}

// maxKepler bounds the steps: four are enough for an eccentricity of 0.1, and so is this
// for the greatest that is read.
const maxKepler = 30

// at returns where the satellite is, t seconds after the time of applicability, in the
// earth's frame: IS-GPS-200, table 20-IV with 20.3.3.5.2.1, which leaves out the harmonic terms.
func (o *Orbit) at(t float64) geo.ECEF { return o.turned(t, messageGM, messageEarthRateRad) }

func (o *Orbit) turned(t, gm, earthRateRadS float64) geo.ECEF {
	e := eccentric(o.AnomalyRad+o.motion(gm)*t, o.Eccentricity)
	sinE, cosE := math.Sincos(e)
	a := o.SqrtA * o.SqrtA
	// In the plane, from the focus: x towards perigee.
	x, y := a*(cosE-o.Eccentricity), a*math.Sqrt(1-o.Eccentricity*o.Eccentricity)*sinE
	sinP, cosP := math.Sincos(o.PerigeeRad)
	x, y = x*cosP-y*sinP, x*sinP+y*cosP // now towards the node
	sinI, cosI := math.Sincos(o.InclinationRad)
	sinN, cosN := math.Sincos(o.NodeRad + (o.NodeRateRadS-earthRateRadS)*t - earthRateRadS*o.OfWeekS)
	return geo.ECEF{X: x*cosN - y*cosI*sinN, Y: x*sinN + y*cosI*cosN, Z: y * sinI}
}

// A Satellite is one member of a constellation.
type Satellite struct {
	Name    string // "A1", "PRN 7"
	PRN     int    // the number in sentences; of the nominal constellation a number of ours
	Healthy bool
	Health  int // as the almanac says; 0 is healthy
	Orbit   Orbit
	week    int // of OfWeekS, counted on from 1980
}

// A Constellation is satellites and where they fly.
type Constellation struct {
	Name       string
	Source     string // where the orbits are from
	Satellites []Satellite
	Applies    time.Time // when the orbits are best
	nominal    bool
}

// Nominal returns the constellation of the standard's table: no satellite that flies, but
// the geometry that all of them together have.
func Nominal() *Constellation {
	c := &Constellation{Name: "nominal", Applies: nominalEpoch, nominal: true,
		Source: "GPS Standard Positioning Service Performance Standard (2001), table 3-1: 24 slots, circular orbits"}
	for n, s := range slots {
		c.Satellites = append(c.Satellites, Satellite{Name: s.name, PRN: n + 1, Healthy: true, Orbit: Orbit{
			InclinationRad: inclinationDeg * math.Pi / 180,
			SqrtA:          math.Sqrt(orbitRadiusM),
			NodeRad:        (s.raanDeg - greenwichDeg) * math.Pi / 180,
			AnomalyRad:     s.argDeg * math.Pi / 180,
		}})
	}
	return c
}

// Position returns where a satellite of the constellation is in the earth's frame.
func (c *Constellation) Position(n int, at time.Time) geo.ECEF {
	if c.nominal {
		x, y, z := NominalPosition(n, at)
		return geo.ECEF{X: x, Y: y, Z: z}
	}
	s := &c.Satellites[n]
	return s.Orbit.at(sinceApplicable(s, at))
}

// Look returns the direction to a satellite, above the horizon or below.
func (c *Constellation) Look(n int, h *Horizon, at time.Time) Look {
	p := c.Position(n, at)
	return h.look(p.X, p.Y, p.Z)
}

func sinceApplicable(s *Satellite, at time.Time) float64 {
	week, ofWeek := GPSTime(at)
	return float64(week-s.week)*weekS + ofWeek.Seconds() - s.Orbit.OfWeekS
}

// Seen is a satellite above a horizon.
type Seen struct {
	Index   int // in the constellation
	Name    string
	PRN     int
	Healthy bool
	Look
}

// Above appends the satellites that a mask leaves free at an instant, in the order of the
// constellation, those that are not healthy too.
func (c *Constellation) Above(h *Horizon, mask *Mask, at time.Time, out []Seen) []Seen {
	for n := range c.Satellites {
		look := c.Look(n, h, at)
		if mask.Hides(look) {
			continue
		}
		s := &c.Satellites[n]
		out = append(out, Seen{Index: n, Name: s.Name, PRN: s.PRN, Healthy: s.Healthy, Look: look})
	}
	return out
}

// A Mask is what a place cannot see.
type Mask struct {
	ElevationDeg float64 // everything lower
	Obstacles    []Obstacle
}

// An Obstacle hides a part of the sky: a wall, a hill, the machine itself.
type Obstacle struct {
	FromDeg, ToDeg float64 // azimuths, clockwise; through north when ToDeg is the smaller one
	UpToDeg        float64
}

// Hides says whether a direction cannot be seen.
func (m *Mask) Hides(l Look) bool {
	if l.ElevationDeg < m.ElevationDeg {
		return true
	}
	for i := range m.Obstacles {
		if m.Obstacles[i].hides(l) {
			return true
		}
	}
	return false
}

func (o *Obstacle) hides(l Look) bool {
	if l.ElevationDeg > o.UpToDeg {
		return false
	}
	if o.FromDeg <= o.ToDeg {
		return l.AzimuthDeg >= o.FromDeg && l.AzimuthDeg <= o.ToDeg
	}
	return l.AzimuthDeg >= o.FromDeg || l.AzimuthDeg <= o.ToDeg
}
