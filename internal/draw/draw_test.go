package draw

import (
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// wellFormed reads an SVG as XML and returns all its text.
func wellFormed(t testing.TB, svg string) string {
	t.Helper()
	var words []string
	for d := xml.NewDecoder(strings.NewReader(svg)); ; {
		token, err := d.Token()
		if err == io.EOF {
			return strings.Join(words, "\n")
		}
		if err != nil {
			t.Fatalf("not XML: %v\n%s", err, svg)
		}
		if text, ok := token.(xml.CharData); ok {
			words = append(words, strings.TrimSpace(string(text)))
		}
		if element, ok := token.(xml.StartElement); ok {
			for _, a := range element.Attr {
				if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
					t.Fatalf("%s %s is %q", element.Name.Local, a.Name.Local, a.Value)
				}
				if a.Name.Local == "href" || strings.Contains(a.Value, "http") && a.Name.Local != "xmlns" {
					t.Fatalf("it loads %q", a.Value)
				}
			}
		}
	}
}

// TestSkyPlaces: the zenith is the middle, north up, east to the right; half way up is half way out.
func TestSkyPlaces(t *testing.T) {
	cx, cy := skyAt(123, 90)
	for _, test := range []struct{ azimuth, elevation, dx, dy float64 }{
		{0, 0, 0, -skyRadius}, {90, 0, skyRadius, 0}, {180, 0, 0, skyRadius}, {270, 45, -skyRadius / 2, 0}, {45, 60, skyRadius / 3 * math.Sqrt2 / 2, -skyRadius / 3 * math.Sqrt2 / 2},
	} {
		x, y := skyAt(test.azimuth, test.elevation)
		if math.Hypot(x-cx-test.dx, y-cy-test.dy) > 1e-9 {
			t.Errorf("azimuth %v elevation %v stands at %.1f %.1f from the middle, want %.1f %.1f", test.azimuth, test.elevation, x-cx, y-cy, test.dx, test.dy)
		}
	}
}

func TestSkyPicture(t *testing.T) {
	s := Sky{Title: "Sky <of> trailer 07 & co", Below: "now", MaskDeg: 10, Walls: []Wall{{300, 40, 30}, {0, 360, 5}},
		Cells:  []Cell{{0, 30, 15, 30, Good, 0.5, "42"}},
		Trails: []Trail{{AzimuthDeg: []float64{10, 20, 30}, ElevationDeg: []float64{5, -1, 5}, Tone: Blue}},
		Dots:   []SkyDot{{AzimuthDeg: 10, ElevationDeg: 20, Label: "G07", Tone: Blue}, {AzimuthDeg: 11, ElevationDeg: 21, Label: "G08", Tone: Bad, Hollow: true}},
		Legend: []SkyKey{{Tone: Blue, Name: "in sight", Dot: true}, {Tone: Bad, Name: "not healthy", Hollow: true}}}
	svg := s.SVG()
	text := wellFormed(t, svg)
	for _, want := range []string{"Sky <of> trailer 07 & co", "now", "42", "G07", "G08", "N", "E", "S", "W", "in sight", "not healthy"} {
		if !strings.Contains("\n"+text+"\n", "\n"+want+"\n") {
			t.Errorf("%q is not in the picture", want)
		}
	}
	if svg != s.SVG() {
		t.Error("twice the same is not the same")
	}
}

