package positions

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/iotest"
	"time"
	"unicode/utf16"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/wire/nmea"
	"firstfix/internal/wire/sheet"

	"pgregory.net/rapid"
)

// sift reads a file and judges it, and spells the outcome: kept places with their line,
// and the reasons of what was set apart.
func sift(t *testing.T, r io.Reader, o Options) (words []string, all []track.Judged, about track.About) {
	t.Helper()
	src, err := Open(r, "f", o)
	if err != nil {
		return []string{"error: " + err.Error()}, nil, about
	}
	v := track.NewSieve(track.Usual)
	for {
		var s track.Sighting
		if err = src.Next(&s); err != nil {
			break
		}
		all = v.Add(&s, all)
	}
	if err != io.EOF {
		words = append(words, "error: "+err.Error())
	}
	all = v.End(all)
	for i := range all {
		j := &all[i]
		if p, ok := j.Point.Get(); ok && j.Kept() {
			words = append(words, fmt.Sprintf("%d:%.5f,%.5f", j.From.Line, p.LatDeg, p.LonDeg))
		} else {
			words = append(words, fmt.Sprintf("%d:%s", j.From.Line, j.Why.Name))
		}
	}
	return words, all, src.About()
}

// rmc writes a sentence of trailer 07, so many seconds after 10:15:00.
func rmc(seconds int, lat, lon float64) string {
	a, o := nmea.Latitude(lat, 4), nmea.Longitude(lon, 4)
	return nmea.Format("GPRMC", clockOf(seconds), "A", a.Text, string(a.Side), o.Text, string(o.Side), "0.1,0.0,040326,,,A")
}

func clockOf(seconds int) string {
	t := 10*3600 + 15*60 + seconds
	return fmt.Sprintf("%02d%02d%02d.00", t/3600%24, t/60%60, t%60)
}

func lines(list ...string) string { return strings.Join(list, "\r\n") + "\r\n" }

