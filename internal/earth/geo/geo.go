// Package geo knows the shape of the earth: points, distances, bearings, and
// the many ways people write a coordinate.
//
// # What it promises
//
// Everything is on the WGS-84 ellipsoid. Latitudes and longitudes are decimal
// degrees, north and east positive; distances are metres; azimuths are degrees
// clockwise from north. Nothing here allocates unless it makes text.
//
// # What it leaves to others
//
// When a position was measured and whether it may be believed: earth/fix.
// Which sentence it came from: wire/nmea and talk/epoch.
//
// # Where to start
//
// Read [Point], [Inverse] and [Parse].
package geo

import "math"

// The WGS-84 ellipsoid. NIMA TR8350.2, table 3.1: the two defining figures of
// its shape; the rest follows from them.
const (
	equatorRadiusM = 6378137.0
	inverseFlat    = 298.257223563

	flattening     = 1 / inverseFlat
	polarRadiusM   = equatorRadiusM * (1 - flattening)
	eccentricity2  = flattening * (2 - flattening)                         // first eccentricity, squared
	eccentricity2s = eccentricity2 / ((1 - flattening) * (1 - flattening)) // second eccentricity, squared
	thirdFlat      = flattening / (2 - flattening)
)

// Point is a place on the ellipsoid.
type Point struct {
	LatDeg float64 // -90 to 90, north positive
	LonDeg float64 // -180 to 180, east positive
}

// Valid says that both numbers lie in their ranges.
func (p Point) Valid() bool {
	return p.LatDeg >= -90 && p.LatDeg <= 90 && p.LonDeg >= -180 && p.LonDeg <= 180
}

// DistanceM returns the length of the shortest way from a to b on the ellipsoid.
func DistanceM(a, b Point) float64 {
	d, _, _ := Inverse(a, b)
	return d
}

// NormalLon returns the same meridian in -180 to 180.
func NormalLon(lonDeg float64) float64 {
	if lonDeg >= -180 && lonDeg <= 180 {
		return lonDeg
	}
	return math.Remainder(lonDeg, 360)
}
