package fix

import (
	"strings"
	"testing"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/when"
)

func good() Fix {
	return Fix{At: 10 * when.Second, Valid: true, Point: maybe.Known(geo.Point{LatDeg: 51.7102, LonDeg: -0.3074}),
		Quality: maybe.Known(1), Dimensions: maybe.Known(3), SatellitesUsed: maybe.Known(8), HDOP: maybe.Known(0.9)}
}

// The gate is that of the trade: status A and quality above 0 and at least four satellites and
// an HDOP of at most 5 and an age of at most 5 s (common practice, see the sources in demands).
func TestGate(t *testing.T) {
	now := 12 * when.Second
	tests := []struct {
		name   string
		change func(f *Fix)
		want   string // names of the reasons
	}{
		{"good", func(f *Fix) {}, ""},
		{"void", func(f *Fix) { f.Valid, f.Void = false, "status V" }, "void: the receiver does not stand by it: status V"},
		{"no position", func(f *Fix) { f.Valid, f.Void, f.Point = false, "no position", maybe.Value[geo.Point]{} },
			"void: the receiver does not stand by it: no position; no position: it has no position"},
		{"zeros", func(f *Fix) { f.Point = maybe.Known(geo.Point{}) }, "zeros: its position is exactly 0, 0"},
		{"no dimension", func(f *Fix) { f.Dimensions = maybe.Known(1) }, "dimensions: GSA says that there is no fix"},
		{"two dimensions", func(f *Fix) { f.Dimensions = maybe.Known(2) }, ""},
		{"three satellites", func(f *Fix) { f.SatellitesUsed = maybe.Known(3) }, "satellites: 3 satellites used, 4 are wanted"},
		{"HDOP 5", func(f *Fix) { f.HDOP = maybe.Known(5.0) }, ""},
		{"HDOP 5.1", func(f *Fix) { f.HDOP = maybe.Known(5.1) }, "hdop: HDOP is 5.1, at most 5 is wanted"},
		{"5 s", func(f *Fix) { f.At = 7 * when.Second }, ""},
		{"older", func(f *Fix) { f.At = 6900 * when.Millisecond }, "age: it is 5.1s old, at most 5s is wanted"},
		{"not said", func(f *Fix) {
			f.SatellitesUsed, f.HDOP, f.Dimensions = maybe.Value[int]{}, maybe.Value[float64]{}, maybe.Value[int]{}
		}, ""},
	}
	for _, test := range tests {
		f := good()
		test.change(&f)
		var got []string
		for _, r := range Usual.Check(&f, now) {
			got = append(got, r.Name+": "+r.Text)
			if r.Source == "" {
				t.Errorf("%s: %s has no source", test.name, r.Name)
			}
		}
		if text := strings.Join(got, "; "); text != test.want {
			t.Errorf("%s:\n got %s\nwant %s", test.name, text, test.want)
		}
		if Usual.Passes(&f, now) != (test.want == "") {
			t.Errorf("%s: Passes and Check differ", test.name)
		}
	}
	f := good()
	f.SatellitesUsed, f.HDOP, f.At = maybe.Known(1), maybe.Known(50.0), 0
	if !(Gate{}).Passes(&f, now) {
		t.Error("a gate that asks for nothing")
	}
}

func TestHelpers(t *testing.T) {
	f := good()
	if f.Lag(time.Unix(0, 0)).IsKnown() || f.EllipsoidHeightM().IsKnown() {
		t.Error("made up")
	}
	f.UTC = maybe.Known(time.Date(2026, 3, 4, 10, 15, 30, 0, time.UTC))
	if got := f.Lag(time.Date(2026, 3, 4, 10, 16, 0, 0, time.UTC)); got != maybe.Known(30*time.Second) {
		t.Error(got)
	}
	// The tutorial GGA: 545.4 m above the sea, geoid 46.9 m above the ellipsoid.
	f.AltitudeM, f.GeoidM = maybe.Known(545.4), maybe.Known(46.9)
	if got := f.EllipsoidHeightM().Or(0); got < 592.2999 || got > 592.3001 {
		t.Error(got)
	}
}
