package sky

import (
	"math"
	"time"
)

// The nominal constellation of 24 slots: GPS Standard Positioning Service
// Performance Standard (2001), table 3-1. Reference epoch 1993-07-01 00:00:00
// UTC; circular orbits of 26,559.7 km, inclined 55 degrees. It gives the right
// geometry, not the place of any real satellite.

// slot is one place in the constellation.
type slot struct {
	name    string
	raanDeg float64 // right ascension of the ascending node at the epoch
	argDeg  float64 // argument of latitude at the epoch
}

var slots = [...]slot{
	{"A1", 272.847, 268.126}, {"A2", 272.847, 161.786}, {"A3", 272.847, 11.676}, {"A4", 272.847, 41.806},
	{"B1", 332.847, 80.956}, {"B2", 332.847, 173.336}, {"B3", 332.847, 309.976}, {"B4", 332.847, 204.376},
	{"C1", 32.847, 111.876}, {"C2", 32.847, 11.796}, {"C3", 32.847, 339.666}, {"C4", 32.847, 241.556},
	{"D1", 92.847, 135.226}, {"D2", 92.847, 265.446}, {"D3", 92.847, 35.156}, {"D4", 92.847, 167.356},
	{"E1", 152.847, 197.046}, {"E2", 152.847, 302.596}, {"E3", 152.847, 66.066}, {"E4", 152.847, 333.686},
	{"F1", 212.847, 238.886}, {"F2", 212.847, 345.226}, {"F3", 212.847, 105.206}, {"F4", 212.847, 135.346},
}

// Slots is how many satellites there are. Satellite n flies in slot n-1 of the
// table; that numbering is ours.
const Slots = len(slots)

const (
	orbitRadiusM   = 26_559_700.0
	inclinationDeg = 55.0
	// The Greenwich hour angle at the epoch, 18 h 36 min 14.4 s.
	greenwichDeg = 279.06
	// WGS-84: gravitational constant times mass, and rate of rotation.
	earthGM       = 3.986004418e14
	earthRateRadS = 7.292115e-5
)

var nominalEpoch = time.Date(1993, 7, 1, 0, 0, 0, 0, time.UTC)

// NominalPosition returns where slot n, counted from 0, is in the earth's frame, in metres.
func NominalPosition(n int, at time.Time) (x, y, z float64) {
	t := at.Sub(nominalEpoch).Seconds()
	return orbitPosition(n, t, greenwichAngle(t))
}

func greenwichAngle(t float64) (angle [2]float64) {
	turn := math.Mod(greenwichDeg*math.Pi/180+earthRateRadS*t, 2*math.Pi)
	angle[0], angle[1] = math.Sincos(turn)
	return angle
}

// orbitPosition places slot n, t seconds after the epoch: along a circle in its
// plane, then turned with the earth.
func orbitPosition(n int, t float64, greenwich [2]float64) (x, y, z float64) {
	motion := math.Sqrt(earthGM / (orbitRadiusM * orbitRadiusM * orbitRadiusM))
	sinU, cosU := math.Sincos(math.Mod(slots[n].argDeg*math.Pi/180+motion*t, 2*math.Pi))
	sinW, cosW := math.Sincos(slots[n].raanDeg * math.Pi / 180)
	sinI, cosI := math.Sincos(inclinationDeg * math.Pi / 180)
	ix := orbitRadiusM * (cosU*cosW - sinU*cosI*sinW)
	iy := orbitRadiusM * (cosU*sinW + sinU*cosI*cosW)
	return ix*greenwich[1] + iy*greenwich[0], iy*greenwich[1] - ix*greenwich[0], orbitRadiusM * sinU * sinI
}

// Nominal returns the directions to all slots of the nominal constellation.
func (h *Horizon) Nominal(at time.Time) (all [Slots]Look) {
	t := at.Sub(nominalEpoch).Seconds()
	greenwich := greenwichAngle(t)
	for n := range all {
		all[n] = h.look(orbitPosition(n, t, greenwich))
	}
	return all
}
