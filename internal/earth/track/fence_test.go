package track

import (
	"math"
	"math/rand/v2"
	"testing"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"

	"pgregory.net/rapid"
)

func known(p geo.Point) maybe.Value[geo.Point] { return maybe.Known(p) }

// A circle is on the ellipsoid: the points that the direct problem puts on it are on it.
func TestCircle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := Fence{Name: "c", RadiusM: rapid.Float64Range(10, 5e6).Draw(t, "radius"), Centre: geo.Point{
			LatDeg: rapid.Float64Range(-90, 90).Draw(t, "lat"), LonDeg: rapid.Float64Range(-180, 180).Draw(t, "lon")}}
		a, err := f.area()
		if err != nil {
			t.Fatal(err)
		}
		off := rapid.Float64Range(-9, 1000).Draw(t, "off")
		p, _ := geo.Direct(f.Centre, rapid.Float64Range(0, 360).Draw(t, "azimuth"), f.RadiusM+off)
		if got := a.signedM(p); math.Abs(got-off) > 1e-6 {
			t.Fatalf("%g m from the line, want %g", got, off)
		}
	})
}

// square is a field of 400 m by 400 m around a point, with a hole of 100 m by 100 m.
func square(middle geo.Point) Fence {
	corner := func(e, n float64) geo.Point {
		latM, lonM := geo.MetresPerDegree(middle.LatDeg)
		return geo.Point{LatDeg: middle.LatDeg + n/latM, LonDeg: geo.NormalLon(middle.LonDeg + e/lonM)}
	}
	return Fence{Name: "field", Polygons: []Polygon{{
		{corner(-200, -200), corner(200, -200), corner(200, 200), corner(-200, 200), corner(-200, -200)},
		{corner(-50, -50), corner(-50, 50), corner(50, 50), corner(50, -50)},
	}}}
}

// Distances from the edges of a square, worked out by hand; also over the 180th meridian
// and far north.
func TestPolygon(t *testing.T) {
	for _, middle := range []geo.Point{yard, {LatDeg: -17.2, LonDeg: 180}, {LatDeg: 10, LonDeg: -179.9999}, {LatDeg: 74, LonDeg: 20}} {
		f := square(middle)
		a, err := f.area()
		if err != nil {
			t.Fatal(err)
		}
		for _, test := range []struct{ e, n, want float64 }{
			{100, 0, -50}, {0, 150, -50}, {-190, 0, -10}, {0, 0, 50}, {45, 0, 5}, {210, 0, 10}, {0, -300, 100},
			{230, 240, 50}, {199, 199, -1}, {-75, 75, -math.Sqrt2 * 25},
		} {
			p, _ := geo.FromENU(middle, 0, test.e, test.n, 0)
			if got := a.signedM(p); math.Abs(got-test.want) > 0.06 {
				t.Errorf("%v: %g, %g is %.3f m from the line, want %.3f", middle, test.e, test.n, got, test.want)
			}
		}
	}
}

// Walking along a fence with five metres of noise crosses nothing; walking over it crosses
// once, however much noise there is.
func TestHysteresis(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 11))
	fences := []Fence{square(yard), {Name: "circle", Centre: yard, RadiusM: 200}}
	cross := func(east func(i int) float64, n int, noise float64) map[string][]bool {
		g, err := NewGuard(fences, UsualHysteresis)
		if err != nil {
			t.Fatal(err)
		}
		sides := map[string][]bool{}
		for i := range n {
			j := Judged{Sighting: at(float64(i), 0)}
			j.Point = known(place(east(i)+noise*r.NormFloat64(), 120*0+noise*r.NormFloat64()))
			j.Moment = Moment{int64(i) * 1e9, true}
			for _, c := range g.Add(&j, nil) {
				sides[c.Fence] = append(sides[c.Fence], c.Inside)
			}
		}
		return sides
	}
	// From 300 m to the east slowly towards the line at 200 m, along it, and away again.
	along := cross(func(i int) float64 { return 205 + 100*math.Abs(math.Cos(float64(i)/600*math.Pi)) }, 600, 5)
	for name, sides := range along {
		if len(sides) != 1 || sides[0] {
			t.Errorf("along %s: %v, want outside and nothing more", name, sides)
		}
	}
	// From 400 m in to 120 m, out again, with ten metres of noise: in once, out once.
	over := cross(func(i int) float64 { return 120 + 280*math.Abs(float64(i)-300)/300 }, 600, 10)
	for name, sides := range over {
		if len(sides) != 3 || sides[0] || !sides[1] || sides[2] {
			t.Errorf("over %s: %v, want outside, in, out", name, sides)
		}
	}
}

