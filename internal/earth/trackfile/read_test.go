package trackfile

import (
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"
)

// spell writes sightings briefly: place, time, and what else there is.
func spell(list []track.Sighting) string {
	var lines []string
	for i := range list {
		s := &list[i]
		var words []string
		if s.Break {
			words = append(words, "break")
		}
		if p, ok := s.Point.Get(); ok {
			words = append(words, fmt.Sprintf("%.8g,%.8g", p.LatDeg, p.LonDeg))
		}
		if utc, ok := s.UTC.Get(); ok {
			words = append(words, utc.Format(time.RFC3339Nano))
		}
		if d, ok := s.TimeOfDay.Get(); ok {
			words = append(words, d.String())
		}
		if x, ok := s.AltitudeM.Get(); ok {
			words = append(words, fmt.Sprintf("alt=%g", x))
		}
		if x, ok := s.HeightM.Get(); ok {
			words = append(words, fmt.Sprintf("height=%g", x))
		}
		if x, ok := s.SpeedMPS.Get(); ok {
			words = append(words, fmt.Sprintf("speed=%.3f", x))
		}
		if !s.Valid {
			words = append(words, "void("+s.Void+")")
		}
		if s.Odd != "" {
			words = append(words, "odd("+s.Odd+")")
		}
		lines = append(lines, fmt.Sprintf("%d: %s", s.From.Line, strings.Join(words, " ")))
	}
	return strings.Join(lines, "\n")
}

// A case is a file and what is to be read out of it, written by hand.
type readCase struct {
	name, text string
	want       string // spelled as above
	says       string // must be in what the reader says of the file
	fails      string // must be in the error; "" for none
}

func runCases(t *testing.T, cases []readCase, open func(r io.Reader) (track.Source, error)) {
	for _, c := range cases {
		for _, byByte := range []bool{false, true} {
			var r io.Reader = strings.NewReader(c.text)
			if byByte {
				r = iotest.OneByteReader(r)
			}
			src, err := open(r)
			var got []track.Sighting
			var a track.About
			if err == nil {
				got, err = readAll(src)
				a = src.About()
			}
			if text := spell(got); text != strings.TrimSpace(c.want) {
				t.Errorf("%s:\n got %s\nwant %s", c.name, text, c.want)
			}
			if said := strings.Join(append(a.Assumed, a.Passed...), "; "); !strings.Contains(said, c.says) || c.says == "" && said != "" {
				t.Errorf("%s: it says %q, want %q", c.name, said, c.says)
			}
			switch {
			case err == nil && c.fails != "":
				t.Errorf("%s: no error, want %q", c.name, c.fails)
			case err != nil && (c.fails == "" || !strings.Contains(err.Error(), c.fails)):
				t.Errorf("%s: %v, want %q", c.name, err, c.fails)
			}
		}
	}
}

