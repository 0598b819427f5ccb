package fix

import "math"

// What follows from a normal distribution. Confidence here is always 95 of 100.

// z95 is the deviation that 95 of 100 stay within, to both sides.
const z95 = 1.959963984540054

// RadiusFactor is how many deviations the radius has that holds a share of a round normal
// distribution in two dimensions: 1 - exp(-r²/2), the Rayleigh distribution, or chi-square with two
// degrees of freedom.
func RadiusFactor(share float64) float64 { return math.Sqrt(-2 * math.Log1p(-share)) }

// CircleShare is how much of a normal distribution with deviations a and b in two directions at
// right angles lies within r of its middle. In coordinates in which it is round, the circle is an
// ellipse; the share outside is exp(-ρ²/2) on its edge, averaged over all directions.
func CircleShare(r, a, b float64) float64 {
	if !(r > 0) {
		return 0
	}
	const steps = 256 // even steps of a periodic smooth function: the error vanishes fast
	outside := 0.0
	for i := range steps {
		s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / steps)
		if v := a*a*c*c + b*b*s*s; v > 0 {
			outside += math.Exp(-r * r / (2 * v))
		}
	}
	return 1 - outside/steps
}

// CircleHolding is the radius around the middle that holds a share of such a distribution.
func CircleHolding(share, a, b float64) float64 {
	big := math.Max(math.Abs(a), math.Abs(b))
	if big == 0 || math.IsNaN(big) || math.IsInf(big, 0) {
		return big
	}
	low, high := 0.0, big*RadiusFactor(share)*1.0001 // the round one is the widest
	for range 60 {
		if mid := (low + high) / 2; CircleShare(mid, a, b) < share {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// student is the t that 95 of 100 stay within with so many degrees of freedom: Abramowitz and
// Stegun, Handbook of Mathematical Functions, 26.7.5. It is right to 0.1 % from 3 degrees on.
func student(degrees float64) float64 {
	if degrees < minDegrees {
		degrees = minDegrees
	}
	z := z95
	z3 := z * z * z
	z5, z7, z9 := z3*z*z, z3*z3*z, z3*z3*z3
	g1 := (z3 + z) / 4
	g2 := (5*z5 + 16*z3 + 3*z) / 96
	g3 := (3*z7 + 19*z5 + 17*z3 - 15*z) / 384
	g4 := (79*z9 + 776*z7 + 1482*z5 - 1920*z3 - 945*z) / 92160
	d := degrees
	return z + g1/d + g2/(d*d) + g3/(d*d*d) + g4/(d*d*d*d)
}

// minDegrees is from where on [student] is good; fewer say nothing worth telling.
const minDegrees = 3

// Interval is where a figure lies with a confidence of 95 of 100.
type Interval struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Wilson is where a share lies that was seen in so many of n independent trials: E. B. Wilson,
// Journal of the American Statistical Association 22 (1927). n may be a number of trials that so
// many dependent ones are worth.
func Wilson(share, n float64) Interval { return wilson(share, n, z95) }

func wilson(share, n, z float64) Interval {
	if !(n > 0) {
		return Interval{0, 1}
	}
	z2 := z * z
	centre := share + z2/(2*n)
	half := z * math.Sqrt(share*(1-share)/n+z2/(4*n*n))
	return Interval{math.Max(0, (centre-half)/(1+z2/n)), math.Min(1, (centre+half)/(1+z2/n))}
}
