package trackmap

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"

	"pgregory.net/rapid"
)

func kept(p geo.Point) *track.Judged {
	var j track.Judged
	j.Valid, j.Point = true, maybe.Known(p)
	j.UTC = maybe.Known(time.Date(2026, 3, 4, 10, 15, 0, 0, time.UTC))
	return &j
}

func apart(p geo.Point, reason string) *track.Judged {
	j := kept(p)
	j.Why = track.Reason{Name: reason, Text: `"far" & <away>`}
	return j
}

func draw(t interface{ Fatalf(string, ...any) }, m *Map, o Options) string {
	var b bytes.Buffer
	if err := m.Draw(&b, o); err != nil {
		t.Fatalf("%v", err)
	}
	d := xml.NewDecoder(bytes.NewReader(b.Bytes()))
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
	}
	text := b.String()
	for _, bad := range []string{"NaN", "Inf", "<script", "href", "url(http", "@import", "%!"} {
		if strings.Contains(text, bad) {
			t.Fatalf("the picture holds %q\n%s", bad, text)
		}
	}
	return text
}

// Distances from the middle are true to scale, in every direction and anywhere on earth,
// and a pixel leads back to its place.
func TestProjection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := geo.Point{LatDeg: rapid.Float64Range(-90, 90).Draw(t, "lat"), LonDeg: rapid.Float64Range(-180, 180).Draw(t, "lon")}
		far := rapid.SampledFrom([]float64{10, 1e3, 1e5, 3e6}).Draw(t, "far")
		b, _ := geo.Direct(a, rapid.Float64Range(0, 360).Draw(t, "azimuth"), far)
		p := fit(func(yield func(geo.Point)) { yield(a); yield(b) }, frameLeft, frameTop, frameWide, frameHigh)
		for _, g := range []geo.Point{a, b} {
			x, y := p.pixel(g)
			if !inFrame(x, y) {
				t.Fatalf("%v lies outside the frame: %g, %g", g, x, y)
			}
			want := geo.DistanceM(p.middle, g)
			if got := math.Hypot(x-p.ox, y-p.oy) / p.scale; math.Abs(got-want) > 1e-6*want+1e-6 {
				t.Fatalf("%v is drawn %.3f m from the middle, it is %.3f m", g, got, want)
			}
			if back := geo.DistanceM(p.place(x, y), g); back > 1e-3+1e-7*far {
				t.Fatalf("a pixel leads %.6f m away from its place", back)
			}
		}
	})
}

var bar = regexp.MustCompile(`class="bar" d="M[\d.]+ [\d.]+v8h([\d.]+)v-8.*?text-anchor="middle">([\d.]+) (k?m)<`)

// The scale bar is as long as it says.
func TestScaleBar(t *testing.T) {
	for _, far := range []float64{40, 700, 12e3, 2e6} {
		m := New()
		a := geo.Point{LatDeg: 51.7102, LonDeg: -0.3074}
		b, _ := geo.Direct(a, 90, far)
		m.Add(kept(a))
		m.Add(kept(b))
		text := draw(t, m, Options{})
		found := bar.FindStringSubmatch(text)
		if found == nil {
			t.Fatalf("no scale bar:\n%s", text)
		}
		pixels, _ := strconv.ParseFloat(found[1], 64)
		length, _ := strconv.ParseFloat(found[2], 64)
		if found[3] == "km" {
			length *= 1000
		}
		p := m.fit(Options{})
		if math.Abs(pixels/p.scale-length) > 0.002*length {
			t.Errorf("the bar of %g m is %g pixels, %g m", length, pixels, pixels/p.scale)
		}
		if pixels > frameWide/4+1 || pixels < frameWide/12 {
			t.Errorf("the bar is %g pixels", pixels)
		}
	}
}

// What was set apart is drawn as a cross, outside the picture only counted, and never makes
// the picture wider or touches the line.
func TestSetApart(t *testing.T) {
	m := New()
	a := geo.Point{LatDeg: 51.7102, LonDeg: -0.3074}
	line := func() {
		for i := range 20 {
			p, _ := geo.Direct(a, 90, float64(i)*100)
			m.Add(kept(p))
		}
	}
	line()
	before := m.fit(Options{})
	near, _ := geo.Direct(a, 0, 300)
	far, _ := geo.Direct(a, 0, 900e3)
	m.Add(apart(near, track.Jump))
	m.Add(apart(far, track.Jump))
	m.Add(apart(a, track.Duplicate))
	m.Add(apart(geo.Point{}, track.Impossible))
	if after := m.fit(Options{}); after != before {
		t.Errorf("the picture changed from %+v to %+v", before, after)
	}
	text := draw(t, m, Options{Title: `<b>&"`})
	if n := strings.Count(text, `<path class="cross" d="M`); n != 2 { // one, and the one of the legend
		t.Errorf("%d crosses, want one and that of the legend", n)
	}
	if !strings.Contains(text, "1 set apart are not drawn") || !strings.Contains(text, "set apart: jump: &#34;far&#34; &amp; &lt;away&gt;") {
		t.Errorf("it is not said:\n%s", text)
	}
}