var gpxCases = []readCase{
	{name: "a track of two pieces", text: `<?xml version="1.0"?>
<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">
<trk><name>07</name><trkseg>
<trkpt lat="51.7102" lon="-0.3074"><ele>80.5</ele><time>2026-03-04T10:15:00Z</time><fix>3d</fix></trkpt>
<trkpt lon="-0.3070" lat="51.7104"><time>2026-03-04T12:15:01.5+02:00</time></trkpt>
</trkseg><trkseg>
<trkpt lat="51.72" lon="-0.31"/>
</trkseg></trk></gpx>`, want: `
4: break 51.7102,-0.3074 2026-03-04T10:15:00Z alt=80.5
5: 51.7104,-0.307 2026-03-04T10:15:01.5Z
7: break 51.72,-0.31`},
	{name: "version 1.0 has a speed", text: `<gpx version="1.0"><trk><trkseg><trkpt lat="1" lon="2"><speed>3.5</speed></trkpt></trkseg></trk></gpx>`,
		want: "1: break 1,2 speed=3.500"},
	{name: "no fix", text: `<gpx><trk><trkseg><trkpt lat="1" lon="2"><fix>none</fix></trkpt></trkseg></trk></gpx>`,
		want: "1: break 1,2 void(the file says that there was no fix)"},
	{name: "waypoints beside a track", text: `<gpx><wpt lat="5" lon="6"/><trk><trkseg><trkpt lat="1" lon="2"/></trkseg></trk></gpx>`,
		want: "1: break 1,2", says: "1 waypoint or route point: the file has a track"},
	{name: "a route alone", text: "<gpx><rte>\n<rtept lat=\"5\" lon=\"6\"/>\n<rtept lat=\"5.1\" lon=\"6\"/></rte></gpx>",
		want: "2: break 5,6\n3: 5.1,6"},
	{name: "bad numbers", text: `<gpx><trk><trkseg><trkpt lat="51,7" lon="2"/><trkpt lon="2"/><trkpt lat="91" lon="2"/><trkpt lat="NaN" lon="0x10"/></trkseg></trk></gpx>`,
		want: `
1: break odd(latitude "51,7" is no number)
1: odd(latitude "" is no number)
1: odd(91, 2 is no latitude and longitude)
1: odd(latitude "NaN" is no number)`},
	{name: "no zone, no time", text: `<gpx><trk><trkseg><trkpt lat="1" lon="2"><time>2026-03-04T10:15:00</time></trkpt><trkpt lat="1" lon="2"><time>yesterday</time></trkpt></trkseg></trk></gpx>`,
		want: "1: break 1,2 2026-03-04T10:15:00Z\n1: 1,2", says: zonelessTaken + `; times that are none were passed over, the first is "yesterday"`},
	{name: "cut off", text: `<gpx><trk><trkseg><trkpt lat="1" lon="2"/><trkpt lat="1" lon=`, want: "1: break 1,2", fails: "line 1"},
	{name: "Latin letters", text: "<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?><gpx><trk><name>\xfc\xe4</name><trkseg><trkpt lat=\"1\" lon=\"2\"/></trkseg></trk></gpx>", want: "1: break 1,2"},
}

func TestGPX(t *testing.T) {
	runCases(t, gpxCases, func(r io.Reader) (track.Source, error) { return NewGPX(r, "f"), nil })
}

var kmlCases = []readCase{
	{name: "points with times", text: `<kml xmlns="http://www.opengis.net/kml/2.2"><Document>
<Placemark><TimeStamp><when>2026-03-04T10:15:00Z</when></TimeStamp><Point><altitudeMode>absolute</altitudeMode><coordinates>-0.3074,51.7102,80.5</coordinates></Point></Placemark>
<Placemark><Point><coordinates> -0.3070,51.7104,99 </coordinates></Point></Placemark>
</Document></kml>`, want: `
2: 51.7102,-0.3074 2026-03-04T10:15:00Z alt=80.5
3: 51.7104,-0.307`},
	{name: "a line", text: "<kml><Placemark><LineString><coordinates>\n1,2\n 3,4,5\t6,7 </coordinates></LineString></Placemark></kml>",
		want: "3: break 2,1\n3: 4,3\n3: 7,6"},
	{name: "a track of 2.3, times first", text: `<kml><Placemark><Track><when>2026-03-04T10:15:00Z</when><when>2026-03-04T10:15:01Z</when><coord>1 2 3</coord>
<coord>4 5 6</coord></Track></Placemark></kml>`, want: "1: break 2,1 2026-03-04T10:15:00Z\n2: 5,4 2026-03-04T10:15:01Z"},
	{name: "a track of 2.3, in turns, and one without a time", text: `<kml><Track><when>2026-03-04T10:15:00Z</when><coord>1 2 3</coord><coord>4 5 6</coord></Track></kml>`,
		want: "1: break 2,1 2026-03-04T10:15:00Z\n1: 5,4"},
	{name: "an area", text: `<kml><Placemark><Polygon><outerBoundaryIs><LinearRing><coordinates>1,2 3,4 5,6 1,2</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>`,
		says: "1 area: an outline is no track"},
	{name: "bad tuples", text: `<kml><Point><coordinates>1</coordinates></Point><Point><coordinates>1,2,3,4</coordinates></Point><Point><coordinates>181,2</coordinates></Point></kml>`,
		want: `
1: odd(its coordinates are "1": want longitude,latitude)
1: odd(its coordinates are "1,2,3,4": want longitude,latitude)
1: odd(2, 181 is no latitude and longitude)`},
	{name: "a day is no time", text: `<kml><Placemark><TimeStamp><when>2026-03-04</when></TimeStamp><Point><coordinates>1,2</coordinates></Point></Placemark></kml>`,
		want: "1: 2,1", says: `times that are none, or only days, were passed over, the first is "2026-03-04"`},
	{name: "cut off", text: `<kml><Point><coordinates>1,2</coordinates></Point><Point><coordinates>3,`, want: "1: 2,1", fails: "line 1"},
}

