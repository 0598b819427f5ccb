package geo

import "math"

// The inverse problem after C. F. F. Karney, "Algorithms for geodesics",
// Journal of Geodesy 87 (2013), sections 3 to 5 and appendix B. Names: bet is a
// latitude on the auxiliary sphere, alp an azimuth, alp0 that at the equator,
// sig an arc from the equator, omg a longitude on the sphere, lam one on the
// ellipsoid; 1 and 2 are the ends, 12 a difference.

const (
	// Newton's method needs two to four rounds. Where it would leave its bracket
	// the bracket is halved; 53 halvings use up a float's digits, so more than
	// newtonRounds and halvingRounds together cannot help.
	newtonRounds  = 20
	halvingRounds = 63
)

// shortArc is the arc on the sphere below which the first guess is as good as
// rounding allows: its error grows with flattening times the arc's square.
var shortArc = 0.1 * math.Sqrt(epsilon) / math.Sqrt(flattening*(1-flattening/2)/2)

// Inverse returns the length of the shortest way from a to b, and its azimuths
// at both ends, both looking forward, -180 to 180. Where several ways are
// equally short one of them is returned; for one and the same point the
// azimuths are 0. All is NaN for a latitude beyond 90 degrees and for what is no number.
func Inverse(a, b Point) (distM, azi1Deg, azi2Deg float64) {
	lon12, lost := lonDifference(a.LonDeg, b.LonDeg)
	if math.IsNaN(lon12) {
		return lon12, lon12, lon12
	}
	if a.LatDeg == b.LatDeg && math.Abs(a.LatDeg) <= 90 && lon12 == 0 && lost == 0 {
		return 0, 0, 0
	}
	lonSign, latSign := 1.0, 1.0
	if lon12 < 0 || (lon12 == 0 && lost < 0) {
		lonSign, lon12, lost = -1, -lon12, -lost
	}
	// Equation 44: mirror and swap until point 1 is the southernmost, at least as
	// far from the equator as point 2, and point 2 lies to the east.
	lat1, lat2 := a.LatDeg, b.LatDeg
	swapped := math.Abs(lat1) < math.Abs(lat2)
	if swapped {
		lat1, lat2 = lat2, lat1
	}
	if lat1 > 0 {
		latSign, lat1, lat2 = -1, -lat1, -lat2
	}
	q := problem{lam12: (lon12 + lost) * degree}
	q.sinBet1, q.cosBet1 = reduced(lat1)
	q.sinBet2, q.cosBet2 = reduced(lat2)
	if lon12 > 90 {
		q.sinLam12, q.cosLam12 = sincosDeg((180 - lon12) - lost)
		q.cosLam12 = -q.cosLam12
	} else {
		q.sinLam12, q.cosLam12 = sincosDeg(lon12 + lost)
	}
	q.stretch1 = math.Sqrt(1 + eccentricity2s*q.sinBet1*q.sinBet1)
	q.stretch2 = math.Sqrt(1 + eccentricity2s*q.sinBet2*q.sinBet2)
	q.solve()

	sin1, cos1, sin2, cos2 := q.sinAlp1, q.cosAlp1, q.sinAlp2, q.cosAlp2
	if swapped { // the way was walked from its other end, mirrored
		sin1, cos1, sin2, cos2 = sin2, -cos2, sin1, -cos1
	}
	return q.distM, atan2Deg(lonSign*sin1, latSign*cos1), atan2Deg(lonSign*sin2, latSign*cos2)
}

// problem is an inverse problem in its standard position.
type problem struct {
	sinBet1, cosBet1, sinBet2, cosBet2 float64
	lam12, sinLam12, cosLam12          float64
	stretch1, stretch2                 float64 // sqrt(1 + k2 sin2 sig) at both ends

	sinAlp1, cosAlp1, sinAlp2, cosAlp2 float64
	distM                              float64
}

// arcs is the geodesic that leaves point 1 with a tried azimuth.
type arcs struct {
	sinSig1, cosSig1, sinSig2, cosSig2, sig12, eps float64
}