func TestChartPicture(t *testing.T) {
	nan := math.NaN()
	c := Chart{Title: "a day", Below: "of trailer 07", X: Axis{Name: "time, UTC", Low: 0, High: 86400, Times: time.Date(2026, 3, 4, 10, 15, 0, 0, time.UTC)},
		Panels: []Pane{
			{Y: Axis{Name: "metres", Low: 0.1, High: 1000, Log: true}, Bands: []Band{{-5, 3600, Good, "quiet"}},
				Series: []Series{{Name: "error", X: []float64{0, 10, 20, 30}, Y: []float64{1, nan, 5, 2000}, Tone: Ink}, {Name: "reports", X: []float64{5}, Y: []float64{3}, Tone: Bad, Dots: true}},
				Words:  []Word{{5, 3, "here", Ink, true}}},
			{Y: Axis{Name: "count", Low: 0, High: 9}, Series: []Series{{X: []float64{0, 10, 20}, Y: []float64{1, nan, 5}, Tone: Ink, Step: true, Fill: true, Alpha: 0.2}}, Rings: []Ring{{10, 3, 2, 1, 30, "95 of 100", Blue, true}}},
		}}
	svg := c.SVG()
	text := wellFormed(t, svg)
	for _, want := range []string{"a day", "metres", "count", "time, UTC", "12:00", "0.1", "100", "quiet", "error", "reports", "here", "95 of 100"} {
		if !strings.Contains("\n"+text+"\n", "\n"+want+"\n") {
			t.Errorf("%q is not in the picture: %s", want, text)
		}
	}
	if svg != c.SVG() {
		t.Error("twice the same is not the same")
	}
}

// TestSquare: a metre is as long upwards as to the right.
func TestSquare(t *testing.T) {
	c := Chart{Square: true, X: Axis{Low: -1, High: 3}, Panels: []Pane{{Y: Axis{Low: 0, High: 10}}}}
	c.SVG()
	if c.X.High-c.X.Low != 10 || c.X.Low != -4 || c.Panels[0].Y.Low != 0 {
		t.Errorf("%+v %+v", c.X, c.Panels[0].Y)
	}
}

// TestSteps: marks are pleasant numbers within the axis, neither too many nor fewer than two.
func TestSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		span := math.Pow(10, rapid.Float64Range(-3, 6).Draw(t, "power"))
		n := rapid.IntRange(3, 12).Draw(t, "n")
		at, _ := steps(low, low+span, n)
		if len(at) < 2 && n > 4 || len(at) > n+1 {
			t.Fatalf("%d marks where about %d fit: %v", len(at), n, at)
		}
		for i, v := range at {
			if v < low-span*1e-6 || v > low+span*(1+1e-6) {
				t.Fatalf("%v lies outside", v)
			}
			if i > 1 && math.Abs(at[i]-2*at[i-1]+at[i-2]) > span*1e-6 {
				t.Fatalf("%v are not evenly apart", at)
			}
		}
	})
	if at, decimals := steps(0, 1, 5); len(at) != 6 || decimals != 1 {
		t.Errorf("%v with %d decimals", at, decimals)
	}
	if at, _ := steps(3, 3, 5); len(at) != 1 {
		t.Errorf("an axis without length: %v", at)
	}
}

// TestPlace: labels that have room do not lie on each other.
func TestPlace(t *testing.T) {
	var b boxes
	for i := range 5 {
		x, y := 100.0, 100+30*float64(i)
		b = append(b, box{x - 4, y - 4, x + 4, y + 4})
	}
	before := len(b)
	for i := range 5 {
		b.place(100, 100+30*float64(i), 8, 40, 12)
	}
	for i := before; i < len(b); i++ {
		others := append(boxes{}, b[:i]...)
		if area := append(others, b[i+1:]...).overlap(b[i]); area > 0 {
			t.Errorf("label %d covers %.1f of others", i-before, area)
		}
	}
}

// Enough: a chart of 1441 points in three lines in 5 ms.
func BenchmarkChart(b *testing.B) {
	x, y := make([]float64, 1441), make([]float64, 1441)
	for i := range x {
		x[i], y[i] = float64(i), 5+math.Sin(float64(i)/100)
	}
	b.ReportAllocs()
	for b.Loop() {
		c := Chart{X: Axis{High: 1440}, Panels: []Pane{{Y: Axis{High: 10}, Series: []Series{{X: x, Y: y, Tone: Ink}, {X: x, Y: y, Tone: Bad}, {X: x, Y: y, Tone: Good}}}}}
		c.SVG()
	}
}