func TestKML(t *testing.T) {
	runCases(t, kmlCases, func(r io.Reader) (track.Source, error) { return NewKML(r, "f"), nil })
}

// The examples of RFC 7946, 1.5 and appendix A.
var geoJSONCases = []readCase{
	{name: "1.5, a collection of features", text: `{
 "type": "FeatureCollection",
 "features": [{
  "type": "Feature",
  "geometry": {"type": "Point", "coordinates": [102.0, 0.5]},
  "properties": {"prop0": "value0"}
 }, {
  "type": "Feature",
  "geometry": {"type": "LineString", "coordinates": [
   [102.0, 0.0], [103.0, 1.0],
   [104.0, 0.0], [105.0, 1.0]]},
  "properties": {"prop0": "value0", "prop1": 0.0}
 }, {
  "type": "Feature",
  "geometry": {"type": "Polygon", "coordinates": [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]]},
  "properties": {"prop0": "value0", "prop1": {"this": "that"}}
 }]
}`, want: `
5: 0.5,102
10: break 0,102
10: 1,103
11: 0,104
11: 1,105`, says: "1 area: an outline is no track"},
	{name: "A.1 point", text: `{"type": "Point", "coordinates": [100.0, 0.0]}`, want: "1: 0,100"},
	{name: "A.2 line", text: `{"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}`, want: "1: break 0,100\n1: 1,101"},
	{name: "A.4 points", text: `{"type": "MultiPoint", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}`, want: "1: 0,100\n1: 1,101"},
	{name: "A.5 lines", text: `{"type": "MultiLineString", "coordinates": [[[100.0, 0.0], [101.0, 1.0]], [[102.0, 2.0], [103.0, 3.0]]]}`,
		want: "1: break 0,100\n1: 1,101\n1: break 2,102\n1: 3,103"},
	{name: "A.6 polygons", text: `{"type": "MultiPolygon", "coordinates": [[[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]]]}`, says: "1 area"},
	{name: "A.7 collection", text: `{"type": "GeometryCollection", "geometries": [{"type": "Point", "coordinates": [100.0, 0.0]}, {"type": "LineString", "coordinates": [[101.0, 0.0], [102.0, 1.0]]}]}`,
		want: "1: 0,100\n1: break 0,101\n1: 1,102"},
	{name: "members in any order, times behind", text: `{"geometry":{"coordinates":[[1,2,3],[4,5]],"type":"LineString"},"properties":{"times":["2026-03-04T10:15:00Z",null]},"type":"Feature"}`,
		want: "1: break 2,1 2026-03-04T10:15:00Z height=3\n1: 5,4"},
	{name: "one time for a point", text: `{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":{"time":"2026-03-04T10:15:00Z","speed_mps":4.5}}`,
		want: "1: 2,1 2026-03-04T10:15:00Z speed=4.500"},
	{name: "one after the other", text: `{"type":"Point","coordinates":[1,2]}` + "\n" + `{"type":"Point","coordinates":[3,4]}`, want: "1: 2,1\n2: 4,3"},
	{name: "no geometry", text: `{"type":"Feature","geometry":null,"properties":null}`},
	{name: "bad positions", text: `{"type":"LineString","coordinates":[[1],["1","x"],[200,1],[]]}`, want: `
1: break odd(a position of 1 number: want longitude and latitude)
1: odd(latitude "x" is no number)
1: odd(1, 200 is no latitude and longitude)
1: odd(a position of 0 numbers: want longitude and latitude)`},
	{name: "another type", text: `{"type":"Circle","coordinates":[1,2]}`, says: `objects of the type "Circle" are not in RFC 7946`},
	{name: "cut off", text: `{"type":"LineString","coordinates":[[1,2],[3,4`, want: "1: break 2,1", fails: "line 1"},
	{name: "not JSON from there on", text: `{"type":"LineString","coordinates":[[1,2],[3,4],,`, want: "1: break 2,1\n1: 4,3", fails: "cannot be read"},
}

