package sky

import "math"

// WGS-84: equatorial radius, and the first eccentricity squared.
const (
	wgsA  = 6_378_137.0
	wgsE2 = 0.00669437999014
)

// Look is a direction from a place to a satellite.
type Look struct {
	ElevationDeg float64
	AzimuthDeg   float64 // clockwise from north, 0 to below 360
}

// A Horizon is a place prepared for looking up often: where it is and which way
// east, north and up are, in the earth's frame.
type Horizon struct {
	x, y, z         float64
	east, north, up [3]float64
}

// NewHorizon prepares a place; the height is above the ellipsoid.
func NewHorizon(latDeg, lonDeg, heightM float64) Horizon {
	sinLat, cosLat := math.Sincos(latDeg * math.Pi / 180)
	sinLon, cosLon := math.Sincos(lonDeg * math.Pi / 180)
	n := wgsA / math.Sqrt(1-wgsE2*sinLat*sinLat)
	return Horizon{
		x:     (n + heightM) * cosLat * cosLon,
		y:     (n + heightM) * cosLat * sinLon,
		z:     (n*(1-wgsE2) + heightM) * sinLat,
		east:  [3]float64{-sinLon, cosLon, 0},
		north: [3]float64{-sinLat * cosLon, -sinLat * sinLon, cosLat},
		up:    [3]float64{cosLat * cosLon, cosLat * sinLon, sinLat},
	}
}

// look turns a place in the earth's frame into a direction.
func (h *Horizon) look(x, y, z float64) Look {
	dx, dy, dz := x-h.x, y-h.y, z-h.z
	e := dx*h.east[0] + dy*h.east[1] + dz*h.east[2]
	n := dx*h.north[0] + dy*h.north[1] + dz*h.north[2]
	u := dx*h.up[0] + dy*h.up[1] + dz*h.up[2]
	azimuth := math.Atan2(e, n) * 180 / math.Pi
	if azimuth < 0 {
		azimuth += 360
	}
	return Look{ElevationDeg: math.Atan2(u, math.Hypot(e, n)) * 180 / math.Pi, AzimuthDeg: azimuth}
}
