package fix

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestHandbook holds the factors against an engineering handbook's table of accuracy measures (two
// dimensions, equal deviations, no correlation), row by row: "1 sigma circle", "CEP (50 %)", "DRMS",
// "R68 (68.27 %)", "R95", "2DRMS", "R99"; in sigma, in DRMS, in CEP, and the probability inside.
func TestHandbook(t *testing.T) {
	for _, row := range []struct {
		name                         string
		inSigma, inDRMS, inCEP, prob float64
	}{
		{"1 sigma circle", 1.0000, 0.7071, 0.8493, 0.3935},
		{"CEP (50 %)", 1.1774, 0.8326, 1.0000, 0.50},
		{"DRMS", 1.4142, 1.0000, 1.2011, 0.6321},
		{"R68 (68.27 %)", 1.5152, 1.0714, 1.2869, 0.6827},
		{"R95", 2.4477, 1.7308, 2.0789, 0.95},
		{"2DRMS", 2.8284, 2.0000, 2.4022, 0.9817},
		{"R99", 3.0349, 2.1460, 2.5776, 0.99},
	} {
		if got := RadiusFactor(row.prob); math.Abs(got-row.inSigma) > 0.003 {
			t.Errorf("%s: %.4f sigma, the handbook says %.4f", row.name, got, row.inSigma)
		}
		if got := CircleShare(row.inSigma*3, 3, 3); math.Abs(got-row.prob) > 6e-5 {
			t.Errorf("%s: %.4f inside, the handbook says %.4f", row.name, got, row.prob)
		}
		if got := row.inSigma / math.Sqrt2; math.Abs(got-row.inDRMS) > 6e-5 {
			t.Errorf("%s: %.4f DRMS, the handbook says %.4f", row.name, got, row.inDRMS)
		}
		if got := row.inSigma / RadiusFactor(0.5); math.Abs(got-row.inCEP) > 1.1e-4 {
			t.Errorf("%s: %.4f CEP, the handbook says %.4f", row.name, got, row.inCEP)
		}
	}
	// "2DRMS: 95.5 to 98.2 % as the error ellipse goes from thin to round".
	if thin, round := CircleShare(2, 1, 0), CircleShare(2*math.Sqrt2, 1, 1); math.Abs(thin-0.9545) > 1e-4 || math.Abs(round-0.9817) > 1e-4 {
		t.Errorf("2DRMS holds %.4f when thin, %.4f when round", thin, round)
	}
	// "Unequal axes: CEP about 0.589(sN + sE)": the usual rule, good to 3 % down to a ratio of 0.3.
	for _, ratio := range []float64{0.3, 0.5, 0.7, 1} {
		if got, rule := CircleHolding(0.5, 1, ratio), 0.589*(1+ratio); math.Abs(got/rule-1) > 0.03 {
			t.Errorf("axes 1 and %v: CEP %.4f, the rule says %.4f", ratio, got, rule)
		}
	}
}

// TestCircleAgainstChance: unequal axes against two million draws.
func TestCircleAgainstChance(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 16))
	const n = 500_000
	for _, axes := range [][2]float64{{1, 1}, {2, 0.7}, {3, 0.1}, {1, 0}} {
		for _, share := range []float64{0.5, 0.6827, 0.95} {
			radius := CircleHolding(share, axes[0], axes[1])
			in := 0
			for range n {
				if math.Hypot(axes[0]*r.NormFloat64(), axes[1]*r.NormFloat64()) <= radius {
					in++
				}
			}
			// Four deviations of a share of so many.
			if got := float64(in) / n; math.Abs(got-share) > 4*math.Sqrt(share*(1-share)/n) {
				t.Errorf("axes %v: %.4f inside the circle of %v", axes, got, share)
			}
		}
	}
	if CircleHolding(0.95, 0, 0) != 0 {
		t.Error("a point needs no circle")
	}
}

// TestStudent: the two-sided 95 of 100 column of the table that every handbook of statistics has.
func TestStudent(t *testing.T) {
	for _, row := range []struct{ degrees, want float64 }{
		{3, 3.182}, {4, 2.776}, {5, 2.571}, {6, 2.447}, {7, 2.365}, {8, 2.306}, {9, 2.262}, {10, 2.228}, {15, 2.131}, {20, 2.086}, {30, 2.042}, {60, 2.000}, {120, 1.980}, {1e9, 1.960},
	} {
		if got := student(row.degrees); math.Abs(got-row.want) > 0.0035 {
			t.Errorf("%v degrees: %.4f, the table says %.3f", row.degrees, got, row.want)
		}
	}
}

// TestWilson: the examples of R. G. Newcombe, "Two-sided confidence intervals for the single
// proportion", Statistics in Medicine 17 (1998) 857, table I, score method (from memory).
func TestWilson(t *testing.T) {
	for _, row := range []struct{ hits, n, low, high float64 }{
		{81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0.0000, 0.1611}, {1, 29, 0.0061, 0.1718},
	} {
		got := Wilson(row.hits/row.n, row.n)
		if math.Abs(got.Low-row.low) > 6e-5 || math.Abs(got.High-row.high) > 6e-5 {
			t.Errorf("%v of %v: %.4f to %.4f, the paper says %.4f to %.4f", row.hits, row.n, got.Low, got.High, row.low, row.high)
		}
	}
	if got := Wilson(0.5, 0); got != (Interval{0, 1}) {
		t.Errorf("of nothing: %v", got)
	}
}