// Every kind of file, told apart by its first bytes. Expectations are written by hand.
func TestOpen(t *testing.T) {
	three := lines(rmc(0, 51.7102, -0.3074), rmc(1, 51.7102, -0.3075), rmc(2, 51.7103, -0.3076))
	threeWant := "1:51.71020,-0.30740 2:51.71020,-0.30750 3:51.71030,-0.30760"
	void := strings.Replace(rmc(1, 51.7102, -0.3075), ",A,51", ",V,51", 1)
	void = nmea.Format(strings.TrimPrefix(void[:strings.IndexByte(void, '*')], "$"))
	tests := []struct {
		name, text, kind, want string
	}{
		{"sentences", three, "sentences", threeWant},
		{"sentences, old Mac line ends", strings.ReplaceAll(three, "\r\n", "\r"), "nmea", threeWant},
		{"a void one", lines(rmc(0, 51.7102, -0.3074), void, rmc(2, 51.7103, -0.3076)), "sentences", "1:51.71020,-0.30740 2:void 3:51.71030,-0.30760"},
		{"half a sentence and a whole one in a line", lines(rmc(0, 51.7102, -0.3074), "$GPRMC,101501.00,A,5142.6"+rmc(2, 51.7103, -0.3076), rmc(3, 51.7103, -0.3077)),
			"sentences", "1:51.71020,-0.30740 2:51.71030,-0.30760 3:51.71030,-0.30770"},
		{"binary in between", lines(rmc(0, 51.7102, -0.3074), "\x00\xb5\x62\x01\x07\xff\xfe"+rmc(1, 51.7102, -0.3075)+"\x81\x82", "\xb5\x62\x00", rmc(2, 51.7103, -0.3076)), "sentences",
			"1:51.71020,-0.30740 2:51.71020,-0.30750 4:51.71030,-0.30760"},
		{"mixed talkers in one epoch", lines(rmc(0, 51.7102, -0.3074), strings.Replace(rmc(0, 51.7102, -0.3074), "$GP", "$GP", 1), rmc(1, 51.7102, -0.3075), rmc(2, 51.7102, -0.3075)), "sentences",
			"1:51.71020,-0.30740 2:duplicate 3:51.71020,-0.30750 4:51.71020,-0.30750"},
		{"a capture", `{"firstfix":"capture","version":1,"began":"2026-03-04T10:15:00Z"}` + "\n" +
			`{"t":0.1,"from":"module","text":"` + rmc(0, 51.7102, -0.3074) + `\r\n"}` + "\n" + `{"t":1.1,"from":"module","text":"` + rmc(1, 51.7102, -0.3075) + `\r\n"}` + "\n", "capture",
			"2:51.71020,-0.30740 3:51.71020,-0.30750"},
		{"a pasted window with a text sent", "AT+CMGF=1\nOK\nAT+CMGS=\"+12025550143\"\n> trailer 07 at 51.710217,-0.307367\n+CMGS: 7\n\nOK\n", "window", "4:51.71022,-0.30737"},
		{"a stamped log", "10:15:00.100 " + rmc(0, 51.7102, -0.3074) + "\n10:15:01.100 " + rmc(1, 51.7102, -0.3075) + "\n10:15:02.100 " + rmc(2, 51.7103, -0.3076) + "\n", "stamped", threeWant},
		{"a text with links and degrees", "Trailer 07 stands at https://maps.example/?q=51.710217,-0.307367 since noon\nno news\ngeo:51.7103,-0.3076 a little later\nand 51°42.613'N 0°18.442'W\n", "text",
			"1:51.71022,-0.30737 3:51.71030,-0.30760 4:51.71022,-0.30737"},
		{"a text with times", "[2026-03-04 10:15:00] pos 51.710217,-0.307367\n[2026-03-04 10:16:00] pos 51.710227,-0.307367\n[2026-03-04 10:17:00] pos 52.910227,-0.307367\n[2026-03-04 10:18:00] pos 51.710237,-0.307367\n", "text",
			"1:51.71022,-0.30737 2:51.71023,-0.30737 3:jump 4:51.71024,-0.30737"},
		{"a table", "time,lat,lon\n2026-03-04T10:15:00Z,51.7102,-0.3074\n", "table", "2:51.71020,-0.30740"},
		{"a table without names", "1772619300;51.7102;-0.3074\n1772619301;51.7102;-0.3075\n", "table", "1:51.71020,-0.30740 2:51.71020,-0.30750"},
		{"GPX", `<?xml version="1.0"?><!-- x --><gpx><trk><trkseg><trkpt lat="51.7102" lon="-0.3074"/></trkseg></trk></gpx>`, "GPX", "1:51.71020,-0.30740"},
		{"KML", `<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><Point><coordinates>-0.3074,51.7102</coordinates></Point></Placemark></kml>`, "KML", "1:51.71020,-0.30740"},
		{"GeoJSON", `{"type":"Point","coordinates":[-0.3074,51.7102]}`, "GeoJSON", "1:51.71020,-0.30740"},
		{"nothing", "", "", "error: intake: f: the file is empty"},
		{"prose", "nothing to see here\nat all\n", "", "error: intake: f: it is text, but none of its first 2 lines is an AT command, an answer or a GNSS sentence"},
		{"other XML", "<html><body>51.7102, -0.3074</body></html>", "", "error: intake: f: it is XML or JSON, but neither GPX, KML nor GeoJSON"},
		{"a zip archive", "PK\x03\x04abc", "", "error: intake: f: it is a zip archive: perhaps a KMZ file or an office document"},
	}
	for _, test := range tests {
		for _, byByte := range []bool{false, true} {
			var r io.Reader = strings.NewReader(test.text)
			if byByte {
				r = iotest.OneByteReader(r)
			}
			words, _, about := sift(t, r, Options{})
			if got := strings.Join(words, " "); got != test.want {
				t.Errorf("%s:\n got %s\nwant %s", test.name, got, test.want)
			}
			if about.Kind != test.kind {
				t.Errorf("%s: it is %q, want %q", test.name, about.Kind, test.kind)
			}
		}
	}
}

