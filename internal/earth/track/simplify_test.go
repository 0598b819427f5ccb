package track

import (
	"math"
	"math/rand/v2"
	"testing"

	"firstfix/internal/earth/geo"

	"pgregory.net/rapid"
)

// geodesicOffM is how far a point is from the piece of geodesic between two others: the
// least of the geodesic distances to its points, found by halving an interval by the golden
// section. It shares nothing with the planes of simplify.go.
func geodesicOffM(p, a, b geo.Point) float64 {
	length, azimuth, _ := geo.Inverse(a, b)
	off := func(s float64) float64 {
		q, _ := geo.Direct(a, azimuth, s)
		return geo.DistanceM(p, q)
	}
	const golden = 0.6180339887498949
	low, high := 0.0, length
	x, y := high-golden*(high-low), low+golden*(high-low)
	fx, fy := off(x), off(y)
	for high-low > 1e-4*(1+length*1e-6) {
		if fx < fy {
			high, y, fy = y, x, fx
			x = high - golden*(high-low)
			fx = off(x)
		} else {
			low, x, fx = x, y, fy
			y = low + golden*(high-low)
			fy = off(y)
		}
	}
	return min(fx, fy, off(0), off(length))
}

// wander makes a line of n points: a random walk with steps of about stepM that likes to go straight.
func wander(r *rand.Rand, from geo.Point, n int, stepM float64) []geo.Point {
	out := []geo.Point{from}
	azimuth := r.Float64() * 360
	for range n - 1 {
		azimuth += r.NormFloat64() * 20
		p, at := geo.Direct(out[len(out)-1], azimuth, stepM*r.ExpFloat64())
		out = append(out, p)
		azimuth += at - azimuth
	}
	return out
}

// The promise: no point left out is farther than the bound from the line that stays, by
// geodesics alone. Anywhere on earth, for short steps and for stretches of many kilometres.
func TestSimplifyBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		from := geo.Point{LatDeg: rapid.Float64Range(-89.9, 89.9).Draw(t, "lat"), LonDeg: rapid.Float64Range(-180, 180).Draw(t, "lon")}
		step := rapid.SampledFrom([]float64{1, 20, 500, 20e3}).Draw(t, "step")
		bound := rapid.SampledFrom([]float64{0.05, 1, 10, 300, 10e3}).Draw(t, "bound")
		points := wander(r, from, rapid.IntRange(0, 60).Draw(t, "n"), step)
		if len(points) > 3 && rapid.Bool().Draw(t, "back") {
			points = append(points, points[1], points[0], points[0])
		}
		check(t, points, Simplify(points, bound), bound)
	})
}

type fataler interface {
	Fatalf(format string, args ...any)
}

func check(t fataler, points []geo.Point, stay []bool, bound float64) {
	if len(stay) != len(points) {
		t.Fatalf("%d answers for %d points", len(stay), len(points))
	}
	if len(points) == 0 {
		return
	}
	if !stay[0] || !stay[len(stay)-1] {
		t.Fatalf("an end was left out")
	}
	last := 0
	for i := 1; i < len(points); i++ {
		if !stay[i] {
			continue
		}
		for k := last + 1; k < i; k++ {
			if off := geodesicOffM(points[k], points[last], points[i]); off > bound {
				t.Fatalf("point %d is %.6f m from the line, the bound is %g m", k, off, bound)
			}
		}
		last = i
	}
}

// A long track in blocks: the bound holds over their borders, and most points go.
func TestSimplifierStreams(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	points := wander(r, yard, 3*blockSize+17, 12)
	m, err := NewSimplifier(8)
	if err != nil {
		t.Fatal(err)
	}
	var out []Judged
	for i, p := range points {
		j := Judged{Sighting: at(float64(i), 0)}
		j.Point, j.From.Line = known(p), i
		out = m.Add(&j, out)
		if len(m.held) > blockSize {
			t.Fatalf("%d are held", len(m.held))
		}
	}
	out = m.End(out)
	stay := make([]bool, len(points))
	for _, j := range out {
		if stay[j.From.Line] {
			t.Fatalf("point %d came out twice", j.From.Line)
		}
		stay[j.From.Line] = true
	}
	check(t, points, stay, 8)
	came, stayed := m.Counts()
	if came != len(points) || stayed != len(out) || stayed > came/2 {
		t.Errorf("%d of %d stay", stayed, came)
	}
}

// A line that does not join keeps its ends: two parallel roads are not one.
func TestSimplifierBreaks(t *testing.T) {
	m, _ := NewSimplifier(5)
	var out []Judged
	for i := range 20 {
		j := Judged{Sighting: at(float64(i), float64(i)*10)}
		if i == 10 {
			j.Gap = "nothing was heard"
		}
		out = m.Add(&j, out)
	}
	out = m.End(out)
	if len(out) != 4 {
		t.Errorf("%d stay, want the two ends of both lines", len(out))
	}
	if _, err := NewSimplifier(0); err == nil {
		t.Error("a bound of 0")
	}
	if _, err := NewSimplifier(math.NaN()); err == nil {
		t.Error("a bound that is no number")
	}
}

// A right angle cannot be left out, a straight line needs its ends only.
func TestSimplifyShapes(t *testing.T) {
	count := func(points []geo.Point, bound float64) (n int) {
		for _, s := range Simplify(points, bound) {
			if s {
				n++
			}
		}
		return n
	}
	var straight, corner []geo.Point
	for i := range 101 {
		p, _ := geo.Direct(yard, 30, float64(i)*100)
		straight = append(straight, p)
		corner = append(corner, place(min(float64(i), 50)*10, max(float64(i)-50, 0)*10))
	}
	if n := count(straight, 0.05); n != 2 {
		t.Errorf("of a geodesic of 10 km %d points stay", n)
	}
	if n := count(corner, 0.5); n != 3 {
		t.Errorf("of a right angle %d points stay", n)
	}
}

// Enough: 1 µs for each sighting of an hour's drive.
func BenchmarkSimplify(b *testing.B) {
	points := wander(rand.New(rand.NewPCG(8, 8)), yard, 3600, 12)
	b.ReportAllocs()
	for b.Loop() {
		Simplify(points, 5)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/3600, "ns/sighting")
}