func TestGeoJSON(t *testing.T) {
	runCases(t, geoJSONCases, func(r io.Reader) (track.Source, error) { return NewGeoJSON(r, "f"), nil })
}

var tableCases = []readCase{
	{name: "names", text: "utc,lat,lon,speed_kmh,altitude_m\n2026-03-04T10:15:00Z,51.7102,-0.3074,36,80.5\n2026-03-04 10:15:01,51.7103,-0.3074,,\n",
		want: "2: 51.7102,-0.3074 2026-03-04T10:15:00Z alt=80.5 speed=10.000\n3: 51.7103,-0.3074 2026-03-04T10:15:01Z", says: zonelessTaken},
	{name: "names of any kind, units, a title", text: "Quellmoor machinery ring, trailer 07\n\"Time (UTC)\";Latitude [deg];Longitude [deg];Speed (knots);Altitude (ft)\n04.03.2026 10:15:00;51.7102;-0.3074;10;100\n",
		want: "3: 51.7102,-0.3074 2026-03-04T10:15:00Z alt=30.48 speed=5.144", says: "1 row without a position"},
	{name: "decimal comma", text: "time;lat;lon\n04.03.2026 10:15;51,7102;-0,3074\n", want: "2: 51.7102,-0.3074 2026-03-04T10:15:00Z",
		says: "the comma was taken as the decimal point"},
	{name: "speed without a unit", text: "lat,lon,speed\n51.7102,-0.3074,12\n", want: "2: 51.7102,-0.3074", says: `column "speed" was not read: it does not say its unit`},
	{name: "no names, by shape", text: "1772619300,51.7102,-0.3074\n1772619301,51.7103,-0.3075\n", want: "1: 51.7102,-0.3074 2026-03-04T10:15:00Z\n2: 51.7103,-0.3075 2026-03-04T10:15:01Z",
		says: "1 is the time, 2 is the latitude, 3 is the longitude"},
	{name: "no names, longitude first", text: "113.7102,10.30741\n113.7103,10.30752\n", want: "1: 10.30741,113.7102\n2: 10.30752,113.7103", says: "too large for a latitude"},
	{name: "as in sentences", text: "date,time,lat,n_s,lon,e_w,valid\n040326,101530.00,5142.6130,N,00018.4420,W,A\n040326,101531.00,5142.6130,N,00018.4420,W,V\n",
		want: "2: 51.710217,-0.30736667 2026-03-04T10:15:30Z\n3: 51.710217,-0.30736667 2026-03-04T10:15:31Z void(column valid says \"V\")", says: zonelessTaken},
	{name: "degrees and minutes without letters", text: "lat,lon\n5142.6130,-00018.4420\n5142.7130,-00018.4420\n",
		want: "2: 51.710217,-0.30736667\n3: 51.711883,-0.30736667", says: "taken as degrees and minutes together"},
	{name: "degrees, minutes, seconds", text: "lat;lon\n51 42 36.78 N;0 18 26.52 W\n", want: "2: 51.710217,-0.30736667"},
	{name: "one column, any spelling", text: "name\tposition\n07\tgeo:51.7102,-0.3074\n07\t30U XC 92095 32534\n07\tnot today\n",
		want: "2: 51.7102,-0.3074\n3: MGRS", says: "1 row without a position"},
	{name: "quotes", text: "name,lat,lon\n\"07, \"\"old\"\"\",\"51.7102\",\"-0.3074\"\n", want: "2: 51.7102,-0.3074"},
	{name: "months and days", text: "lat,lon,time\n51.7,-0.3,03/13/2026 10:15:00\n51.7,-0.3,03/04/2026 10:15:00\n",
		want: "2: 51.7,-0.3 2026-03-13T10:15:00Z\n3: 51.7,-0.3 2026-03-04T10:15:00Z", says: zonelessTaken},
	{name: "months or days", text: "lat,lon,time\n51.7,-0.3,03/04/2026 10:15:00 Z\n", want: "2: 51.7,-0.3 2026-04-03T10:15:00Z", says: "nothing in them tells which comes first"},
	{name: "half and half", text: "lat,lon,time\n51.7,-0.3,2026-03-04 1:15:00 PM +02:00\n", want: "2: 51.7,-0.3 2026-03-04T11:15:00Z"},
	{name: "only a clock", text: "clock,lat,lon\n10:15:00,51.7102,-0.3074\n", want: "2: 51.7102,-0.3074 10h15m0s", says: "the table tells no date"},
	{name: "bad cells", text: "lat,lon\n51.7,\n,\n95.0,-0.3\nabc,1\n51.7,-0.3,extra,extra\n", want: `
2: odd(only one of latitude and longitude is given)
4: odd(95, -0.3 is no latitude and longitude)
5: odd(its position is "abc  1 ": no spelling that is known)
6: 51.7,-0.3`, says: "1 row without a position"},
	{name: "no positions", text: "a,b\n1,2\n3,4\n", fails: "no columns with positions"},
	{name: "nothing", text: "", fails: "empty"},
}