func (q *problem) solve() {
	if (q.cosBet1 <= tiny || q.sinLam12 == 0) && q.alongMeridian() {
		return
	}
	if q.sinBet1 == 0 && q.lam12 <= (1-flattening)*math.Pi {
		// The equator is the shortest way until its conjugate point.
		q.sinAlp1, q.sinAlp2 = 1, 1
		q.distM = equatorRadiusM * q.lam12
		return
	}
	if q.guess() {
		return
	}
	g := q.search()
	q.distM, _ = q.lengths(&g)
}

// alongMeridian tries the way over one meridian. It says no when there is a
// shorter one: nearly opposite points, where the meridian passes a conjugate point.
func (q *problem) alongMeridian() bool {
	q.sinAlp1, q.cosAlp1 = q.sinLam12, q.cosLam12
	q.sinAlp2, q.cosAlp2 = 0, 1
	g := arcs{sinSig1: q.sinBet1, cosSig1: q.cosAlp1 * q.cosBet1, sinSig2: q.sinBet2, cosSig2: q.cosBet2}
	g.sig12 = arcBetween(g.sinSig1, g.cosSig1, g.sinSig2, g.cosSig2)
	g.eps, _ = smallParameter(1)
	distM, reducedLength := q.lengths(&g)
	q.distM = distM
	return g.sig12 < 1 || reducedLength >= 0
}

// arcBetween is the angle from one direction to another, 0 to pi.
func arcBetween(s1, c1, s2, c2 float64) float64 {
	return math.Atan2(max(0, c1*s2-s1*c2), c1*c2+s1*s2)
}

// lengths returns the distance, and the reduced length in polar radii
// (equations 7, 38 and 40).
func (q *problem) lengths(g *arcs) (distM, reducedLength float64) {
	var one, two coefficients
	scale1, scale2 := a1(g.eps), a2(g.eps)
	c1(g.eps, &one)
	c2(g.eps, &two)
	i1 := scale1 * (g.sig12 + (sineSeries(&one, g.sinSig2, g.cosSig2) - sineSeries(&one, g.sinSig1, g.cosSig1)))
	i2 := scale2 * (g.sig12 + (sineSeries(&two, g.sinSig2, g.cosSig2) - sineSeries(&two, g.sinSig1, g.cosSig1)))
	reducedLength = q.stretch2*(g.cosSig1*g.sinSig2) - q.stretch1*(g.sinSig1*g.cosSig2) -
		g.cosSig1*g.cosSig2*(i1-i2)
	return polarRadiusM * i1, reducedLength
}

// guess finds an azimuth to start the search with. True means that the line is
// so short that all is known already.
func (q *problem) guess() (done bool) {
	sinSum := q.sinBet2*q.cosBet1 + q.cosBet2*q.sinBet1  // sin(bet2 + bet1)
	sinDiff := q.sinBet2*q.cosBet1 - q.cosBet2*q.sinBet1 // sin(bet2 - bet1)
	cosDiff := q.cosBet2*q.cosBet1 + q.sinBet2*q.sinBet1
	sinOmg, cosOmg := q.sinLam12, q.cosLam12
	short := cosDiff >= 0 && sinDiff < 0.5 && q.cosBet2*q.lam12 < 0.5
	stretch := 1.0
	if short { // equation 48: a sphere that fits at the middle latitude
		sinMid, _ := unit(q.sinBet1+q.sinBet2, q.cosBet1+q.cosBet2)
		stretch = math.Sqrt(1 + eccentricity2s*sinMid*sinMid)
		sinOmg, cosOmg = math.Sincos(q.lam12 / ((1 - flattening) * stretch))
	}
	q.sphereAzimuth(sinOmg, cosOmg, sinDiff, sinSum)
	sinSig, cosSig := math.Hypot(q.sinAlp1, q.cosAlp1), q.sinBet1*q.sinBet2+q.cosBet1*q.cosBet2*cosOmg
	switch {
	case short && sinSig < shortArc:
		versed := 1 - cosOmg
		if cosOmg >= 0 {
			versed = sinOmg * sinOmg / (1 + cosOmg)
		}
		q.sinAlp2, q.cosAlp2 = unit(q.cosBet1*sinOmg, sinDiff-q.cosBet1*q.sinBet2*versed)
		q.distM = polarRadiusM * stretch * math.Atan2(sinSig, cosSig)
		done = true
	case cosSig >= 0 || sinSig >= 6*thirdFlat*math.Pi*q.cosBet1*q.cosBet1:
		// Far from the opposite point the sphere is a fair start.
	default:
		q.guessOpposite(sinDiff, sinSum)
	}
	if q.sinAlp1 > 0 {
		q.sinAlp1, q.cosAlp1 = unit(q.sinAlp1, q.cosAlp1)
	} else {
		q.sinAlp1, q.cosAlp1 = 1, 0
	}
	return done
}

