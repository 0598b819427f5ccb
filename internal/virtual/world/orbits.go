package world

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
	wgsA          = 6_378_137.0
	wgsE2         = 0.00669437999014
)

var orbitEpoch = time.Date(1993, 7, 1, 0, 0, 0, 0, time.UTC)

// Look is a direction from a place to a satellite.
type Look struct {
	ElevationDeg float64
	AzimuthDeg   float64 // clockwise from north, 0 to below 360
}

// horizon is a place prepared for looking up often: where it is and which way
// east, north and up are, in the earth's frame.
type horizon struct {
	x, y, z         float64
	east, north, up [3]float64
}

func newHorizon(latDeg, lonDeg, heightM float64) horizon {
	sinLat, cosLat := math.Sincos(latDeg * math.Pi / 180)
	sinLon, cosLon := math.Sincos(lonDeg * math.Pi / 180)
	n := wgsA / math.Sqrt(1-wgsE2*sinLat*sinLat)
	return horizon{
		x:     (n + heightM) * cosLat * cosLon,
		y:     (n + heightM) * cosLat * sinLon,
		z:     (n*(1-wgsE2) + heightM) * sinLat,
		east:  [3]float64{-sinLon, cosLon, 0},
		north: [3]float64{-sinLat * cosLon, -sinLat * sinLon, cosLat},
		up:    [3]float64{cosLat * cosLon, cosLat * sinLon, sinLat},
	}
}

// satellite returns where slot n is in the earth's frame, in metres.
func satellite(n int, at time.Time) (x, y, z float64) {
	t := at.Sub(orbitEpoch).Seconds()
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

// looks returns the directions to all slots.
func (h *horizon) looks(at time.Time) (all [Slots]Look) {
	t := at.Sub(orbitEpoch).Seconds()
	greenwich := greenwichAngle(t)
	for n := range all {
		x, y, z := orbitPosition(n, t, greenwich)
		dx, dy, dz := x-h.x, y-h.y, z-h.z
		e := dx*h.east[0] + dy*h.east[1] + dz*h.east[2]
		no := dx*h.north[0] + dy*h.north[1] + dz*h.north[2]
		u := dx*h.up[0] + dy*h.up[1] + dz*h.up[2]
		azimuth := math.Atan2(e, no) * 180 / math.Pi
		if azimuth < 0 {
			azimuth += 360
		}
		all[n] = Look{ElevationDeg: math.Atan2(u, math.Hypot(e, no)) * 180 / math.Pi, AzimuthDeg: azimuth}
	}
	return all
}

// DOP is the dilution of precision: how much a range error grows into an error
// of position and time through the satellites' arrangement.
type DOP struct{ G, P, H, V, T float64 }

// Geometry solves for position and time: rows of east, north, up and clock,
// one for each satellite used.
type Geometry struct {
	rows  [][4]float64
	q     [4][4]float64 // inverse of A'A
	Valid bool
}

// NewGeometry prepares the arrangement of some satellites. Valid is false with
// fewer than four, or when they do not fix height and time (all at one elevation).
func NewGeometry(used []Look, rows [][4]float64) Geometry {
	g := Geometry{rows: rows[:0]}
	var normal [4][4]float64
	for _, l := range used {
		sinE, cosE := math.Sincos(l.ElevationDeg * math.Pi / 180)
		sinA, cosA := math.Sincos(l.AzimuthDeg * math.Pi / 180)
		row := [4]float64{sinA * cosE, cosA * cosE, sinE, 1}
		g.rows = append(g.rows, row)
		for i := range 4 {
			for j := range 4 {
				normal[i][j] += row[i] * row[j]
			}
		}
	}
	if len(used) >= 4 {
		g.q, g.Valid = invert(normal)
	}
	return g
}

// DOP returns the dilutions; meaningless unless Valid.
func (g *Geometry) DOP() DOP {
	e, n, u, t := g.q[0][0], g.q[1][1], g.q[2][2], g.q[3][3]
	return DOP{G: math.Sqrt(e + n + u + t), P: math.Sqrt(e + n + u), H: math.Sqrt(e + n), V: math.Sqrt(u), T: math.Sqrt(t)}
}

// Offset returns how far range errors (metres, in the order of the satellites)
// push a least-squares position: east, north, up.
func (g *Geometry) Offset(rangeErrorsM []float64) (eastM, northM, upM float64) {
	var b [4]float64
	for k, row := range g.rows {
		for i := range 4 {
			b[i] += row[i] * rangeErrorsM[k]
		}
	}
	var x [3]float64
	for i := range 3 {
		for j := range 4 {
			x[i] += g.q[i][j] * b[j]
		}
	}
	return x[0], x[1], x[2]
}

// invert inverts a symmetric matrix by Gauss's elimination with the largest
// pivot. False when it is singular to working precision.
func invert(m [4][4]float64) (inverse [4][4]float64, ok bool) {
	for i := range 4 {
		inverse[i][i] = 1
	}
	for column := range 4 {
		pivot := column
		for r := column + 1; r < 4; r++ {
			if math.Abs(m[r][column]) > math.Abs(m[pivot][column]) {
				pivot = r
			}
		}
		if math.Abs(m[pivot][column]) < 1e-9 {
			return inverse, false
		}
		m[column], m[pivot] = m[pivot], m[column]
		inverse[column], inverse[pivot] = inverse[pivot], inverse[column]
		scale := 1 / m[column][column]
		for j := range 4 {
			m[column][j] *= scale
			inverse[column][j] *= scale
		}
		for r := range 4 {
			if r == column {
				continue
			}
			factor := m[r][column]
			for j := range 4 {
				m[r][j] -= factor * m[column][j]
				inverse[r][j] -= factor * inverse[column][j]
			}
		}
	}
	return inverse, true
}

// Rows returns the matrix of directions, for its memory to be used again.
func (g *Geometry) Rows() [][4]float64 { return g.rows }