func TestTable(t *testing.T) {
	cases := append([]readCase(nil), tableCases...)
	for i := range cases {
		cases[i].want = strings.Replace(cases[i].want, "MGRS", mgrs(t, "30U XC 92095 32534"), 1)
	}
	runCases(t, cases, func(r io.Reader) (track.Source, error) { return NewTable(r, "f", TableOptions{}) })
}

func mgrs(t *testing.T, text string) string {
	r, err := geo.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("%.8g,%.8g", r.Point.LatDeg, r.Point.LonDeg)
}

// A zone given by the person is used for times that do not say theirs.
func TestTableZone(t *testing.T) {
	zone := time.FixedZone("UTC+1", 3600)
	src, err := NewTable(strings.NewReader("time,lat,lon\n2026-03-04 10:15:00,51.7,-0.3\n2026-03-04T10:15:00Z,51.7,-0.3\n"), "f", TableOptions{Zone: zone})
	if err != nil {
		t.Fatal(err)
	}
	got, _ := readAll(src)
	if want := "2: 51.7,-0.3 2026-03-04T09:15:00Z\n3: 51.7,-0.3 2026-03-04T10:15:00Z"; spell(got) != want {
		t.Errorf("got %s", spell(got))
	}
}

func TestFences(t *testing.T) {
	text := `{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"name":"yard","radius_m":150},"geometry":{"type":"Point","coordinates":[-0.3074,51.7102]}},
{"type":"Feature","properties":{"name":7},"geometry":{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]}},
{"type":"Feature","properties":null,"geometry":{"type":"Point","coordinates":[1,1]}}]}`
	got, err := ReadFences(strings.NewReader(text), "f")
	if err != nil || len(got) != 2 || got[0].Name != "yard" || got[0].RadiusM != 150 || got[0].Centre.LatDeg != 51.7102 || got[1].Name != "fence 2" || len(got[1].Polygons[0][0]) != 4 {
		t.Errorf("%v %+v", err, got)
	}
	for _, bad := range []string{"", "[]", `{"type":"Point","coordinates":[1,2]}`, `{"type":"Polygon","coordinates":[[[1]]]}`, `{"type":"Polygon","coordinates":5}`} {
		if _, err := ReadFences(strings.NewReader(bad), "f"); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}

func knownPoint(lat, lon float64) maybe.Value[geo.Point] {
	return maybe.Known(geo.Point{LatDeg: lat, LonDeg: lon})
}
