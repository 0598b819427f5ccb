package geo

import (
	"math"
	"testing"
)

// integrate is Simpson's rule with many steps: slow, simple, and another way
// than the series.
func integrate(f func(float64) float64, to float64) float64 {
	const steps = 4000
	h := to / steps
	sum := f(0) + f(to)
	for i := 1; i < steps; i++ {
		sum += f(float64(i)*h) * float64(2+2*(i%2))
	}
	return sum * h / 3
}

// TestSeriesAreTheirIntegrals: every series of the paper stands for an integral
// over the arc; at each azimuth the two agree to the digits of a float.
func TestSeriesAreTheirIntegrals(t *testing.T) {
	var c coefficients
	for alp0Deg := 0.0; alp0Deg <= 90; alp0Deg += 7.5 {
		_, cosAlp0 := sincosDeg(alp0Deg)
		eps, k2 := smallParameter(cosAlp0)
		root := func(s float64) float64 { return math.Sqrt(1 + k2*math.Sin(s)*math.Sin(s)) }
		for _, sig := range []float64{0.3, 1, 1.9, 3} {
			sum := func(mean float64) float64 { return mean * (sig + sineSeries(&c, math.Sin(sig), math.Cos(sig))) }
			c1(eps, &c)
			near(t, "distance", sum(a1(eps)), integrate(root, sig))
			tau := sig + sineSeries(&c, math.Sin(sig), math.Cos(sig))
			c1Reverted(eps, &c)
			near(t, "distance reverted", tau+sineSeries(&c, math.Sin(tau), math.Cos(tau)), sig)
			c2(eps, &c)
			near(t, "second", sum(a2(eps)), integrate(func(s float64) float64 { return 1 / root(s) }, sig))
			c3(eps, &c)
			near(t, "longitude", sum(a3(eps)), integrate(func(s float64) float64 {
				return (2 - flattening) / (1 + (1-flattening)*root(s))
			}, sig))
		}
	}
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	// The terms left out are of the size of eps^7, 1e-20; what is left is the
	// rounding of four thousand sums. 2e-14 of the earth's radius is 0.1 micrometre.
	if math.Abs(got-want) > 2e-14 {
		t.Errorf("%s: series %.17g, integral %.17g", what, got, want)
	}
}