// sphereAzimuth is equation 49: the azimuth on the sphere, in two spellings so
// that no digits cancel. Its length is the sine of the arc.
func (q *problem) sphereAzimuth(sinOmg, cosOmg, sinDiff, sinSum float64) {
	q.sinAlp1 = q.cosBet2 * sinOmg
	if cosOmg >= 0 {
		q.cosAlp1 = sinDiff + q.cosBet2*q.sinBet1*sinOmg*sinOmg/(1+cosOmg)
	} else {
		q.cosAlp1 = sinSum - q.cosBet2*q.sinBet1*sinOmg*sinOmg/(1-cosOmg)
	}
}

// guessOpposite starts the search for nearly opposite points, section 5: seen
// from close by, the lines that meet near the opposite point envelop an astroid.
func (q *problem) guessOpposite(sinDiff, sinSum float64) {
	eps, _ := smallParameter(q.sinBet1) // the line due east has this one
	lamScale := flattening * q.cosBet1 * a3(eps) * math.Pi
	x := math.Atan2(-q.sinLam12, -q.cosLam12) / lamScale // equation 53
	y := sinSum / (lamScale * q.cosBet1)
	if y > -200*epsilon && x > -1-1000*math.Sqrt(epsilon) {
		// On the cut itself, y = 0: equation 57.
		q.sinAlp1 = min(1, -x)
		q.cosAlp1 = -math.Sqrt(1 - q.sinAlp1*q.sinAlp1)
		return
	}
	k := astroid(x, y)
	sinOmg, cosOmg := math.Sincos(lamScale * -x * k / (1 + k)) // equation 56, as pi - omg12
	q.sphereAzimuth(sinOmg, -cosOmg, sinDiff, sinSum)
}

// astroid returns the positive root of
// k^4 + 2 k^3 - (x^2 + y^2 - 1) k^2 - 2 y^2 k - y^2 = 0, equation 55, by the
// closed form of appendix B.
func astroid(x, y float64) float64 {
	p, q := x*x, y*y
	r := (p + q - 1) / 6
	if q == 0 && r <= 0 {
		return 0 // y = 0 inside the astroid: no such root
	}
	s := p * q / 4
	r3 := r * r * r
	disc := s * (s + 2*r3)
	u := r
	if disc >= 0 {
		t3 := s + r3
		t3 += math.Copysign(math.Sqrt(disc), t3) // the sign that does not cancel
		t := math.Cbrt(t3)
		u += t
		if t != 0 {
			u += r * r / t
		}
	} else {
		u += 2 * r * math.Cos(math.Atan2(math.Sqrt(-disc), -(s+r3))/3)
	}
	v := math.Hypot(u, y)
	uv := u + v
	if u < 0 {
		uv = q / (v - u)
	}
	w := (uv - q) / (2 * v)
	return uv / (math.Sqrt(uv+w*w) + w)
}

