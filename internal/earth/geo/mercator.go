package geo

import "math"

// The transverse Mercator projection by L. Krüger's series in the third
// flattening, in the form of C. F. F. Karney, "Transverse Mercator with an
// accuracy of a few nanometers", Journal of Geodesy 85 (2011), equations 35 and
// 36 (from memory), to the fourth order: inside a UTM zone the rest is below a
// micrometre.

const n1, n2, n3, n4 = thirdFlat, thirdFlat * thirdFlat, thirdFlat * thirdFlat * thirdFlat, thirdFlat * thirdFlat * thirdFlat * thirdFlat

// rectifyingRadiusM makes a quarter of a meridian pi/2 of it.
const rectifyingRadiusM = equatorRadiusM / (1 + n1) * (1 + n2/4 + n4/64)

// toPlane and fromPlane are the coefficients for 2, 4, 6 and 8 times the angle.
var (
	toPlane = [4]float64{
		n1/2 - 2*n2/3 + 5*n3/16 + 41*n4/180,
		13*n2/48 - 3*n3/5 + 557*n4/1440,
		61*n3/240 - 103*n4/140,
		49561 * n4 / 161280,
	}
	fromPlane = [4]float64{
		n1/2 - 2*n2/3 + 37*n3/96 - n4/360,
		n2/48 + n3/15 - 437*n4/1440,
		17*n3/480 - 37*n4/840,
		4397 * n4 / 161280,
	}
)

// mercator projects a point near a central meridian: metres east of it and
// north of the equator, at scale one on the meridian.
func mercator(p Point, meridianDeg float64) (eastM, northM float64) {
	sinLat, cosLat := sincosDeg(p.LatDeg)
	d, _ := lonDifference(meridianDeg, p.LonDeg)
	sinLon, cosLon := sincosDeg(d)
	tau := sinLat / math.Max(cosLat, tiny)
	tauC := conformal(tau)
	xi := math.Atan2(tauC, cosLon)
	eta := math.Asinh(sinLon / math.Hypot(tauC, cosLon))
	x, y := xi, eta
	for j, a := range toPlane {
		k := 2 * float64(j+1)
		x += a * math.Sin(k*xi) * math.Cosh(k*eta)
		y += a * math.Cos(k*xi) * math.Sinh(k*eta)
	}
	return rectifyingRadiusM * y, rectifyingRadiusM * x
}

// unmercator is the way back.
func unmercator(eastM, northM, meridianDeg float64) Point {
	x, y := northM/rectifyingRadiusM, eastM/rectifyingRadiusM
	xi, eta := x, y
	for j, b := range fromPlane {
		k := 2 * float64(j+1)
		xi -= b * math.Sin(k*x) * math.Cosh(k*y)
		eta -= b * math.Cos(k*x) * math.Sinh(k*y)
	}
	sinhEta, cosXi := math.Sinh(eta), math.Cos(xi)
	tau := geographic(math.Sin(xi) / math.Hypot(sinhEta, cosXi))
	return Point{LatDeg: atan2Deg(tau, 1), LonDeg: turn(meridianDeg + atan2Deg(sinhEta, cosXi))}
}

// conformal turns the tangent of a latitude into that of the conformal latitude.
func conformal(tau float64) float64 {
	root := math.Hypot(1, tau)
	e := math.Sqrt(eccentricity2)
	sig := math.Sinh(e * math.Atanh(e*tau/root))
	return tau*math.Hypot(1, sig) - sig*root
}

// geographic is the way back, by Newton's method: each round doubles the digits,
// so four are enough from a start that is right to three thousandths.
func geographic(tauC float64) float64 {
	const rounds = 6
	tau := tauC / (1 - eccentricity2)
	if math.IsInf(tau, 0) {
		return tau
	}
	for range rounds {
		c := conformal(tau)
		step := (tauC - c) / math.Hypot(1, c) * (1 + (1-eccentricity2)*tau*tau) / ((1 - eccentricity2) * math.Hypot(1, tau))
		tau += step
		if !(math.Abs(step) > 1e-16*math.Max(1, math.Abs(tau))) {
			break
		}
	}
	return tau
}
