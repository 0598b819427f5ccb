package geo

import "math"

// Direct returns the point that lies distM metres from a in the direction
// aziDeg, and the azimuth there, still looking forward. A negative distance
// goes backward. After C. F. F. Karney, "Algorithms for geodesics", Journal of
// Geodesy 87 (2013), section 2; names as in inverse.go.
func Direct(a Point, aziDeg, distM float64) (to Point, azi2Deg float64) {
	sinBet1, cosBet1 := reduced(a.LatDeg)
	sinAlp1, cosAlp1 := sincosDeg(turn(aziDeg))
	sinAlp0 := sinAlp1 * cosBet1
	cosAlp0 := math.Hypot(cosAlp1, sinAlp1*sinBet1)
	sinSig1, cosSig1 := sinBet1, cosBet1*cosAlp1
	if sinSig1 == 0 && cosSig1 == 0 {
		cosSig1 = 1 // along the equator: count from here
	}
	sinSig1, cosSig1 = unit(sinSig1, cosSig1)

	eps, _ := smallParameter(cosAlp0)
	var c coefficients
	scale := a1(eps)
	c1(eps, &c)
	part1 := sineSeries(&c, sinSig1, cosSig1)
	sinP, cosP := math.Sincos(part1)
	tau12 := distM / (polarRadiusM * scale)
	sinT, cosT := math.Sincos(tau12)
	sinTau2, cosTau2 := turned(sinSig1, cosSig1, sinP, cosP)
	sinTau2, cosTau2 = turned(sinTau2, cosTau2, sinT, cosT)
	c1Reverted(eps, &c)
	sig12 := tau12 + (part1 + sineSeries(&c, sinTau2, cosTau2))

	sin12, cos12 := math.Sincos(sig12)
	sinSig2, cosSig2 := turned(sinSig1, cosSig1, sin12, cos12)
	sinBet2 := cosAlp0 * sinSig2
	cosBet2 := math.Hypot(sinAlp0, cosAlp0*cosSig2)
	if cosBet2 == 0 { // at a pole: take the meridian it came along
		cosBet2, cosSig2 = tiny, tiny
	}
	omg12 := sig12 + ahead(sinAlp0, sinSig2, cosSig2) - ahead(sinAlp0, sinSig1, cosSig1)
	omg12 = math.Copysign(1, sinAlp0) * omg12
	c3(eps, &c)
	lam12 := omg12 - flattening*sinAlp0*a3(eps)*
		(sig12+(sineSeries(&c, sinSig2, cosSig2)-sineSeries(&c, sinSig1, cosSig1)))
	to.LatDeg = atan2Deg(sinBet2, (1-flattening)*cosBet2)
	to.LonDeg = turn(turn(a.LonDeg) + turn(lam12/degree))
	return to, atan2Deg(sinAlp0, cosAlp0*cosSig2)
}

// turned adds two angles of which sines and cosines are known.
func turned(s1, c1, s2, c2 float64) (s, c float64) {
	return s1*c2 + c1*s2, c1*c2 - s1*s2
}

// ahead is by how much the longitude on the sphere is ahead of the arc sig, on
// an eastward line. Both pass each quarter turn together, so it stays within
// a quarter turn however often the line goes round the earth.
func ahead(sinAlp0, sinSig, cosSig float64) float64 {
	s0 := math.Abs(sinAlp0)
	return math.Atan2((s0-1)*sinSig*cosSig, cosSig*cosSig+s0*sinSig*sinSig)
}

// onEquator is a sine of latitude worth less than an atom: its square would
// vanish beside the other terms, and where it is a divisor do harm.
const onEquator = 1e-18

// reduced returns sine and cosine of the latitude on the auxiliary sphere. The
// cosine is never zero, so that a pole still has a meridian.
func reduced(latDeg float64) (s, c float64) {
	if !(math.Abs(latDeg) <= 90) {
		return math.NaN(), math.NaN()
	}
	s, c = sincosDeg(latDeg)
	s, c = unit(s*(1-flattening), c)
	if math.Abs(s) < onEquator {
		s = 0
	}
	return s, max(tiny, c)
}