// A gap is dashed, and the line does not go over it.
func TestGap(t *testing.T) {
	m := New()
	for i, gap := range []bool{false, false, true, false} {
		j := kept(geo.Point{LatDeg: 51.7, LonDeg: -0.3 + float64(i)*0.01})
		if gap {
			j.Gap = "nothing to believe was heard"
		}
		m.Add(j)
	}
	text := draw(t, m, Options{})
	ways := regexp.MustCompile(`<path class="way" d="(M[^"]*L[^"]*)"`).FindAllStringSubmatch(text, -1)
	if len(ways) != 2 || strings.Count(text, `<path class="gap" d="M`) != 2 {
		t.Errorf("%d lines, want two and a gap (and that of the legend)\n%s", len(ways), text)
	}
}

// A long track holds a bounded number of points, and the line drawn is no farther from the
// track than the picture says.
func TestBounded(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	m := New()
	at := geo.Point{LatDeg: 51.7102, LonDeg: -0.3074}
	azimuth := 0.0
	var all []geo.Point
	for i := range 150_000 {
		azimuth += r.NormFloat64() * 15
		at, _ = geo.Direct(at, azimuth, 10)
		if i%5000 == 4999 {
			at, _ = geo.Direct(at, azimuth, 800)
		}
		j := kept(at)
		if i%5000 == 0 && i > 0 {
			j.Gap = "nothing to believe was heard"
		}
		m.Add(j)
		all = append(all, at)
		if m.points > maxPoints+1 {
			t.Fatalf("%d points are held", m.points)
		}
	}
	if m.boundM <= 0 || m.boundM > 2000 {
		t.Errorf("drawn to within %g m", m.boundM)
	}
	for k := 0; k < len(all); k += 997 {
		near := math.Inf(1)
		for _, p := range m.pieces {
			for i := 1; i < len(p.points); i++ {
				near = min(near, offM(all[k], p.points[i-1], p.points[i]))
			}
		}
		if near > m.boundM {
			t.Fatalf("point %d is %.2f m from the line, the picture says %.2f m", k, near, m.boundM)
		}
	}
	draw(t, m, Options{})
}

// offM is how far a point is from a stretch, in the flat frame at the point.
func offM(p, a, b geo.Point) float64 {
	ae, an, _ := geo.ENU(p, 0, a, 0)
	be, bn, _ := geo.ENU(p, 0, b, 0)
	de, dn := be-ae, bn-an
	part := 0.0
	if d2 := de*de + dn*dn; d2 > 0 {
		part = min(max(-(ae*de+an*dn)/d2, 0), 1)
	}
	return math.Hypot(ae+part*de, an+part*dn)
}

// Whatever the track: a picture that is well formed and has no broken numbers.
func TestAnyTrack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := New()
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		at := geo.Point{LatDeg: rapid.Float64Range(-90, 90).Draw(t, "lat"), LonDeg: rapid.Float64Range(-180, 180).Draw(t, "lon")}
		step := rapid.SampledFrom([]float64{0, 0.001, 5, 1e4, 4e6}).Draw(t, "step")
		for range rapid.IntRange(0, 50).Draw(t, "n") {
			at, _ = geo.Direct(at, r.Float64()*360, step)
			j := kept(at)
			switch r.IntN(6) {
			case 0:
				j.Gap = "gap"
			case 1:
				j = apart(at, track.Jump)
			case 2:
				j.UTC = maybe.Value[time.Time]{}
			}
			m.Add(j)
		}
		draw(t, m, Options{Title: rapid.StringN(0, 200, -1).Draw(t, "title"), Stops: []track.Stop{{LatDeg: at.LatDeg, LonDeg: at.LonDeg, SpanS: 300}},
			Fences: []track.Fence{{Name: "yard", Centre: at, RadiusM: 150}, {Name: "field", Polygons: []track.Polygon{{{at, {LatDeg: 1, LonDeg: 2}, {LatDeg: 2, LonDeg: 1}}}}}}})
	})
}

func TestNice(t *testing.T) {
	for x, want := range map[float64]float64{1: 1, 1.9: 1, 2: 2, 4.9: 2, 5: 5, 99: 50, 100: 100, 0.03: 0.02} {
		if got := nice(x); math.Abs(got-want) > 1e-12 {
			t.Errorf("nice(%g) is %g, want %g", x, got, want)
		}
	}
	for deg, want := range map[float64]string{51.5: "51°30′ N", -0.01: "0°00′36″ S", 0: "0°", 180: "180°", 52.0 + 29.999999/60: "52°30′ N"} {
		if got := degreeText(deg, "N", "S"); got != want {
			t.Errorf("%g is %q, want %q", deg, got, want)
		}
	}
}
