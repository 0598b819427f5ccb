package world

import (
	"math"

	"firstfix/internal/earth/sky"
	"firstfix/internal/when"
)

// The sky over a place is the nominal constellation's: geometry that earth/sky and
// everybody else share.
type (
	// Look is a direction from a place to a satellite.
	Look = sky.Look
	// Geometry solves for position and time.
	Geometry = sky.Geometry
	// DOP is the dilution of precision.
	DOP = sky.DOP
)

// Slots is how many satellites there are.
const Slots = sky.Slots

// NewGeometry prepares the arrangement of some satellites.
func NewGeometry(used []Look, rows [][4]float64) Geometry { return sky.NewGeometry(used, rows) }

// Seen is a satellite above the horizon and what a receiver could hear of it.
type Seen struct {
	Satellite int // 1 to Slots
	Look
	CN0dBHz float64 // carrier to noise density before the receiver's own fluctuation
}

// C/N0 under an open sky with a good antenna, from the horizon to the zenith.
// Common practice: 33 to 49 dB-Hz is the usual span, 40 to 50 a good antenna.
const (
	horizonCN0dBHz = 35.0
	zenithGainDB   = 13.0
)

// viewLossDB is what each kind of view takes from every satellite; our
// estimates: a roof costs 20 dB and more, walls close by a few.
var viewLossDB = map[string]float64{"open": 0, "yard": 3, "indoor": 21, "none": 60}

// antennaLossDB is what the state of an antenna costs; our estimates. An open
// socket couples hardly anything; the other radio's antenna is tuned elsewhere
// and lacks the right polarisation.
var antennaLossDB = map[string]float64{"good": 0, "swapped": 25, "missing": 38}

// cellularLossDB is the same for the cellular antenna; our estimates.
var cellularLossDB = map[string]float64{"good": 0, "swapped": 27, "missing": 45}

// SignalDBm is the cellular level that the module really gets: the place's,
// less what the antenna takes, with a slow wander of two or three decibels.
func (l *Life) SignalDBm(now when.Instant) float64 {
	c := l.At(now)
	return c.Coverage.RSSIdBm - cellularLossDB[c.AntennaCellular] + l.wander(now)
}

// wander is fading, slow enough to be looked at every few seconds: two sines of
// about a minute whose phases come from the seed.
func (l *Life) wander(now when.Instant) float64 {
	t := now.Seconds()
	return 1.5*math.Sin(2*math.Pi*(t/47+chance(l.seed, 1<<40))) + math.Sin(2*math.Pi*(t/13+chance(l.seed, 1<<41)))
}

// Sky appends the satellites above the mask at now to out, in order of number.
func (l *Life) Sky(now when.Instant, out []Seen) []Seen {
	c := l.At(now)
	h := l.horizonOf(&c.Place)
	loss := viewLossDB[c.Sky.View] + antennaLossDB[c.AntennaGNSS] - c.Sky.CN0OffsetDB
	for n, look := range h.Nominal(l.UTC(now)) {
		if look.ElevationDeg < c.Sky.MaskDeg {
			continue
		}
		cn0 := horizonCN0dBHz + zenithGainDB*math.Sin(look.ElevationDeg*math.Pi/180) - loss
		for i := range c.Sky.Obstacles {
			if c.Sky.Obstacles[i].hides(look) {
				cn0 -= c.Sky.Obstacles[i].LossDB
			}
		}
		if c.Sky.View == "indoor" {
			// Walls and windows differ by direction: up to 4 dB either way.
			cn0 += 8 * (chance(l.seed, uint64(n)<<8|uint64(look.AzimuthDeg/15)) - 0.5)
		}
		out = append(out, Seen{Satellite: n + 1, Look: look, CN0dBHz: cn0})
	}
	return out
}

// horizonOf keeps the last place's horizon, for places seldom change.
func (l *Life) horizonOf(p *Place) *sky.Horizon {
	if !l.haveHorizon || l.horizonPlace != *p {
		l.horizon = sky.NewHorizon(p.LatDeg, p.LonDeg, p.AltitudeM+p.GeoidM)
		l.horizonPlace, l.haveHorizon = *p, true
	}
	return &l.horizon
}

func (o *Obstacle) hides(look Look) bool {
	if look.ElevationDeg > o.UpToDeg {
		return false
	}
	if o.FromDeg <= o.ToDeg {
		return look.AzimuthDeg >= o.FromDeg && look.AzimuthDeg <= o.ToDeg
	}
	return look.AzimuthDeg >= o.FromDeg || look.AzimuthDeg <= o.ToDeg
}