// The same file as it is, packed, and in UTF-16 as spreadsheets save it.
func TestWrappings(t *testing.T) {
	text := "time;lat;lon\r\n2026-03-04T10:15:00Z;51.7102;-0.3074\r\n"
	const want = "2:51.71020,-0.30740"
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	_, _ = z.Write([]byte(text))
	_ = z.Close()
	utf := func(big bool) []byte {
		var b []byte
		for _, u := range utf16.Encode([]rune("\ufeff" + text)) {
			if big {
				b = append(b, byte(u>>8), byte(u))
			} else {
				b = append(b, byte(u), byte(u>>8))
			}
		}
		return b
	}
	for name, b := range map[string][]byte{"gzip": packed.Bytes(), "UTF-16": utf(false), "UTF-16 big": utf(true), "UTF-8 with its mark": []byte("\ufeff" + text)} {
		words, _, _ := sift(t, bytes.NewReader(b), Options{})
		if got := strings.Join(words, " "); got != want {
			t.Errorf("%s: %s", name, got)
		}
	}
}

// One character of a sentence was changed on the way: it is set apart, and the guess says
// what it was, as a guess.
func TestRepair(t *testing.T) {
	good := rmc(1, 51.7102, -0.3075)
	bad := strings.Replace(good, "5142.6120", "5142.6124", 1) // 4 is 0 with one bit changed
	if bad == good {
		t.Fatal(good)
	}
	words, all, _ := sift(t, strings.NewReader(lines(rmc(0, 51.7102, -0.3074), bad, rmc(2, 51.7103, -0.3076), rmc(3, 51.7103, -0.3076))), Options{})
	if got := strings.Join(words, " "); got != "1:51.71020,-0.30740 2:damaged 3:51.71030,-0.30760 4:51.71030,-0.30760" {
		t.Fatal(got)
	}
	says := all[1].Why.Text
	if !strings.Contains(says, "guess") || !strings.Contains(says, "51.710") || all[1].Point.IsKnown() {
		t.Errorf("%q %v", says, all[1].Point)
	}
	t.Log(says)
	// Beside a whole GGA of the same epoch nothing is lost.
	gga := nmea.Format("GPGGA", clockOf(1), "5142.6120,N,00018.4500,W,1,08,0.9,80.0,M,45.7,M,,")
	words, _, about := sift(t, strings.NewReader(lines(rmc(0, 51.7102, -0.3074), bad, gga, rmc(2, 51.7103, -0.3076))), Options{})
	if got := strings.Join(words, " "); got != "1:51.71020,-0.30740 3:51.71020,-0.30750 4:51.71030,-0.30760" || len(about.Passed) != 1 {
		t.Errorf("%s; %q", got, about.Passed)
	}
}

// The truth of a drive: where it was at each second, by time of day.
func truthOf(text string) map[time.Duration]geo.Point {
	truth := map[time.Duration]geo.Point{}
	var s nmea.Sentence
	var r nmea.RMC
	for _, line := range strings.Split(text, "\r\n") {
		if nmea.Scan(line, &s) == nil && s.Type == "RMC" && r.Decode(&s) == nil {
			a, _ := r.Lat.Get()
			o, _ := r.Lon.Get()
			truth[r.Time.Or(-1)] = geo.Point{LatDeg: a.Deg, LonDeg: o.Deg}
		}
	}
	return truth
}

// Never a wrong position shown as right: a clean drive is spoiled, a character here, half a
// line there, pieces lost, said twice or out of order, noise between. Whatever is kept is the truth of its second.
func TestSpoiled(t *testing.T) {
	clean := string(drive(300, false))
	truth := truthOf(clean)
	whole := strings.Split(strings.TrimSuffix(clean, "\r\n"), "\r\n")
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 7))
		odds := rapid.SampledFrom([]int{3, 10, 50}).Draw(t, "one in")
		var b strings.Builder
		for i, line := range whole {
			switch r.IntN(odds * 6) {
			case 0: // a character
				at := r.IntN(len(line))
				line = line[:at] + string(rune(' '+r.IntN(95))) + line[at+1:]
			case 1: // cut off
				line = line[:r.IntN(len(line))]
			case 2: // lost
				continue
			case 3: // twice
				b.WriteString(line + "\r\n")
			case 4: // late
				line = whole[max(0, i-r.IntN(20))]
			case 5: // noise before
				noise := make([]byte, r.IntN(40))
				for k := range noise {
					noise[k] = byte(r.IntN(256))
				}
				b.Write(noise)
			}
			b.WriteString(line)
			if r.IntN(odds*6) > 0 { // else the line end is lost
				b.WriteString("\r\n")
			}
		}
		src, err := Open(strings.NewReader(b.String()), "f", Options{Kind: "sentences"})
		if err != nil {
			t.Fatal(err)
		}
		v := track.NewSieve(track.Usual)
		var all []track.Judged
		for {
			var s track.Sighting
			if src.Next(&s) != nil {
				break
			}
			all = v.Add(&s, all)
		}
		all = v.End(all)
		kept := 0
		for i := range all {
			j := &all[i]
			if !j.Kept() {
				continue
			}
			kept++
			p, _ := j.Point.Get()
			was, ok := truth[j.TimeOfDay.Or(-1)]
			if !ok || math.Abs(was.LatDeg-p.LatDeg)+math.Abs(was.LonDeg-p.LonDeg) > 1e-12 {
				t.Fatalf("%s: %v at %v is shown as right, the truth is %v", j.From, p, j.TimeOfDay, was)
			}
		}
		if odds >= 50 && kept < 200 {
			t.Fatalf("only %d of 300 are kept", kept)
		}
	})
}

