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
	Index  int // 0 to below [Life.Satellites]
	Number int // as sentences name it
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
// socket couples hardly anything; a shorted amplifier passes a little; the other
// radio's antenna is tuned elsewhere and lacks the right polarisation.
var antennaLossDB = map[string]float64{"good": 0, "swapped": 25, "missing": 38, "short": 30}

// cellularLossDB is the same for the cellular antenna; our estimates.
var cellularLossDB = map[string]float64{"good": 0, "swapped": 27, "missing": 45, "short": 40}

// belowHorizonDB is what a hill takes from the satellites behind it; our estimate.
const belowHorizonDB = 40.0

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

// Satellites is how many there are in this world.
func (l *Life) Satellites() int {
	if l.world.orbits != nil {
		return len(l.world.orbits.Satellites)
	}
	return Slots
}

// Sky appends the satellites above the mask at now to out, in the order of their
// constellation.
func (l *Life) Sky(now when.Instant, out []Seen) []Seen {
	c := l.At(now)
	h := l.horizonOf(now)
	common := -viewLossDB[c.Sky.View] - antennaLossDB[c.AntennaGNSS] + c.Sky.CN0OffsetDB - c.GNSS.JammedDB
	if l.world.orbits != nil {
		l.above = l.world.orbits.Above(h, &sky.Mask{ElevationDeg: c.Sky.MaskDeg}, l.UTC(now), l.above[:0])
		for _, s := range l.above {
			if s.Healthy {
				out = append(out, Seen{Index: s.Index, Number: s.PRN, Look: s.Look, CN0dBHz: common + l.cn0(&c.Sky, s.Index, s.Look)})
			}
		}
		return out
	}
	for n, look := range h.Nominal(l.UTC(now)) {
		if look.ElevationDeg >= c.Sky.MaskDeg {
			out = append(out, Seen{Index: n, Number: n + 1, Look: look, CN0dBHz: common + l.cn0(&c.Sky, n, look)})
		}
	}
	return out
}

// cn0 is what a satellite gives by its direction.
func (l *Life) cn0(s *Sky, n int, look Look) float64 {
	cn0 := horizonCN0dBHz + zenithGainDB*math.Sin(look.ElevationDeg*math.Pi/180)
	for i := range s.Obstacles {
		if s.Obstacles[i].hides(look) {
			cn0 -= s.Obstacles[i].LossDB
		}
	}
	if look.ElevationDeg < s.horizonAt(look.AzimuthDeg) {
		cn0 -= belowHorizonDB
	}
	if s.View == "indoor" {
		// Walls and windows differ by direction: up to 4 dB either way.
		cn0 += 8 * (chance(l.seed, uint64(n)<<8|uint64(look.AzimuthDeg/15)) - 0.5)
	}
	return cn0
}

// horizonAt is how high the horizon stands in a direction, straight between the
// values that are given.
func (s *Sky) horizonAt(azimuthDeg float64) float64 {
	n := len(s.HorizonDeg)
	if n == 0 {
		return -90
	}
	at := azimuthDeg / 360 * float64(n)
	i := int(at) % n
	share := at - math.Floor(at)
	return s.HorizonDeg[i]*(1-share) + s.HorizonDeg[(i+1)%n]*share
}

// horizonOf keeps the last place's horizon, for places seldom change.
func (l *Life) horizonOf(now when.Instant) *sky.Horizon {
	p := l.Where(now).Place
	if !l.haveHorizon || l.horizonPlace != p {
		l.horizon = sky.NewHorizon(p.LatDeg, p.LonDeg, p.AltitudeM+p.GeoidM)
		l.horizonPlace, l.haveHorizon = p, true
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
