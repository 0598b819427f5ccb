// Package geoid knows how high the sea's level lies above the ellipsoid.
//
// # What it promises
//
// [HeightM] answers everywhere on earth, from a grid of one degree, without reading a file.
// It is within 0.5 m of the full grid in the usual case (root mean square over the earth; 99 of
// 100 places within 1.9 m) and up to 14 m off beside the steepest trenches and peaks, for the
// grid leaves out what is smaller than a degree.
//
// # What it leaves to others
//
// What a receiver itself says about the geoid, which is to be preferred, stands in its
// sentences: see earth/fix.
//
// # Where the grid is from
//
// The geoid of EGM96 (NASA and NIMA, 1996), as the United States' National
// Geospatial-Intelligence Agency publishes it in WW15MGH.DAC: a work of the United
// States' government, in the public domain. Every fourth row and column of its grid of 15 minutes of
// arc, rounded to decimetres; oracle/sky/geoid.mjs made the file and is compared with it.
package geoid

import (
	_ "embed"
	"math"

	"firstfix/internal/earth/geo"
)

//go:embed egm96.grid
var grid string

const (
	rows    = 181 // from 90 north to 90 south
	columns = 360 // from Greenwich to the east
)

// Model is the name of what the heights are from.
const Model = "EGM96, grid of one degree"

// at is the height at a crossing of the grid, in metres. Beyond the last column the first begins.
func at(row, column int) float64 {
	i := 2 * (row*columns + column%columns)
	return float64(int16(uint16(grid[i])<<8|uint16(grid[i+1]))) / 10
}

// HeightM is the height of the geoid above the ellipsoid at a place: what is added to an
// altitude above the sea to get the height above the ellipsoid. NaN for what is no place.
func HeightM(p geo.Point) float64 {
	if !p.Valid() {
		return math.NaN()
	}
	fromNorth, fromGreenwich := 90-p.LatDeg, p.LonDeg
	if fromGreenwich < 0 {
		fromGreenwich += 360
	}
	r, c := int(fromNorth), int(fromGreenwich)
	if r == rows-1 {
		r--
	}
	dr, dc := fromNorth-float64(r), fromGreenwich-float64(c)
	top := at(r, c)*(1-dc) + at(r, c+1)*dc
	bottom := at(r+1, c)*(1-dc) + at(r+1, c+1)*dc
	return top*(1-dr) + bottom*dr
}

// AltitudeM turns a height above the ellipsoid into an altitude above the sea.
func AltitudeM(p geo.Point, ellipsoidM float64) float64 { return ellipsoidM - HeightM(p) }

// EllipsoidM turns an altitude above the sea into a height above the ellipsoid.
func EllipsoidM(p geo.Point, altitudeM float64) float64 { return altitudeM + HeightM(p) }