// Both ways of reading sentences, as a file of their own and as a recording, find the same.
func TestSameAsRecording(t *testing.T) {
	text := string(drive(120, true))
	spell := func(kind string) string {
		words, _, _ := sift(t, strings.NewReader(text), Options{Kind: kind})
		return strings.Join(words, " ")
	}
	if a, b := spell("sentences"), spell("nmea"); a != b || len(a) < 120*18 {
		t.Errorf("as sentences\n%s\nas a recording\n%s", a, b)
	}
}

// The 180th meridian, the poles, midnight without a date.
func TestEdges(t *testing.T) {
	gga := func(clock string, lat, lon float64) string {
		a, o := nmea.Latitude(lat, 4), nmea.Longitude(lon, 4)
		return nmea.Format("GPGGA", clock, a.Text, string(a.Side), o.Text, string(o.Side), "1,08,0.9,80.0,M,45.7,M,,")
	}
	for name, test := range map[string]struct {
		text string
		way  float64
		span time.Duration
	}{
		"date line and midnight": {lines(gga("235958", 0, 179.9998), gga("235959", 0, 179.9999), gga("000000", 0, -180), gga("000001", 0, -179.9999)), 33.4, 3 * time.Second},
		"over the pole":          {lines(gga("120000", 89.9999, 10), gga("120001", 89.9999, 10), gga("120002", 89.9999, -170), gga("120003", 89.9998, -170)), 33.5, 3 * time.Second},
		"south pole":             {lines(gga("120000", -90, 10), gga("120001", -90, 50), gga("120002", -90, -170)), 0, 2 * time.Second},
	} {
		f, _, err := figures(strings.NewReader(test.text), Options{})
		if err != nil || f.Kept != f.Read || math.Abs(f.Moving.TotalM()-test.way) > 0.2 || f.SpanS.Or(0) != test.span.Seconds() {
			t.Errorf("%s: %v: %d of %d, %.2f m, %v s", name, err, f.Kept, f.Read, f.Moving.TotalM(), f.SpanS)
		}
	}
}

// The answer to a question for the position, as the sheet of the invented module spells it.
func TestSheetAnswer(t *testing.T) {
	demo, ok := sheet.Builtin("demo")
	if !ok {
		t.Fatal("no sheet demo")
	}
	d := demo.Duties[sheet.PositionRead]
	if d.Answer.Shape != sheet.Fields {
		t.Skip("the sheet demo answers with sentences")
	}
	fields := make([]string, len(d.Answer.Fields))
	for i, f := range d.Answer.Fields {
		fields[i] = map[string]string{"valid": "1", "utc_yyyymmddhhmmss": "20260304101500.000", "lat_deg": "51.710217", "lon_deg": "-0.307367",
			"utc_date_ddmmyy": "040326", "utc_time_hhmmss": "101500.00", "lat_ddmm": "5142.6130", "lat_ns": "N", "lon_dddmm": "00018.4420", "lon_ew": "W"}[f.Name]
	}
	text := d.Send + "\n" + d.Answer.Prefix + ": " + strings.Join(fields, ",") + "\n\nOK\n"
	words, all, _ := sift(t, strings.NewReader(text), Options{Sheet: demo})
	if got := strings.Join(words, " "); got != "2:51.71022,-0.30737" {
		t.Fatalf("%s\n%s", got, text)
	}
	if all[0].From.What != "answer" || all[0].Told {
		t.Errorf("%+v", all[0].From)
	}
}