// Whatever the track, the crossings of one fence alternate, and a guard that takes nothing
// for granted says the same.
func TestGuardAlternates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		points := wander(r, yard, 200, rapid.SampledFrom([]float64{10, 60, 300}).Draw(t, "step"))
		fences := []Fence{square(yard), {Name: "circle", Centre: yard, RadiusM: 300}}
		h := Hysteresis{MarginM: rapid.SampledFrom([]float64{0, 5, 20}).Draw(t, "margin"), Count: rapid.IntRange(1, 3).Draw(t, "count")}
		quick, _ := NewGuard(fences, h)
		slow, _ := NewGuard(fences, h)
		var a, b []Crossing
		for i, p := range points {
			j := Judged{Sighting: at(float64(i), 0), Moment: Moment{int64(i) * 1e9, true}}
			j.Point = known(p)
			a = quick.Add(&j, a)
			for k := range slow.watched {
				slow.watched[k].safeM = 0
			}
			b = slow.Add(&j, b)
		}
		if len(a) != len(b) {
			t.Fatalf("%d crossings, %d without taking anything for granted", len(a), len(b))
		}
		side := map[string]bool{}
		for i, c := range a {
			if c.Fence != b[i].Fence || c.Inside != b[i].Inside || c.Sure.Where != b[i].Sure.Where || c.First.Where != b[i].First.Where {
				t.Fatalf("%+v differs from %+v", c, b[i])
			}
			was, begun := side[c.Fence]
			if begun == c.Began || begun && was == c.Inside {
				t.Fatalf("%v: %+v", side, c)
			}
			side[c.Fence] = c.Inside
		}
	})
}

// A trailer is 10 minutes in the yard, away, and again 5 minutes in it: 15 minutes inside.
func TestInsideTime(t *testing.T) {
	g, _ := NewGuard([]Fence{{Name: "yard", Centre: yard, RadiusM: 100}}, UsualHysteresis)
	var last Moment
	crossings := 0
	for i := range 3600 {
		east := 1000.0
		if i < 600 || i >= 3300 {
			east = 0
		}
		j := Judged{Sighting: at(float64(i), east), Moment: Moment{int64(i) * 1e9, true}}
		crossings += len(g.Add(&j, nil))
		last = j.Moment
	}
	f := g.End(last)[0]
	if crossings != 3 || f.Count != 2 || len(f.Crossings) != 3 {
		t.Errorf("%d crossings: %+v", crossings, f)
	}
	if in := f.InsideS.Or(0); math.Abs(in-899) > 2 {
		t.Errorf("%g s inside, want 15 minutes", in)
	}
}

func TestBadFences(t *testing.T) {
	polar := Fence{Name: "polar", Polygons: []Polygon{{{{LatDeg: 80, LonDeg: 0}, {LatDeg: 80, LonDeg: 120}, {LatDeg: 80, LonDeg: -120}}}}}
	for _, f := range []Fence{
		{Name: "empty"}, {Name: "negative", RadiusM: -1, Centre: yard}, {Name: "nan", RadiusM: math.NaN(), Centre: yard},
		{Name: "off", RadiusM: 5, Centre: geo.Point{LatDeg: 91}}, polar,
		{Name: "two", Polygons: []Polygon{{{yard, place(1, 1)}}}},
		{Name: "both", RadiusM: 5, Centre: yard, Polygons: square(yard).Polygons},
	} {
		if _, err := NewGuard([]Fence{f}, UsualHysteresis); err == nil {
			t.Errorf("%s was taken", f.Name)
		}
	}
}
