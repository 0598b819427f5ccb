package geo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"firstfix/internal/tidy/needs"
)

// askOracle sends questions to oracle/geo and returns its answers as numbers.
func askOracle(t *testing.T, questions []string) [][]float64 {
	t.Helper()
	var answers [][]float64
	for _, line := range askOracleText(t, questions) {
		var numbers []float64
		for _, word := range strings.Fields(line) {
			v, err := strconv.ParseFloat(word, 64)
			if err != nil {
				t.Fatalf("the oracle says %q", line)
			}
			numbers = append(numbers, v)
		}
		answers = append(answers, numbers)
	}
	return answers
}

func askOracleText(t *testing.T, questions []string) []string {
	t.Helper()
	folder := filepath.Join("..", "..", "..", "oracle", "geo")
	if _, err := os.Stat(filepath.Join(folder, "node_modules")); err != nil {
		needs.Something(t, "the oracle is not installed: run npm ci in oracle/geo to compare with independent libraries")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		needs.Something(t, "the oracle needs node: "+err.Error())
	}
	command := exec.Command(node, "geo.mjs")
	command.Dir = folder
	command.Stdin = strings.NewReader(strings.Join(questions, "\n") + "\n")
	command.Stderr = os.Stderr
	out, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	answers := strings.Split(strings.TrimRight(string(out), "\n"), "\n")
	if len(answers) != len(questions) {
		t.Fatalf("%d answers to %d questions", len(answers), len(questions))
	}
	return answers
}

// randomPairs are pairs of every kind of difficulty, the same each time.
func randomPairs() [][2]Point {
	const each = 6000
	r := rand.New(rand.NewPCG(87, 43)) // the volume and page of the paper
	anywhere := func() Point {
		return Point{math.Asin(2*r.Float64()-1) / degree, 360*r.Float64() - 180}
	}
	near := func(p Point, offDeg float64) Point {
		lat := p.LatDeg + offDeg*(2*r.Float64()-1)
		return Point{math.Max(-90, math.Min(90, lat)), turn(p.LonDeg + offDeg*(2*r.Float64()-1))}
	}
	var pairs [][2]Point
	for range each {
		a := anywhere()
		opposite := Point{-a.LatDeg, turn(a.LonDeg + 180)}
		size := math.Pow(10, 4*r.Float64()-6) // a millionth of a degree to a hundredth
		pairs = append(pairs,
			[2]Point{a, anywhere()},
			[2]Point{a, near(a, size)},
			[2]Point{a, near(opposite, 0.6)},  // the astroid reaches half a degree
			[2]Point{a, near(opposite, size)}, // its middle
			[2]Point{a, {opposite.LatDeg, turn(opposite.LonDeg + 1.2*(r.Float64()-0.5))}}, // the cut
		)
	}
	for range each / 4 {
		lat := math.Round(180*r.Float64() - 90) // whole degrees: equal latitudes, poles, equator, meridians
		lon := math.Round(360*r.Float64() - 180)
		pairs = append(pairs,
			[2]Point{{lat, 0}, {lat, lon}}, [2]Point{{lat, 0}, {-lat, lon}}, [2]Point{{0, 0}, {0, lon}},
			[2]Point{{lat, lon}, {90, 0}}, [2]Point{{lat, 180}, {-lat, -180}}, [2]Point{{lat, lon}, {lat / 2, lon}})
	}
	return pairs
}

// TestOracleInverse: npm geographiclib-geodesic 2.2.0, an implementation by the
// author of the paper.
func TestOracleInverse(t *testing.T) {
	pairs := randomPairs()
	questions := make([]string, len(pairs))
	for i, p := range pairs {
		questions[i] = fmt.Sprintf("inverse %v %v %v %v", p[0].LatDeg, p[0].LonDeg, p[1].LatDeg, p[1].LonDeg)
	}
	worstM, worstAzi := 0.0, 0.0
	for i, want := range askOracle(t, questions) {
		a, b := pairs[i][0], pairs[i][1]
		distM, azi1, azi2 := Inverse(a, b)
		off := math.Abs(distM - want[0])
		if worstM = math.Max(worstM, off); !(off <= 15e-9) {
			t.Errorf("%v to %v: %.10f m, the oracle says %.10f", a, b, distM, want[0])
		}
		// An azimuth counts by how far aside it leads: where all directions
		// lead to the point, at the opposite one, it means little.
		arrivedM, _ := Direct(a, azi1, distM)
		back, _ := Direct(b, azi2+180, distM)
		aside := math.Max(DistanceM(arrivedM, b), DistanceM(back, a))
		if distM < 1e-3 {
			continue // no direction in a micrometre
		}
		if worstAzi = math.Max(worstAzi, aside); aside > 40e-9 {
			t.Errorf("%v to %v: azimuths %v %v lead %.3g m aside; the oracle says %v %v", a, b, azi1, azi2, aside, want[1], want[2])
		}
	}
	t.Logf("%d pairs: worst distance %.2g m, worst line %.2g m aside", len(pairs), worstM, worstAzi)
}

