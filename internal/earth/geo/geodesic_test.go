package geo

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func points(label string) *rapid.Generator[Point] {
	return rapid.Custom(func(t *rapid.T) Point {
		return Point{
			LatDeg: rapid.Float64Range(-90, 90).Draw(t, label+" lat"),
			LonDeg: rapid.Float64Range(-180, 180).Draw(t, label+" lon"),
		}
	})
}

// TestThereAndBack: what Direct reaches is where Inverse says it is.
func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := points("from").Draw(t, "a")
		azi := rapid.Float64Range(-180, 180).Draw(t, "azimuth")
		distM := rapid.Float64Range(0, 19.9e6).Draw(t, "distance") // shorter than half the shortest way round
		b, azi2 := Direct(a, azi, distM)
		back, _ := Direct(b, azi2, -distM)
		if off := DistanceM(a, back); off > 30e-9 {
			t.Fatalf("there and back ends %.3g m away", off)
		}
		got, _, _ := Inverse(a, b)
		if got > distM+20e-9 {
			t.Fatalf("a way of %.9f m, but the shortest is %.9f m", distM, got)
		}
		if other, _, _ := Inverse(b, a); math.Abs(other-got) > 15e-9 {
			t.Fatalf("%.9f m there, %.9f m back", got, other)
		}
	})
}

// TestShortestIsShortest: the triangle inequality, which a wrong branch near
// the opposite point would break.
func TestShortestIsShortest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := points("a").Draw(t, "a")
		b := Point{
			LatDeg: math.Max(-90, math.Min(90, -a.LatDeg+rapid.Float64Range(-0.5, 0.5).Draw(t, "off lat"))),
			LonDeg: turn(a.LonDeg + 180 + rapid.Float64Range(-0.7, 0.7).Draw(t, "off lon")),
		}
		c := points("c").Draw(t, "c")
		if direct, around := DistanceM(a, b), DistanceM(a, c)+DistanceM(c, b); direct > around+30e-9 {
			t.Fatalf("%.9f m, but %.9f m by way of %v", direct, around, c)
		}
	})
}

func TestInverseAtTheEdges(t *testing.T) {
	nan := math.NaN()
	half := DistanceM(Point{90, 0}, Point{-90, 0})
	for _, row := range []struct {
		name              string
		a, b              Point
		distM, azi1, azi2 float64
	}{
		{"one point", Point{51, 2}, Point{51, 2}, 0, 0, 0},
		{"one point, written twice round", Point{51, 182}, Point{51, -178}, 0, 0, 0},
		{"pole to pole", Point{90, 10}, Point{-90, 10}, half, 180, 180},
		{"a pole, two longitudes", Point{90, 10}, Point{90, 100}, 0, nan, nan},
		{"opposite on the equator goes over a pole", Point{0, 0}, Point{0, 180}, half, nan, nan},
		{"opposite goes over a pole", Point{30, 0}, Point{-30, 180}, half, nan, nan},
		{"along the equator, as far as it is shortest", Point{0, 0}, Point{0, 179.3}, 179.3 * degree * equatorRadiusM, 90, 90},
		{"a latitude too small to square", Point{4e-162, 0}, Point{0, 100}, 100 * degree * equatorRadiusM, 90, 90},
		{"beyond a pole there is nothing", Point{91, 0}, Point{0, 0}, nan, nan, nan},
		{"not a number", Point{nan, 0}, Point{0, 0}, nan, nan, nan},
		{"no longitude", Point{1, nan}, Point{0, 0}, nan, nan, nan},
	} {
		distM, azi1, azi2 := Inverse(row.a, row.b)
		if math.IsNaN(row.distM) != math.IsNaN(distM) || math.Abs(distM-row.distM) > 15e-9 {
			t.Errorf("%s: %.9f m, want %.9f", row.name, distM, row.distM)
		}
		if !math.IsNaN(row.azi1) && (azi1 != row.azi1 || math.Abs(azi2) != row.azi2) {
			t.Errorf("%s: azimuths %v %v, want %v %v", row.name, azi1, azi2, row.azi1, row.azi2)
		}
	}
	// A quarter of a meridian is 10,001,965.729 m (vectors.csv), and half a
	// great ellipse is twice that.
	if math.Abs(half-2*10001965.729) > 1e-3 {
		t.Errorf("pole to pole %.4f m", half)
	}
}

func TestFramesThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := points("p").Draw(t, "p")
		heightM := rapid.Float64Range(-11e3, 40e6).Draw(t, "height")
		q, h := FromECEF(ToECEF(p, heightM))
		if math.Abs(h-heightM) > 1e-7 || DistanceM(p, q) > 1e-7 {
			t.Fatalf("%v %.9f came back as %v %.9f", p, heightM, q, h)
		}
		east := rapid.Float64Range(-1e4, 1e4).Draw(t, "east")
		north := rapid.Float64Range(-1e4, 1e4).Draw(t, "north")
		up := rapid.Float64Range(-1e3, 1e3).Draw(t, "up")
		o := Point{p.LatDeg, p.LonDeg}
		there, hThere := FromENU(o, 100, east, north, up)
		e, n, u := ENU(o, 100, there, hThere)
		if math.Abs(e-east)+math.Abs(n-north)+math.Abs(u-up) > 1e-6 {
			t.Fatalf("%v %v %v came back as %v %v %v", east, north, up, e, n, u)
		}
	})
	if p, h := FromECEF(ECEF{1, 2, 3}); !math.IsNaN(p.LatDeg) || !math.IsNaN(h) {
		t.Errorf("the centre of the earth is at %v %v", p, h)
	}
}

// TestENUAgreesWithGeodesics: over 100 m the flat frame and the ellipsoid agree to a micrometre.
func TestENUAgreesWithGeodesics(t *testing.T) {
	origin := Point{51.710217, -0.307367}
	for azi := 0.0; azi < 360; azi += 15 {
		p, _ := Direct(origin, azi, 100)
		e, n, _ := ENU(origin, 0, p, 0)
		s, c := sincosDeg(azi)
		if math.Hypot(e-100*s, n-100*c) > 1e-6 {
			t.Errorf("azimuth %v: %v east, %v north", azi, e, n)
		}
	}
}

func TestResolution(t *testing.T) {
	// 0.00001 degrees is 1.111 m of latitude at 45 degrees (111131.78 m per degree, vectors.csv).
	latM, lonM := ResolutionM(45, 5)
	if math.Abs(latM-1.1113178) > 1e-6 || math.Abs(lonM-0.7884684) > 1e-6 {
		t.Errorf("%v %v", latM, lonM)
	}
	for _, row := range []struct {
		stepM float64
		want  int
	}{{2e5, 0}, {1.2, 5}, {1.1, 6}, {0.12, 6}, {1e-9, MaxDecimals}} {
		if got := DecimalsFor(row.stepM); got != row.want {
			t.Errorf("%v m: %d decimals, want %d", row.stepM, got, row.want)
		}
	}
}

// Enough: a million distances in a second. A day of fixes at one a second takes a tenth of that.
func BenchmarkInverse(b *testing.B) {
	for _, row := range []struct {
		name string
		a, b Point
	}{
		{"neighbours", Point{51.710217, -0.307367}, Point{51.710301, -0.307120}},
		{"continents", Point{51.71, -0.3}, Point{40.1, -73.2}},
		{"opposite", Point{-30.1, 0}, Point{30, 179.8}},
	} {
		b.Run(row.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Inverse(row.a, row.b)
			}
		})
	}
}

// Enough: 500 ns.
func BenchmarkDirect(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Direct(Point{51.71, -0.3}, 33, 123456)
	}
}
