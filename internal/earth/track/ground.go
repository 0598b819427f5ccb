package track

import (
	"math"

	"firstfix/internal/earth/geo"
)

const (
	// nearM and nearLatDeg bound where stepM takes the short way. Within them it is less
	// than a millimetre from the geodesic; a test holds it to that.
	nearM      = 2000.0
	nearLatDeg = 80.0

	// degreeM: no degree on the ellipsoid is longer (WGS-84).
	degreeM = 111_700.0
)

// stepM is the length of the shortest way on the ellipsoid between two points. For the
// small steps of which tracks are made it uses the radii of curvature half way, which
// costs a tenth of the geodesic.
func stepM(a, b geo.Point) float64 {
	dLat, dLon := b.LatDeg-a.LatDeg, b.LonDeg-a.LonDeg
	if dLat == 0 && dLon == 0 {
		return 0
	}
	if dLon > 180 {
		dLon -= 360
	} else if dLon < -180 {
		dLon += 360
	}
	mid := (a.LatDeg + b.LatDeg) / 2
	if math.Abs(dLat) > nearM/degreeM || math.Abs(mid) > nearLatDeg || math.Abs(dLon) > 0.2 {
		return geo.DistanceM(a, b)
	}
	latM, lonM := geo.MetresPerDegree(mid)
	north, east := dLat*latM, dLon*lonM
	if d2 := north*north + east*east; d2 < nearM*nearM {
		return math.Sqrt(d2)
	}
	return geo.DistanceM(a, b)
}

// atMostM is never less than the way between two points, and costs next to nothing.
func atMostM(a, b geo.Point) float64 {
	dLon := math.Abs(b.LonDeg - a.LonDeg)
	return degreeM * (math.Abs(b.LatDeg-a.LatDeg) + min(dLon, 360-dLon))
}

// A plane is the flat land around a point, for comparing places some kilometres apart.
type plane struct {
	origin     geo.Point
	latM, lonM float64
}

func planeAt(p geo.Point) plane {
	latM, lonM := geo.MetresPerDegree(p.LatDeg)
	return plane{origin: p, latM: latM, lonM: lonM}
}

// at is where a point lies, in metres to the east and to the north.
func (f *plane) at(p geo.Point) (eastM, northM float64) {
	return geo.NormalLon(p.LonDeg-f.origin.LonDeg) * f.lonM, (p.LatDeg - f.origin.LatDeg) * f.latM
}