func TestOracleDirect(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 2013))
	type question struct {
		a         Point
		azi, dist float64
	}
	asked := make([]question, 20000)
	questions := make([]string, len(asked))
	for i := range asked {
		q := question{Point{math.Asin(2*r.Float64()-1) / degree, 360*r.Float64() - 180}, 360*r.Float64() - 180, 60e6*r.Float64() - 20e6}
		if i%10 == 0 {
			q.azi = 90 * math.Round(q.azi/90)
		}
		if i%20 == 0 {
			q.a.LatDeg = 0
		}
		asked[i] = q
		questions[i] = fmt.Sprintf("direct %v %v %v %v", q.a.LatDeg, q.a.LonDeg, q.azi, q.dist)
	}
	worst := 0.0
	for i, want := range askOracle(t, questions) {
		q := asked[i]
		to, azi2 := Direct(q.a, q.azi, q.dist)
		off := DistanceM(to, Point{want[0], want[1]})
		if worst = math.Max(worst, off); !(off <= 30e-9) {
			t.Errorf("%+v: %v, the oracle says %v, %.3g m apart", q, to, want, off)
		}
		// An error of the azimuth is one of place, seen from the pole.
		if aside := math.Abs(math.Remainder(azi2-want[2], 360)) * math.Cos(to.LatDeg*degree); aside > 1e-12 {
			t.Errorf("%+v: azimuth %v, the oracle says %v", q, azi2, want[2])
		}
	}
	t.Logf("%d lines: worst place %.2g m off", len(asked), worst)
}

// TestOracleGrid: npm proj4 2.22.0 (its exact transverse Mercator) and npm mgrs 2.2.0.
func TestOracleGrid(t *testing.T) {
	r := rand.New(rand.NewPCG(32, 1))
	var places []UTM
	var at []Point
	var questions []string
	for range 10000 {
		p := Point{-80 + 164*r.Float64(), 360*r.Float64() - 180}
		u, _ := ToUTM(p)
		places, at = append(places, u), append(at, p)
		questions = append(questions, fmt.Sprintf("utm %d %v %v", u.Zone, p.LatDeg, p.LonDeg))
	}
	worst := 0.0
	for i, want := range askOracle(t, questions) {
		u := places[i]
		if u.Band < 'N' {
			u.NorthingM -= falseNorthingM
		}
		off := math.Hypot(u.EastingM-want[0], u.NorthingM-want[1])
		if worst = math.Max(worst, off); !(off < 1e-6) {
			t.Errorf("%v: %+v, the oracle says %.7f, %.3g m apart", at[i], u, want, off)
		}
	}
	t.Logf("%d places: worst %.2g m", len(places), worst)

	// Squares are compared as text: their middles, away from the edges where
	// that library rounds otherwise and from its coarser projection (10 cm).
	questions = questions[:0]
	var wanted []string
	for _, p := range at {
		text, _ := FormatMGRS(p, 4)
		reading, err := Parse(text)
		if err != nil || len(reading.Notes) > 0 {
			continue // the middle lies in the next zone
		}
		wanted = append(wanted, text)
		questions = append(questions, fmt.Sprintf("mgrs %v %v", reading.Point.LatDeg, reading.Point.LonDeg))
	}
	for i, got := range askOracleText(t, questions) {
		// Ours has four digits each way, the oracle's five.
		head := len(wanted[i]) - 8
		if short := got[:head+4] + got[head+5:head+9]; short != wanted[i] {
			t.Errorf("%s: %s, the oracle says %s", questions[i], wanted[i], got)
		}
	}
	t.Logf("%d squares", len(wanted))
}