// Whatever goes in: an end, and no place that is none.
func FuzzOpen(f *testing.F) {
	f.Add(lines(rmc(0, 51.7102, -0.3074), rmc(1, 51.7102, -0.3075)))
	f.Add("AT+CMGS=\"+12025550143\"\n> at 51.710217,-0.307367\n+CMGS: 7\n\nOK\n")
	f.Add("[2026-03-04 10:15:00] pos 51.710217,-0.307367\n")
	f.Add("time,lat,lon\n2026-03-04T10:15:00Z,51.7102,-0.3074\n")
	f.Add(`<gpx><trk><trkseg><trkpt lat="51.7102" lon="-0.3074"/></trkseg></trk></gpx>`)
	f.Add("\x1f\x8b\x08\x00")
	f.Add("\xff\xfea\x00b\x00")
	f.Fuzz(func(t *testing.T, text string) {
		src, err := Open(strings.NewReader(text), "f", Options{})
		if err != nil {
			return
		}
		v, p, m := track.NewSieve(track.Usual), track.NewPacer(0), track.NewMeter(track.Scale{})
		var out []track.Judged
		n := 0
		for {
			var s track.Sighting
			if src.Next(&s) != nil {
				break
			}
			n++
			out = v.Add(&s, out)
		}
		out = v.End(out)
		if len(out) != n {
			t.Fatalf("%d went in, %d came out", n, len(out))
		}
		for i := range out {
			j := &out[i]
			if at, ok := j.Point.Get(); j.Kept() && (!ok || !at.Valid() || at == geo.Point{} || !j.Valid) {
				t.Fatalf("kept: %+v", j)
			}
		}
		for _, j := range p.Add(out) {
			m.Add(&j)
		}
		for _, j := range p.End() {
			m.Add(&j)
		}
		m.End()
		src.About()
	})
}

// A receiver of two systems that says RMC by each of them once a second and GGA five times
// a second, without a date in one of them; and a sentence now and then that has no time.
func TestMixedTalkersAndRates(t *testing.T) {
	var b strings.Builder
	put := func(s string) { b.WriteString(s + "\r\n") }
	lon := -0.3074
	for second := range 30 {
		for fifth := range 5 {
			lon += 0.00003 // 2 m: 10 m/s
			a, o := nmea.Latitude(51.7102, 5), nmea.Longitude(lon, 5)
			clock := fmt.Sprintf("1015%02d.%d0", second, fifth*2)
			at := fmt.Sprintf("%s,%c,%s,%c", a.Text, a.Side, o.Text, o.Side)
			if fifth == 0 {
				put(nmea.Format("GPRMC", clock, "A", at, "19.4,90.0,040326,,,A"))
				put(nmea.Format("GLRMC", clock, "A", at, "19.4,90.0,,,,A")) // no date
				put(nmea.Format("GPVTG,90.0,T,,M,19.4,N,35.9,K,A"))
			}
			put(nmea.Format("GNGGA", clock, at, "1,14,0.8,80.0,M,45.7,M,,"))
		}
	}
	f, _, err := figures(strings.NewReader(b.String()), Options{})
	if err != nil || f.Kept != 150 || f.Read != 150 {
		t.Fatalf("%v: %d of %d kept: %+v", err, f.Kept, f.Read, f.Apart)
	}
	_, lonM := geo.MetresPerDegree(51.7102)
	if want := 149 * 0.00003 * lonM; math.Abs(f.Moving.TotalM()-want) > 0.5 {
		t.Errorf("%.2f m, want %.2f", f.Moving.TotalM(), want)
	}
	if math.Abs(f.SpanS.Or(0)-29.8) > 1e-9 || math.Abs(f.Every.UsualS.Or(0)-0.2) > 1e-9 {
		t.Errorf("%v s, every %v s", f.SpanS, f.Every.UsualS)
	}
}