// search finds the azimuth at point 1 whose geodesic meets the latitude of
// point 2 at its longitude: Newton's method inside a shrinking bracket (section 4).
func (q *problem) search() arcs {
	lowSin, lowCos := tiny, 1.0 // northward overshoots nothing
	highSin, highCos := tiny, -1.0
	close := false
	for round := 0; ; round++ {
		g, over := q.longitude()
		tolerance := epsilon
		if close {
			tolerance *= 8 // rounding may keep it from getting closer
		}
		if math.Abs(over) < tolerance || round >= newtonRounds+halvingRounds || math.IsNaN(over) {
			return g
		}
		if over > 0 && (round > newtonRounds || q.cosAlp1*highSin > highCos*q.sinAlp1) {
			highSin, highCos = q.sinAlp1, q.cosAlp1
		} else if over < 0 && (round > newtonRounds || q.cosAlp1*lowSin < lowCos*q.sinAlp1) {
			lowSin, lowCos = q.sinAlp1, q.cosAlp1
		}
		if slope := q.slope(&g); round < newtonRounds && slope > 0 {
			step := -over / slope
			sinStep, cosStep := math.Sincos(step)
			s, c := turned(q.sinAlp1, q.cosAlp1, sinStep, cosStep)
			if s > 0 && math.Abs(step) < math.Pi {
				q.sinAlp1, q.cosAlp1 = unit(s, c)
				close = math.Abs(over) <= 16*epsilon
				continue
			}
		}
		s, c := (lowSin+highSin)/2, (lowCos+highCos)/2
		q.sinAlp1, q.cosAlp1 = unit(s, c)
		close = math.Abs(lowSin-q.sinAlp1)+(lowCos-q.cosAlp1) < epsilon ||
			math.Abs(q.sinAlp1-highSin)+(q.cosAlp1-highCos) < epsilon
	}
}

// longitude follows the geodesic that leaves point 1 with the azimuth alp1 until
// the latitude of point 2, and says by how much it overshoots the longitude there.
func (q *problem) longitude() (g arcs, over float64) {
	if q.sinBet1 == 0 && q.cosAlp1 == 0 {
		q.cosAlp1 = -tiny // off the equator, which would never come back to it
	}
	sinAlp0 := q.sinAlp1 * q.cosBet1
	cosAlp0 := math.Hypot(q.cosAlp1, q.sinAlp1*q.sinBet1)
	sinOmg1, cosOmg1 := sinAlp0*q.sinBet1, q.cosAlp1*q.cosBet1
	g.sinSig1, g.cosSig1 = unit(q.sinBet1, cosOmg1)

	q.sinAlp2, q.cosAlp2 = q.sinAlp1, math.Abs(q.cosAlp1)
	if q.cosBet2 != q.cosBet1 || math.Abs(q.sinBet2) != -q.sinBet1 { // equation 45
		q.sinAlp2 = sinAlp0 / q.cosBet2
		rise := (q.sinBet1 - q.sinBet2) * (q.sinBet1 + q.sinBet2)
		if q.cosBet1 < -q.sinBet1 {
			rise = (q.cosBet2 - q.cosBet1) * (q.cosBet1 + q.cosBet2)
		}
		t := q.cosAlp1 * q.cosBet1
		q.cosAlp2 = math.Sqrt(t*t+rise) / q.cosBet2
	}
	sinOmg2, cosOmg2 := sinAlp0*q.sinBet2, q.cosAlp2*q.cosBet2
	g.sinSig2, g.cosSig2 = unit(q.sinBet2, cosOmg2)
	g.sig12 = arcBetween(g.sinSig1, g.cosSig1, g.sinSig2, g.cosSig2)

	sinOmg12, cosOmg12 := max(0, cosOmg1*sinOmg2-sinOmg1*cosOmg2), cosOmg1*cosOmg2+sinOmg1*sinOmg2
	eta := math.Atan2(sinOmg12*q.cosLam12-cosOmg12*q.sinLam12, cosOmg12*q.cosLam12+sinOmg12*q.sinLam12)
	g.eps, _ = smallParameter(cosAlp0)
	var c coefficients
	c3(g.eps, &c)
	i3 := a3(g.eps) * (g.sig12 + (sineSeries(&c, g.sinSig2, g.cosSig2) - sineSeries(&c, g.sinSig1, g.cosSig1)))
	return g, eta - flattening*sinAlp0*i3
}

// slope is by how much the longitude grows with the azimuth, equation 46.
func (q *problem) slope(g *arcs) float64 {
	if q.cosAlp2 == 0 {
		return -2 * (1 - flattening) * q.stretch1 / q.sinBet1
	}
	_, reducedLength := q.lengths(g)
	return reducedLength * (1 - flattening) / (q.cosAlp2 * q.cosBet2)
}
