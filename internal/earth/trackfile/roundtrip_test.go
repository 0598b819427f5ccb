package trackfile

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"

	"pgregory.net/rapid"
)

// open is how each format is read back.
var open = map[string]func(r io.Reader) (track.Source, error){
	"gpx":     func(r io.Reader) (track.Source, error) { return NewGPX(r, "f"), nil },
	"kml":     func(r io.Reader) (track.Source, error) { return NewKML(r, "f"), nil },
	"geojson": func(r io.Reader) (track.Source, error) { return NewGeoJSON(r, "f"), nil },
	"csv":     func(r io.Reader) (track.Source, error) { return NewTable(r, "f", TableOptions{}) },
}

// carries says what a format holds of a sighting, for comparing what is read back.
var carries = map[string]struct{ altitude, height, motion, quality bool }{
	"gpx":     {altitude: true, motion: true, quality: true},
	"kml":     {altitude: true},
	"geojson": {height: true},
	"csv":     {altitude: true, motion: true, quality: true},
}

func drawTrack(t *rapid.T, most int) []track.Judged {
	n := rapid.IntRange(0, most).Draw(t, "n")
	base := time.Date(2026, 3, 4, 10, 0, 0, 0, time.UTC)
	lon := rapid.SampledFrom([]float64{-0.3074, 179.9999, -179.99995, 0, 180}).Draw(t, "lon")
	degrees := func(x float64) float64 { return math.Round(x*1e8) / 1e8 }
	other := func(low, high float64, label string) maybe.Value[float64] {
		return maybe.Known(math.Round(rapid.Float64Range(low, high).Draw(t, label)*1e6) / 1e6)
	}
	var out []track.Judged
	for i := range n {
		var j track.Judged
		j.Valid = true
		lon = geo.NormalLon(lon + rapid.Float64Range(-0.001, 0.001).Draw(t, "step"))
		p := geo.Point{LatDeg: degrees(rapid.Float64Range(-90, 90).Draw(t, "lat")), LonDeg: degrees(lon)}
		j.Point = maybe.Known(p)
		if rapid.Bool().Draw(t, "dated") {
			base = base.Add(time.Duration(rapid.Int64Range(1, 1e12).Draw(t, "later")))
			j.UTC = maybe.Known(base)
		}
		if rapid.Bool().Draw(t, "high") {
			j.AltitudeM = other(-500, 9000, "altitude")
			if rapid.Bool().Draw(t, "geoid") {
				j.GeoidM = other(-100, 100, "geoidM")
			}
		}
		if rapid.Bool().Draw(t, "moves") {
			j.SpeedMPS, j.CourseDeg = other(0, 50, "speed"), other(0, 360, "course")
		}
		if rapid.Bool().Draw(t, "quality") {
			j.HDOP, j.SatellitesUsed = other(0.5, 20, "hdop"), maybe.Known(rapid.IntRange(0, 40).Draw(t, "sats"))
		}
		if i > 0 && rapid.IntRange(0, 5).Draw(t, "gap") == 0 {
			j.Gap = "nothing to believe was heard"
		}
		out = append(out, j)
	}
	return out
}

func write(t interface{ Fatalf(string, ...any) }, format Format, list []track.Judged) []byte {
	var b bytes.Buffer
	w := format.New(&b, "trailer 07 & <friends>")
	for i := range list {
		if err := w.Write(&list[i]); err != nil {
			t.Fatalf("%v", err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatalf("%v", err)
	}
	return b.Bytes()
}

func readAll(src track.Source) (list []track.Sighting, err error) {
	for {
		var s track.Sighting
		if err := src.Next(&s); err != nil {
			if err == io.EOF {
				err = nil
			}
			return list, err
		}
		list = append(list, s)
	}
}

// What a writer writes its reader reads back: places, times, breaks, and what the format carries.
func TestRoundTrip(t *testing.T) {
	for _, f := range Formats {
		t.Run(f.Name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				want := drawTrack(t, 40)
				text := write(t, f, want)
				src, err := open[f.Name](bytes.NewReader(text))
				if err != nil {
					if len(want) == 0 {
						return // an empty table has names only
					}
					t.Fatalf("%v\n%s", err, text)
				}
				got, err := readAll(src)
				if err != nil {
					t.Fatalf("%v\n%s", err, text)
				}
				compare(t, f.Name, got, want, text)
			})
		})
	}
}

