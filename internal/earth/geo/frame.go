package geo

import "math"

// ECEF is a place in metres from the earth's centre: X through latitude 0,
// longitude 0; Z through the north pole.
type ECEF struct{ X, Y, Z float64 }

// ToECEF changes a point and its height above the ellipsoid.
func ToECEF(p Point, heightM float64) ECEF {
	sinLat, cosLat := sincosDeg(p.LatDeg)
	sinLon, cosLon := sincosDeg(p.LonDeg)
	n := equatorRadiusM / math.Sqrt(1-eccentricity2*sinLat*sinLat)
	return ECEF{
		X: (n + heightM) * cosLat * cosLon,
		Y: (n + heightM) * cosLat * sinLon,
		Z: (n*(1-eccentricity2) + heightM) * sinLat,
	}
}

// frameRounds bounds the search of FromECEF. Each round makes the error at
// least three hundred times smaller, so four would do near the earth.
const frameRounds = 8

// FromECEF is the way back. It is meant for places within some thousand
// kilometres of the surface; nearer to the earth's centre than 50 km the
// latitude has several answers and NaN is returned.
func FromECEF(e ECEF) (p Point, heightM float64) {
	axis := math.Hypot(e.X, e.Y)
	if !(math.Hypot(axis, e.Z) > 50e3) {
		return Point{LatDeg: math.NaN(), LonDeg: math.NaN()}, math.NaN()
	}
	// Bowring's formula, repeated: from the latitude on the auxiliary sphere to
	// the true one and back.
	sinBet, cosBet := unit(e.Z, axis*(1-flattening))
	var sinLat, cosLat float64
	for range frameRounds {
		sinLat, cosLat = unit(e.Z+eccentricity2s*polarRadiusM*sinBet*sinBet*sinBet,
			axis-eccentricity2*equatorRadiusM*cosBet*cosBet*cosBet)
		s, c := unit((1-flattening)*sinLat, cosLat)
		done := math.Abs(s-sinBet)+math.Abs(c-cosBet) < epsilon
		sinBet, cosBet = s, c
		if done {
			break
		}
	}
	// Both terms add up without a quotient, so the poles are as good as the equator.
	heightM = (axis-equatorRadiusM*cosBet)*cosLat + (e.Z-polarRadiusM*sinBet)*sinLat
	return Point{LatDeg: atan2Deg(sinLat, cosLat), LonDeg: atan2Deg(e.Y, e.X)}, heightM
}

// ENU returns the way from a place on the ground to another in metres to the
// east, to the north and up, in the flat frame that touches the ellipsoid at origin.
func ENU(origin Point, originHeightM float64, p Point, heightM float64) (eastM, northM, upM float64) {
	o, e := ToECEF(origin, originHeightM), ToECEF(p, heightM)
	dx, dy, dz := e.X-o.X, e.Y-o.Y, e.Z-o.Z
	sinLat, cosLat := sincosDeg(origin.LatDeg)
	sinLon, cosLon := sincosDeg(origin.LonDeg)
	outward := dx*cosLon + dy*sinLon
	return dy*cosLon - dx*sinLon, dz*cosLat - outward*sinLat, dz*sinLat + outward*cosLat
}

// FromENU is the way back from the flat frame at origin.
func FromENU(origin Point, originHeightM, eastM, northM, upM float64) (p Point, heightM float64) {
	o := ToECEF(origin, originHeightM)
	sinLat, cosLat := sincosDeg(origin.LatDeg)
	sinLon, cosLon := sincosDeg(origin.LonDeg)
	outward := upM*cosLat - northM*sinLat
	return FromECEF(ECEF{
		X: o.X + outward*cosLon - eastM*sinLon,
		Y: o.Y + outward*sinLon + eastM*cosLon,
		Z: o.Z + northM*cosLat + upM*sinLat,
	})
}

// MetresPerDegree returns the length of one degree of latitude and of one of
// longitude at a latitude: the two radii of curvature there.
func MetresPerDegree(latDeg float64) (latM, lonM float64) {
	s, c := sincosDeg(latDeg)
	w := 1 - eccentricity2*s*s
	root := math.Sqrt(w)
	return equatorRadiusM * (1 - eccentricity2) / (w * root) * degree, equatorRadiusM / root * c * degree
}

// ResolutionM returns the step on the ground, in metres along latitude and
// longitude, of a coordinate in decimal degrees with so many decimals. The
// place itself may be off by half a step.
func ResolutionM(latDeg float64, decimals int) (latM, lonM float64) {
	latM, lonM = MetresPerDegree(latDeg)
	step := math.Pow10(-decimals)
	return latM * step, lonM * step
}

// DecimalsFor returns the fewest decimals of a degree whose step is at most stepM at the equator.
func DecimalsFor(stepM float64) int {
	for n := range MaxDecimals {
		if equatorRadiusM*degree*math.Pow10(-n) <= stepM {
			return n
		}
	}
	return MaxDecimals
}

// MaxDecimals is the most decimals of a degree that are written: the ninth is
// a tenth of a millimetre, and one more than any receiver means.
const MaxDecimals = 9
