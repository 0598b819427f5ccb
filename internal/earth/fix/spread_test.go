package fix

import (
	"math"
	"math/rand/v2"
	"testing"

	"firstfix/internal/earth/geo"
)

// Of a round normal distribution with deviation s: CEP 1.1774 s, DRMS 1.4142 s, R95 2.4477 s
// (handbook table of accuracy measures; CEP and R95 are the roots of -2 ln 0.5 and -2 ln 0.05).
func TestSpreadOfNormal(t *testing.T) {
	const n, s = 200_000, 3.0
	for _, centre := range []geo.Point{{LatDeg: 51.7102, LonDeg: -0.3074}, {LatDeg: 0, LonDeg: 180}, {LatDeg: -89.9, LonDeg: 12}} {
		r := rand.New(rand.NewPCG(9, 9))
		points := make([]geo.Point, n)
		for i := range points {
			points[i], _ = geo.FromENU(centre, 0, r.NormFloat64()*s, r.NormFloat64()*s, 0)
		}
		got, ok := Measure(points)
		if !ok || got.Count != n {
			t.Fatalf("%+v", got)
		}
		for _, test := range []struct {
			name      string
			got, want float64
		}{
			{"CEP50", got.CEP50M, math.Sqrt(-2*math.Log(0.5)) * s},
			{"R95", got.R95M, math.Sqrt(-2*math.Log(0.05)) * s},
			{"DRMS", got.DRMSM, math.Sqrt2 * s},
			{"east", got.EastM, s},
			{"north", got.NorthM, s},
		} {
			// A share of n samples deviates by about 1/(1.4 root n) of itself: 0.16 %; four times that.
			if math.Abs(test.got-test.want) > 0.0065*test.want {
				t.Errorf("%v: %s is %.4f m, want %.4f m", centre, test.name, test.got, test.want)
			}
		}
		// The mean of n has a deviation of s/root n in each axis: 7 mm; four times that.
		if d := geo.DistanceM(got.Centre, centre); d > 0.027 || got.OffsetM > 1e-6 {
			t.Errorf("%v: centre is %.4f m off, offset %g", centre, d, got.OffsetM)
		}
	}
}

// Four corners of a square of 2 m by 2 m, worked out by hand.
func TestSpreadOfSquare(t *testing.T) {
	centre := geo.Point{LatDeg: 48.1173, LonDeg: 11.5166667}
	var points []geo.Point
	for _, at := range [][2]float64{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
		p, _ := geo.FromENU(centre, 0, at[0], at[1], 0)
		points = append(points, p)
	}
	near := func(name string, got, want float64) {
		if math.Abs(got-want) > 1e-5 {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
	s, _ := Measure(points)
	near("CEP50", s.CEP50M, math.Sqrt2)
	near("R95", s.R95M, math.Sqrt2)
	near("DRMS", s.DRMSM, math.Sqrt2)
	near("east", s.EastM, 1)
	near("north", s.NorthM, 1)
	near("largest", s.LargeM, math.Sqrt2)
	near("offset", s.OffsetM, 0)

	// Seen from a place 3 m east and 4 m north of the centre, all lie 5 m off on the mean.
	truth, _ := geo.FromENU(centre, 0, 3, 4, 0)
	s, _ = About(truth, points)
	near("offset", s.OffsetM, 5)
	near("east", s.EastM, 1)
	near("DRMS", s.DRMSM, math.Sqrt(27)) // 25 and the square of the root of 2
	near("largest", s.LargeM, math.Sqrt(16+25))
}

func TestSpreadOfFew(t *testing.T) {
	if _, ok := Measure(nil); ok {
		t.Error("of nothing")
	}
	p := geo.Point{LatDeg: 51.7, LonDeg: -0.3}
	s, ok := Measure([]geo.Point{p})
	if !ok || s.Count != 1 || s.CEP50M > 1e-6 || s.R95M > 1e-6 || s.LargeM > 1e-6 || geo.DistanceM(s.Centre, p) > 1e-6 {
		t.Errorf("of one: %+v", s)
	}
}