func compare(t *rapid.T, format string, got []track.Sighting, want []track.Judged, text []byte) {
	if len(got) != len(want) {
		t.Fatalf("%d written, %d read back\n%s", len(want), len(got), text)
	}
	c := carries[format]
	for i := range got {
		g, w := &got[i], &want[i]
		bad := func(what string, a, b any) { t.Fatalf("%d: %s is %v, want %v\n%s", i, what, a, b, text) }
		gp, _ := g.Point.Get()
		wp, _ := w.Point.Get()
		switch {
		case gp != wp && !(gp.LatDeg == wp.LatDeg && math.Abs(gp.LonDeg) == 180 && math.Abs(wp.LonDeg) == 180):
			bad("place", gp, wp)
		case !sameTime(g.UTC, w.UTC):
			bad("time", g.UTC, w.UTC)
		case c.altitude && g.AltitudeM != w.AltitudeM:
			bad("altitude", g.AltitudeM, w.AltitudeM)
		case c.height && (g.HeightM.IsKnown() != w.EllipsoidM().IsKnown() || math.Abs(g.HeightM.Or(0)-w.EllipsoidM().Or(0)) > 1e-6):
			bad("height", g.HeightM, w.EllipsoidM())
		case c.motion && (g.SpeedMPS != w.SpeedMPS || g.CourseDeg != w.CourseDeg):
			bad("motion", g.SpeedMPS, w.SpeedMPS)
		case c.quality && (g.HDOP != w.HDOP || g.SatellitesUsed != w.SatellitesUsed):
			bad("quality", g.HDOP, w.HDOP)
		case !g.Valid || g.Odd != "":
			bad("doubt", g.Void+g.Odd, "none")
		case i > 0 && g.Break != (w.Gap != "") && !lone(want, i):
			bad("break", g.Break, w.Gap)
		}
	}
}

// lone: a piece of one point has no line that could tell it apart.
func lone(list []track.Judged, i int) bool { return i+1 == len(list) || list[i+1].Gap != "" }

func sameTime(a, b maybe.Value[time.Time]) bool {
	x, ok1 := a.Get()
	y, ok2 := b.Get()
	return ok1 == ok2 && x.Equal(y)
}

// Long pieces are cut, and read back as one.
func TestLongPieces(t *testing.T) {
	list := make([]track.Judged, 2*maxPiece+5)
	for i := range list {
		list[i].Valid = true
		list[i].Point = maybe.Known(geo.Point{LatDeg: 51 + float64(i)/1e5, LonDeg: geo.NormalLon(179.95 + float64(i)/1e5)})
		list[i].UTC = maybe.Known(time.Date(2026, 3, 4, 0, 0, i, 0, time.UTC))
	}
	for _, f := range Formats {
		src, err := open[f.Name](bytes.NewReader(write(t, f, list)))
		if err != nil {
			t.Fatal(err)
		}
		got, err := readAll(src)
		if err != nil || len(got) != len(list) {
			t.Fatalf("%s: %d of %d: %v", f.Name, len(got), len(list), err)
		}
		for i := range got {
			if i > 0 && got[i].Break {
				t.Errorf("%s: a break at %d", f.Name, i)
			}
			if !sameTime(got[i].UTC, list[i].UTC) {
				t.Fatalf("%s: time %d is %v", f.Name, i, got[i].UTC)
			}
		}
	}
}

