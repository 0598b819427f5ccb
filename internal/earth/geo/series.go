package geo

import "math"

// The series of C. F. F. Karney, "Algorithms for geodesics", Journal of Geodesy
// 87 (2013), 43-55, to the sixth order. Equation numbers are those of the paper, from memory.
// On this ellipsoid the terms left out are below a nanometre. series_test.go
// compares each with the integral it stands for.

// order is the highest power of the small parameter that is kept.
const order = 6

// coefficients holds c[1] to c[order]; c[0] is not used, so that indices agree
// with the paper.
type coefficients [order + 1]float64

// a1 is the mean of the distance integral, equation 17.
func a1(eps float64) float64 {
	e2 := eps * eps
	return (1 + e2*(1.0/4+e2*(1.0/64+e2*(1.0/256)))) / (1 - eps)
}

// c1 is the periodic part of the distance integral, equation 18.
func c1(eps float64, c *coefficients) {
	e2 := eps * eps
	d := eps
	c[1] = d * (-1.0/2 + e2*(3.0/16-e2*(1.0/32)))
	d *= eps
	c[2] = d * (-1.0/16 + e2*(1.0/32-e2*(9.0/2048)))
	d *= eps
	c[3] = d * (-1.0/48 + e2*(3.0/256))
	d *= eps
	c[4] = d * (-5.0/512 + e2*(3.0/512))
	d *= eps
	c[5] = d * (-7.0 / 1280)
	d *= eps
	c[6] = d * (-7.0 / 2048)
}

// c1Reverted turns a distance back into an arc, equation 21.
func c1Reverted(eps float64, c *coefficients) {
	e2 := eps * eps
	d := eps
	c[1] = d * (1.0/2 + e2*(-9.0/32+e2*(205.0/1536)))
	d *= eps
	c[2] = d * (5.0/16 + e2*(-37.0/96+e2*(1335.0/4096)))
	d *= eps
	c[3] = d * (29.0/96 - e2*(75.0/128))
	d *= eps
	c[4] = d * (539.0/1536 - e2*(2391.0/2560))
	d *= eps
	c[5] = d * (3467.0 / 7680)
	d *= eps
	c[6] = d * (38081.0 / 61440)
}

// a2 is the mean of the second integral of the reduced length, equation 42.
func a2(eps float64) float64 {
	e2 := eps * eps
	return (1 - eps) * (1 + e2*(1.0/4+e2*(9.0/64+e2*(25.0/256))))
}

// c2 is the periodic part that goes with a2, equation 43.
func c2(eps float64, c *coefficients) {
	e2 := eps * eps
	d := eps
	c[1] = d * (1.0/2 + e2*(1.0/16+e2*(1.0/32)))
	d *= eps
	c[2] = d * (3.0/16 + e2*(1.0/32+e2*(35.0/2048)))
	d *= eps
	c[3] = d * (5.0/48 + e2*(5.0/256))
	d *= eps
	c[4] = d * (35.0/512 + e2*(7.0/512))
	d *= eps
	c[5] = d * (63.0 / 1280)
	d *= eps
	c[6] = d * (77.0 / 2048)
}

// a3 is the mean of the longitude integral, equation 24. The powers of the
// third flattening are constants here, so the compiler folds them.
func a3(eps float64) float64 {
	const n = thirdFlat
	return 1 - eps*((1.0/2-n/2)+
		eps*((1.0/4+n/8-3*n*n/8)+
			eps*((1.0/16+3*n/16+n*n/16)+
				eps*((3.0/64+n/32)+
					eps*(3.0/128)))))
}

// c3 is the periodic part of the longitude integral, equation 25. Its last
// index is 5: the factor in front of the integral is itself of first order.
func c3(eps float64, c *coefficients) {
	const n = thirdFlat
	d := eps
	c[1] = d * ((1.0/4 - n/4) + eps*((1.0/8-n*n/8)+eps*((3.0/64+3*n/64-n*n/64)+eps*((5.0/128+n/64)+eps*(3.0/128)))))
	d *= eps
	c[2] = d * ((1.0/16 - 3*n/32 + n*n/32) + eps*((3.0/64-n/32-3*n*n/64)+eps*((3.0/128+n/128)+eps*(5.0/256))))
	d *= eps
	c[3] = d * ((5.0/192 - 3*n/64 + 5*n*n/192) + eps*((3.0/128-5*n/192)+eps*(7.0/512)))
	d *= eps
	c[4] = d * ((7.0/512 - 7*n/256) + eps*(7.0/512))
	d *= eps
	c[5] = d * (21.0 / 2560)
	c[6] = 0
}

// sineSeries returns the sum of c[l] sin(2 l x) by Clenshaw's recurrence, for
// an x of which sine and cosine are known.
func sineSeries(c *coefficients, sinX, cosX float64) float64 {
	twoCos := 2 * (cosX - sinX) * (cosX + sinX) // 2 cos 2x
	var b1, b2 float64
	for l := order; l >= 1; l-- {
		b1, b2 = twoCos*b1-b2+c[l], b1
	}
	return 2 * sinX * cosX * b1
}

// smallParameter returns eps of equation 16 for the sine and cosine of the
// azimuth at the equator: k is the second eccentricity times its cosine.
func smallParameter(cosAlp0 float64) (eps, k2 float64) {
	k2 = eccentricity2s * cosAlp0 * cosAlp0
	root := 1 + math.Sqrt(1+k2)
	return k2 / (root * root), k2
}
