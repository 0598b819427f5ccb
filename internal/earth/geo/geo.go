// Package geo knows the shape of the earth: points, distances, bearings, and
// the many ways people write a coordinate.
//
// # What it promises
//
// Everything is on the WGS-84 ellipsoid. Latitudes and longitudes are decimal
// degrees, north and east positive; distances are metres; azimuths are degrees
// clockwise from north. Nothing here allocates unless it makes text.
//
// # Where to start
//
// Read [Point], [Inverse] and [Parse].
package geo

// Point is a place on the ellipsoid.
type Point struct {
	LatDeg float64 // -90 to 90, north positive
	LonDeg float64 // -180 to 180, east positive
}