// What was set apart is in no file but that of what was set apart.
func TestApartIsNotWritten(t *testing.T) {
	var kept, apart track.Judged
	kept.Valid, kept.Point = true, maybe.Known(geo.Point{LatDeg: 51.7102, LonDeg: -0.3074})
	apart.Point, apart.Why = maybe.Known(geo.Point{LatDeg: 12.3456, LonDeg: 65.4321}), track.Reason{Name: track.Jump, Text: `far, "far" away`}
	for _, f := range Formats {
		text := string(write(t, f, []track.Judged{kept, apart}))
		if strings.Contains(text, "12.3456") || !strings.Contains(text, "51.7102") {
			t.Errorf("%s:\n%s", f.Name, text)
		}
	}
	var b bytes.Buffer
	w := NewApart(&b)
	_ = w.Write(&kept)
	_ = w.Write(&apart)
	_ = w.Close()
	src, err := NewTable(bytes.NewReader(b.Bytes()), "apart.csv", TableOptions{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := readAll(src)
	if err != nil || len(got) != 1 || got[0].Valid || got[0].Void != "the table says: jump" {
		t.Errorf("%v %+v\n%s", err, got, b.String())
	}
}

// RFC 7946, 3.1.9: a line from 45 N 170 E to 45 N 170 W is cut in two at 180.
func TestAntimeridianExample(t *testing.T) {
	list := make([]track.Judged, 2)
	for i, lon := range []float64{170, -170} {
		list[i].Valid, list[i].Point = true, maybe.Known(geo.Point{LatDeg: 45, LonDeg: lon})
	}
	text := string(write(t, Formats[1], list))
	if want := `"type":"MultiLineString","coordinates":[[[170.0,45.0],[180.0,45.0]],[[-180.0,45.0],[-170.0,45.0]]]`; !strings.Contains(text, want) {
		t.Errorf("want %s in\n%s", want, text)
	}
	if text := string(write(t, Formats[2], list)); !strings.Contains(text, "170.0,45.0\n180.0,45.0\n</coordinates>") || !strings.Contains(text, "<coordinates>\n-180.0,45.0\n-170.0,45.0\n") {
		t.Errorf("KML:\n%s", text)
	}
}

// A line is cut where it is straight in longitude and latitude, in both directions.
func TestCutAt(t *testing.T) {
	for _, test := range []struct {
		a, b   geo.Point
		lat    float64
		before float64
		ok     bool
	}{
		{geo.Point{LatDeg: 10, LonDeg: 179}, geo.Point{LatDeg: 20, LonDeg: -178}, 10 + 10.0/3, 180, true},
		{geo.Point{LatDeg: 20, LonDeg: -178}, geo.Point{LatDeg: 10, LonDeg: 179}, 10 + 10.0/3, -180, true},
		{geo.Point{LatDeg: 5, LonDeg: 180}, geo.Point{LatDeg: 6, LonDeg: -180}, 5, 180, true},
		{geo.Point{LatDeg: 0, LonDeg: -90}, geo.Point{LatDeg: 0, LonDeg: 90}, 0, 0, false},
		{geo.Point{LatDeg: 0, LonDeg: 179}, geo.Point{LatDeg: 0, LonDeg: 180}, 0, 0, false},
	} {
		c, ok := cutAt(test.a, test.b)
		if ok != test.ok || ok && (math.Abs(c.lat-test.lat) > 1e-9 || c.before != test.before) {
			t.Errorf("%v to %v: %+v %v", test.a, test.b, c, ok)
		}
	}
}

// structure walks an XML document and holds every element against a table of what its
// parent may hold, in which order. It stands in for a validator with the published schema,
// which is in no package that the tests could use: it checks the elements that we write.
func structure(t interface{ Fatalf(string, ...any) }, text []byte, children map[string][]string) {
	d := xml.NewDecoder(bytes.NewReader(text))
	type open struct {
		name string
		last int
	}
	var stack []open
	for {
		token, err := d.Token()
		if err == io.EOF {
			if len(stack) != 0 {
				t.Fatalf("not closed")
			}
			return
		}
		if err != nil {
			t.Fatalf("%v", err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			if len(stack) > 0 {
				parent := &stack[len(stack)-1]
				at := -1
				for i, name := range children[parent.name] {
					if strings.TrimSuffix(name, "*") == e.Name.Local {
						at = i
					}
				}
				switch {
				case at < 0:
					t.Fatalf("<%s> may not stand in <%s>", e.Name.Local, parent.name)
				case at < parent.last:
					t.Fatalf("<%s> stands too late in <%s>", e.Name.Local, parent.name)
				case at == parent.last && !strings.HasSuffix(children[parent.name][at], "*") && parent.last >= 0:
					t.Fatalf("<%s> stands twice in <%s>", e.Name.Local, parent.name)
				}
				parent.last = at
			}
			stack = append(stack, open{e.Name.Local, -1})
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		}
	}
}

// The elements of GPX 1.1 that we write, in the order of its schema (types gpxType, trkType,
// trksegType, wptType); "*": may repeat.
var gpxStructure = map[string][]string{
	"gpx":        {"metadata", "wpt*", "rte*", "trk*", "extensions"},
	"trk":        {"name", "cmt", "desc", "src", "link*", "number", "type", "extensions", "trkseg*"},
	"trkseg":     {"trkpt*", "extensions"},
	"trkpt":      {"ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link*", "sym", "type", "fix", "sat", "hdop", "vdop", "pdop", "ageofdgpsdata", "dgpsid", "extensions"},
	"extensions": {"speed", "course"},
}

// The elements of KML 2.2 that we write, in the order of its schema (ogckml22: AbstractFeature,
// Placemark, Container, geometries).
var kmlStructure = map[string][]string{
	"kml":           {"Document"},
	"Document":      {"name", "Style*", "Folder*"},
	"Folder":        {"name", "Placemark*"},
	"Placemark":     {"name", "TimeStamp", "TimeSpan", "styleUrl", "ExtendedData", "Point", "MultiGeometry"},
	"TimeStamp":     {"when"},
	"TimeSpan":      {"begin", "end"},
	"ExtendedData":  {"Data*"},
	"Data":          {"displayName", "value"},
	"MultiGeometry": {"LineString*"},
	"LineString":    {"extrude", "tessellate", "altitudeMode", "coordinates"},
	"Point":         {"extrude", "altitudeMode", "coordinates"},
	"Style":         {"IconStyle", "LabelStyle", "LineStyle"},
	"LineStyle":     {"color", "colorMode", "width"},
	"IconStyle":     {"color", "colorMode", "scale"},
}

func TestStructure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := drawTrack(t, 20)
		structure(t, write(t, Formats[0], list), gpxStructure)
		structure(t, write(t, Formats[2], list), kmlStructure)
	})
	// The check itself bites.
	for _, bad := range []string{"<gpx><trkpt/></gpx>", "<gpx><trk><trkseg/><name/></trk></gpx>", "<gpx><trk><name/><name/></trk></gpx>", "<gpx>"} {
		caught := &catcher{}
		func() {
			defer func() { _ = recover() }()
			structure(caught, []byte(bad), gpxStructure)
		}()
		if caught.said == "" {
			t.Errorf("%s passed", bad)
		}
	}
}

type catcher struct{ said string }

func (c *catcher) Fatalf(format string, args ...any) {
	c.said = fmt.Sprintf(format, args...)
	panic(c.said)
}

// Enough: 50 MB/s of each format, an hour's track in some ten milliseconds.
func BenchmarkWriteHour(b *testing.B) {
	list := make([]track.Judged, 3600)
	for i := range list {
		list[i].Valid = true
		list[i].Point = maybe.Known(geo.Point{LatDeg: 51.7102 + float64(i)*1.234567e-5, LonDeg: -0.3074 - float64(i)*1.1234567e-5})
		list[i].UTC = maybe.Known(time.Date(2026, 3, 4, 0, 0, i, 0, time.UTC))
		list[i].AltitudeM, list[i].SpeedMPS = maybe.Known(80.5), maybe.Known(12.5)
	}
	for _, f := range Formats {
		b.Run(f.Name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				text := write(b, f, list)
				b.SetBytes(int64(len(text)))
			}
		})
	}
}
