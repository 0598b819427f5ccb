package geoid

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"firstfix/internal/earth/geo"
	"firstfix/internal/tidy/needs"
)

// The published sample of the agency's own program for EGM96 (INPUT.DAT and OUTF477.DAT: points
// and their geoid heights by the whole model, to a millimetre; values from memory). A grid of a
// degree cannot be better than [HeightM] promises.
func TestPublishedSample(t *testing.T) {
	for _, s := range []struct{ lat, lon, want float64 }{
		{38.6281550, 269.7791550, -31.628},
		{-14.6212170, 305.0211140, -2.969},
		{46.8743190, 102.4487290, -43.575},
		{-23.6174460, 133.8747120, 15.871},
		{38.6254730, 359.9995000, 50.066},
		{-0.4667440, 0.0023000, 17.329},
	} {
		got := HeightM(geo.Point{LatDeg: s.lat, LonDeg: geo.NormalLon(s.lon)})
		if math.Abs(got-s.want) > 1.0 {
			t.Errorf("%v %v: %.2f m, the agency says %.3f m", s.lat, s.lon, got, s.want)
		}
	}
}

// What is known of the geoid: the lowest place is in the Indian Ocean south of India, near -106 m,
// the highest near New Guinea, near +85 m (EGM96, from memory).
func TestExtremes(t *testing.T) {
	low, high := math.Inf(1), math.Inf(-1)
	var lowAt, highAt geo.Point
	for lat := -90; lat <= 90; lat++ {
		for lon := -180; lon < 180; lon++ {
			p := geo.Point{LatDeg: float64(lat), LonDeg: float64(lon)}
			h := HeightM(p)
			if h < low {
				low, lowAt = h, p
			}
			if h > high {
				high, highAt = h, p
			}
		}
	}
	if low < -107.5 || low > -104 || geo.DistanceM(lowAt, geo.Point{LatDeg: 4.7, LonDeg: 78.8}) > 300e3 {
		t.Errorf("lowest %.1f m at %v", low, lowAt)
	}
	if high < 80 || high > 86 || highAt.LonDeg < 130 || highAt.LonDeg > 160 || math.Abs(highAt.LatDeg) > 12 {
		t.Errorf("highest %.1f m at %v", high, highAt)
	}
}

// The grid joins at Greenwich's other side, at the poles and where latitude or longitude are whole.
func TestSeams(t *testing.T) {
	for lat := -89.75; lat < 90; lat += 0.5 {
		west, east := HeightM(geo.Point{LatDeg: lat, LonDeg: -180}), HeightM(geo.Point{LatDeg: lat, LonDeg: 180})
		if west != east {
			t.Errorf("latitude %v: %v and %v at the same meridian", lat, west, east)
		}
		if a, b := HeightM(geo.Point{LatDeg: lat, LonDeg: -1e-9}), HeightM(geo.Point{LatDeg: lat}); math.Abs(a-b) > 1e-6 {
			t.Errorf("latitude %v: %v and %v beside Greenwich", lat, a, b)
		}
	}
	for _, lat := range []float64{90, -90} {
		pole := HeightM(geo.Point{LatDeg: lat})
		for lon := -180.0; lon <= 180; lon += 7.3 {
			if got := HeightM(geo.Point{LatDeg: lat, LonDeg: lon}); math.Abs(got-pole) > 1e-9 {
				t.Errorf("the pole has heights %v and %v", pole, got)
			}
		}
	}
	if !math.IsNaN(HeightM(geo.Point{LatDeg: 91})) || !math.IsNaN(HeightM(geo.Point{LatDeg: math.NaN()})) {
		t.Error("a height for what is no place")
	}
	p := geo.Point{LatDeg: 51.7, LonDeg: -0.3}
	if got := AltitudeM(p, EllipsoidM(p, 61.3)); math.Abs(got-61.3) > 1e-9 {
		t.Errorf("there and back: %v", got)
	}
}

// TestOracle holds the grid against the full one: at its crossings it is the same to half a
// decimetre, and between them within what the package promises.
func TestOracle(t *testing.T) {
	folder := filepath.Join("..", "..", "..", "oracle", "sky")
	if _, err := os.Stat(filepath.Join(folder, "node_modules")); err != nil {
		needs.Something(t, "the oracle is not installed: run npm ci in oracle/sky to compare with the full grid")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		needs.Something(t, "the oracle needs node: "+err.Error())
	}
	var points []geo.Point
	var questions strings.Builder
	for lat := -90.0; lat <= 90; lat += 0.75 {
		for lon := -180.0; lon < 180; lon += 0.75 {
			points = append(points, geo.Point{LatDeg: lat, LonDeg: lon})
			fmt.Fprintf(&questions, "geoid %g %g\n", lat, lon)
		}
	}
	command := exec.Command(node, "sky.mjs")
	command.Dir = folder
	command.Stdin = strings.NewReader(questions.String())
	out, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	answers := strings.Fields(string(out))
	if len(answers) != len(points) {
		t.Fatalf("%d answers to %d questions", len(answers), len(points))
	}
	var squares, weights, worst float64
	within := 0
	for i, p := range points {
		want, err := strconv.ParseFloat(answers[i], 64)
		if err != nil {
			t.Fatal(err)
		}
		off := math.Abs(HeightM(p) - want)
		if p.LatDeg == math.Trunc(p.LatDeg) && p.LonDeg == math.Trunc(p.LonDeg) && off > 0.0501 {
			t.Fatalf("%v: %.2f m off at a crossing of the grid", p, off)
		}
		w := math.Cos(p.LatDeg * math.Pi / 180)
		squares, weights = squares+w*off*off, weights+w
		worst = max(worst, off)
		if off <= 1.9 {
			within++
		}
	}
	rms := math.Sqrt(squares / weights)
	share := float64(within) / float64(len(points))
	t.Logf("root mean square %.2f m, %.2f %% within 1.9 m, worst %.1f m", rms, 100*share, worst)
	if rms > 0.5 || share < 0.99 || worst > 14 {
		t.Errorf("root mean square %.2f m, %.2f %% within 1.9 m, worst %.1f m", rms, 100*share, worst)
	}
}

// Enough: 50 ns, so that it can be asked for every position of a year.
func BenchmarkHeight(b *testing.B) {
	p := geo.Point{LatDeg: 52.6184, LonDeg: 9.2735}
	b.ReportAllocs()
	for b.Loop() {
		HeightM(p)
	}
}
