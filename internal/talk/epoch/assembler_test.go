package epoch

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"firstfix/internal/earth/fix"
	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// A feeder gives sentences to an assembler, 10 ms apart; "+5s" lets time pass.
type feeder struct {
	t      testing.TB
	a      *Assembler
	now    when.Instant
	record int
	s      nmea.Sentence
	out    []*Epoch
}

func newFeeder(t testing.TB) *feeder { return &feeder{t: t, a: New()} }

// hear takes lines as "GNRMC,101530.00,A,…", to which a checksum is added; those that begin
// with "$" are taken as they are.
func (f *feeder) hear(lines ...string) *feeder {
	for _, line := range lines {
		if strings.HasPrefix(line, "+") {
			d, err := time.ParseDuration(line[1:])
			if err != nil {
				f.t.Fatal(err)
			}
			f.now = f.now.Add(d)
			continue
		}
		if !strings.HasPrefix(line, "$") {
			line = nmea.Format(line)
		}
		f.record++
		f.now += 10 * when.Millisecond
		_ = nmea.Scan(line, &f.s)
		f.out = f.a.Add(Source{Record: f.record, At: f.now, Text: line}, &f.s, f.out)
	}
	return f
}

func (f *feeder) end() []*Epoch { return f.a.End(f.out) }

// epochs is what follows from the lines, to the end.
func epochs(t testing.TB, lines ...string) []*Epoch { return newFeeder(t).hear(lines...).end() }

// kindsOf lists the sentences of each epoch: "RMC GGA | RMC GGA".
func kindsOf(list []*Epoch) string {
	var all []string
	for _, e := range list {
		var one []string
		for _, s := range e.Sources {
			one = append(one, s.Text[3:6])
		}
		all = append(all, strings.Join(one, " "))
	}
	return strings.Join(all, " | ")
}

// What the fix of a whole cycle is: each value from the sentence that has it, in the units
// of earth/fix. The position is that of the fault list's trailer: 51°42.613' N, 0°18.442' W.
func TestWholeCycle(t *testing.T) {
	list := epochs(t,
		"GNRMC,101530.00,A,5142.61300,N,00018.44200,W,10.0,084.4,040326,,,A,V",
		"GNVTG,084.4,T,,M,10.0,N,18.52,K,A",
		"GNGGA,101530.00,5142.61300,N,00018.44200,W,1,05,1.20,86.5,M,45.7,M,,",
		"GNGSA,A,3,07,13,20,,,,,,,,,,2.10,1.21,1.72,1",
		"GNGSA,A,3,71,80,,,,,,,,,,,2.10,1.21,1.72,2",
		"GPGSV,2,1,05,07,31,210,41,13,62,110,45,20,05,033,22,30,18,300,,1",
		"GPGSV,2,2,05,46,30,180,38,1",
		"GLGSV,1,1,02,71,40,080,33,80,20,200,29,1",
		"GNGLL,5142.61300,N,00018.44200,W,101530.00,A,A",
		"GNRMC,101531.00,A,5142.61400,N,00018.44300,W,10.0,084.4,040326,,,A,V")
	if got := kindsOf(list); got != "RMC VTG GGA GSA GSA GSV GSV GSV GLL | RMC" {
		t.Fatal(got)
	}
	e := list[0]
	f := e.Fix
	speed := f.SpeedMPS.Or(-1)
	f.SpeedMPS = maybe.Value[float64]{}
	want := fix.Fix{
		At:  90 * when.Millisecond, // the GLL is the ninth sentence
		UTC: maybe.Known(time.Date(2026, 3, 4, 10, 15, 30, 0, time.UTC)), TimeOfDay: maybe.Known(10*time.Hour + 15*time.Minute + 30*time.Second),
		Point: maybe.Known(geo.Point{LatDeg: (51*60 + 42.613) / 60, LonDeg: -18.442 / 60}), Valid: true, Mode: "autonomous",
		Quality: maybe.Known(1), Dimensions: maybe.Known(3), SatellitesUsed: maybe.Known(5), HDOP: maybe.Known(1.2), PDOP: maybe.Known(2.1), VDOP: maybe.Known(1.72),
		AltitudeM: maybe.Known(86.5), GeoidM: maybe.Known(45.7), CourseDeg: maybe.Known(84.4),
	}
	if f != want {
		t.Errorf("\n got %+v\nwant %+v", f, want)
	}
	if math.Abs(speed-18.52/3.6) > 1e-12 { // 10 knots are 18.52 km/h, exactly
		t.Errorf("speed %v m/s", speed)
	}
	if e.Began != 10*when.Millisecond || e.At != 90*when.Millisecond || e.BadSums != 0 {
		t.Errorf("began %v, at %v", e.Began, e.At)
	}
	var sky []string
	for _, v := range e.Satellites {
		sky = append(sky, fmt.Sprintf("%s %d %v %v %v %v", v.System, v.ID, v.ElevationDeg, v.AzimuthDeg, v.CN0DBHz, v.Used))
	}
	wantSky := []string{"GPS 7 31 210 41 true", "GPS 13 62 110 45 true", "GPS 20 5 33 22 true", "GPS 30 18 300 not known false",
		"SBAS 46 30 180 38 false", "GLONASS 71 40 80 33 true", "GLONASS 80 20 200 29 true"}
	if strings.Join(sky, "\n") != strings.Join(wantSky, "\n") || !e.SkyKnown {
		t.Errorf("sky known %v:\n%s", e.SkyKnown, strings.Join(sky, "\n"))
	}
	if s, ok := e.Find("GGA"); !ok || s.Record != 3 {
		t.Errorf("GGA is record %d", s.Record)
	}
	if _, ok := e.Find("ZDA"); ok {
		t.Error("there is no ZDA")
	}
}

// Which sentences belong together.
func TestCycles(t *testing.T) {
	rmc := func(clock string) string { return "GPRMC," + clock + ",A,5142.613,N,00018.442,W,0.0,,040326,,,A" }
	gga := func(clock string) string {
		return "GPGGA," + clock + ",5142.613,N,00018.442,W,1,05,1.2,86.5,M,45.7,M,,"
	}
	zda := func(clock string) string { return "GPZDA," + clock + ",04,03,2026,00,00" }
	const vtg, gsa, gsv = "GPVTG,,T,,M,0.0,N,0.0,K,A", "GPGSA,A,3,07,13,20,,,,,,,,,,2.1,1.2,1.7", "GPGSV,1,1,01,07,31,210,41"
	tests := []struct {
		name  string
		lines []string
		want  string
	}{
		{"time differs", []string{rmc("101530"), gga("101530"), rmc("101531"), gga("101531")}, "RMC GGA | RMC GGA"},
		{"in the other order", []string{gga("101530"), rmc("101530"), gga("101531"), rmc("101531")}, "GGA RMC | GGA RMC"},
		{"order changes", []string{gga("101530"), rmc("101530"), rmc("101531"), gga("101531")}, "GGA RMC | RMC GGA"},
		{"decimals do not matter", []string{gga("101530.000"), rmc("101530"), gga("101531.000"), rmc("101531")}, "GGA RMC | GGA RMC"},
		{"ten a second", []string{rmc("101530.90"), gga("101530.90"), rmc("101531.00"), gga("101531.00"), rmc("101531.10"), gga("101531.10")}, "RMC GGA | RMC GGA | RMC GGA"},
		{"midnight", []string{rmc("235959"), gga("235959"), rmc("000000"), gga("000000")}, "RMC GGA | RMC GGA"},
		{"without time it belongs to what is open", []string{rmc("101530"), vtg, gsa, gsv, rmc("101531"), vtg}, "RMC VTG GSA GSV | RMC VTG"},
		{"those without time come first", []string{vtg, gsa, gsv, gga("101530"), rmc("101530"), vtg, gsa, gsv, gga("101531")}, "VTG GSA GSV GGA RMC | VTG GSA GSV GGA"},
		{"time stands still", []string{rmc("101530"), rmc("101530"), rmc("101530")}, "RMC | RMC | RMC"},
		{"no time yet", []string{"GPRMC,,V,,,,,,,,,,N", gsv, "GPRMC,,V,,,,,,,,,,N", gsv}, "RMC GSV | RMC GSV"},
		{"two talkers of one time", []string{"GPGGA,101530,,,,,0,00,,,M,,M,,", "GNGGA,101530,5142.613,N,00018.442,W,1,05,1.2,86.5,M,45.7,M,,", rmc("101530"), rmc("101531")}, "GGA GGA RMC | RMC"},
		{"one GSA for each system", []string{rmc("101530"), "GNGSA,A,3,07,,,,,,,,,,,,2.1,1.2,1.7,1", "GNGSA,A,3,71,,,,,,,,,,,,2.1,1.2,1.7,2", rmc("101531"), "GNGSA,A,3,07,,,,,,,,,,,,2.1,1.2,1.7,1"}, "RMC GSA GSA | RMC GSA"},
		{"GSA without a system, in a row", []string{"GNGSA,A,3,07,,,,,,,,,,,,2.1,1.2,1.7", "GNGSA,A,3,71,,,,,,,,,,,,2.1,1.2,1.7", rmc("101530"), "GNGSA,A,3,07,,,,,,,,,,,,2.1,1.2,1.7", "GNGSA,A,3,71,,,,,,,,,,,,2.1,1.2,1.7", rmc("101531")}, "GSA GSA RMC | GSA GSA RMC"},
		{"nothing but GSA", []string{gsa, gsa, gsa}, "GSA | GSA | GSA"},
		{"nothing but GSV", []string{gsv, gsv}, "GSV | GSV"},
		{"a ZDA a little later", []string{rmc("101530.00"), gga("101530.00"), zda("101530.13"), rmc("101531.00"), gga("101531.00"), zda("101531.13")}, "RMC GGA ZDA | RMC GGA ZDA"},
		{"a ZDA first", []string{zda("101530.01"), rmc("101530.00"), zda("101531.01"), rmc("101531.00")}, "ZDA RMC | ZDA RMC"},
		{"others say nothing of it", []string{rmc("101530"), "GPTXT,01,01,02,ANTENNA OPEN", "PDEMO,1", "GPHDT,1.0,T", "CCGPQ,GGA", gga("101530")}, "RMC GGA"},
	}
	for _, test := range tests {
		if got := kindsOf(epochs(t, test.lines...)); got != test.want {
			t.Errorf("%s:\n got %s\nwant %s", test.name, got, test.want)
		}
	}
}

// Which positions the receiver stands by: status A, quality above 0, mode not N, E, M or S,
// and none of them denied by another sentence (NMEA 0183, fields status, quality, mode).
func TestVoid(t *testing.T) {
	rmc := func(status, lat, lon, mode string) string {
		return fmt.Sprintf("GNRMC,101530,%s,%s,N,%s,W,0.0,,040326,,,%s", status, lat, lon, mode)
	}
	gga := func(quality string) string {
		return "GNGGA,101530,5142.613,N,00018.442,W," + quality + ",05,1.2,86.5,M,45.7,M,,"
	}
	const lat, lon = "5142.613", "00018.442"
	tests := []struct {
		lines []string
		void  string
		point bool
		mode  string
	}{
		{[]string{rmc("A", lat, lon, "A")}, "", true, "autonomous"},
		{[]string{rmc("A", lat, lon, "D")}, "", true, "differential"},
		{[]string{"GPRMC,101530,A,5142.613,N,00018.442,W,0.0,,040326,,"}, "", true, ""},
		{[]string{rmc("V", lat, lon, "N")}, "mode N: not valid", true, "not valid"},
		{[]string{rmc("V", lat, lon, "E")}, "mode E: estimated", true, "estimated"},
		{[]string{rmc("A", lat, lon, "E")}, "mode E: estimated", true, "estimated"},
		{[]string{rmc("A", lat, lon, "M")}, "mode M: manual input", true, "manual input"},
		{[]string{rmc("A", lat, lon, "S")}, "mode S: simulator", true, "simulator"},
		{[]string{rmc("V", lat, lon, "A")}, "status V", true, "autonomous"},
		{[]string{"GPRMC,235947.000,V,0000.0000,N,00000.0000,E,,,041299,,"}, "status V", false, ""}, // a cold start: see wire/nmea samples
		{[]string{"GNRMC,101530,V,,,,,,,040326,,,N"}, "mode N: not valid", false, "not valid"},
		{[]string{gga("1")}, "", true, "autonomous"},
		{[]string{gga("2")}, "", true, "differential"},
		{[]string{gga("4")}, "", true, "RTK fixed"},
		{[]string{gga("5")}, "", true, "RTK float"},
		{[]string{gga("0")}, "quality 0: no fix", true, "not valid"},
		{[]string{gga("6")}, "quality 6: estimated", true, "estimated"},
		{[]string{gga("8")}, "quality 8: simulator", true, "simulator"},
		{[]string{gga("")}, "no sentence vouches for it", true, ""},
		{[]string{gga("1"), rmc("V", lat, lon, "N")}, "mode N: not valid", true, "not valid"},
		{[]string{gga("0"), rmc("A", lat, lon, "A")}, "quality 0: no fix", true, "autonomous"},
		{[]string{"GNGLL,5142.613,N,00018.442,W,101530,A,A"}, "", true, "autonomous"},
		{[]string{"GNGLL,5142.613,N,00018.442,W,101530,V,N"}, "mode N: not valid", true, "not valid"},
		{[]string{"GNGLL,5142.613,N,00018.442,W"}, "no sentence vouches for it", true, ""},
		{[]string{"GNGNS,101530,5142.613,N,00018.442,W,AAN,14,0.6,161.5,48.0,,"}, "", true, "autonomous"},
		{[]string{"GNGNS,101530,5142.613,N,00018.442,W,NN,00,,,,,"}, "mode N: not valid", true, "not valid"},
		{[]string{"GNGNS,101530,5142.613,N,00018.442,W,EE,00,,,,,"}, "mode E: estimated", true, "estimated"},
		{[]string{"GNVTG,,T,,M,0.0,N,0.0,K,A"}, "no position", false, "autonomous"},
		{[]string{rmc("A", "", "", "A")}, "no position", false, "autonomous"},
	}
	for _, test := range tests {
		list := epochs(t, test.lines...)
		if len(list) != 1 {
			t.Fatalf("%v: %d epochs", test.lines, len(list))
		}
		f := list[0].Fix
		if f.Void != test.void || f.Valid != (test.void == "") || f.Point.IsKnown() != test.point || f.Mode != test.mode {
			t.Errorf("%v:\nvalid %v, void %q, point %v, mode %q", test.lines, f.Valid, f.Void, f.Point, f.Mode)
		}
	}
}

// The date is that of the sentence, over midnight too; without a date there is only the time.
func TestDates(t *testing.T) {
	list := epochs(t,
		"GPGGA,235959.90,5142.613,N,00018.442,W,1,05,1.2,86.5,M,45.7,M,,", "GPRMC,235959.90,A,5142.613,N,00018.442,W,0.0,,311226,,,A",
		"GPGGA,000000.00,5142.613,N,00018.442,W,1,05,1.2,86.5,M,45.7,M,,", "GPRMC,000000.00,A,5142.613,N,00018.442,W,0.0,,010127,,,A",
		"GPGGA,000000.10,5142.613,N,00018.442,W,1,05,1.2,86.5,M,45.7,M,,",
		"GPGGA,235959.95,5142.613,N,00018.442,W,1,05,1.2,86.5,M,45.7,M,,", "GPZDA,235959.99,31,12,2026,00,00",
		"GPGGA,101530,5142.613,N,00018.442,W,1,05,1.2,86.5,M,45.7,M,,", "GPZDA,101530,31,02,2026,00,00", // no such day
	)
	list = append(list, epochs(t, "GPRMC,,V,,,,,,,040326,,,N")...) // a date without a time
	want := []string{"2026-12-31 23:59:59.9 +0000 UTC", "2027-01-01 00:00:00 +0000 UTC", "not known", "2026-12-31 23:59:59.95 +0000 UTC", "not known", "not known"}
	if len(list) != len(want) {
		t.Fatal(kindsOf(list))
	}
	for i, e := range list {
		if got := e.Fix.UTC.String(); got != want[i] {
			t.Errorf("epoch %d: %s, want %s", i, got, want[i])
		}
		if e.Fix.TimeOfDay.IsKnown() != (i < 5) {
			t.Errorf("epoch %d: time of day %v", i, e.Fix.TimeOfDay)
		}
	}
}

// A ZDA that was sent on the other side of midnight tells the date of its own moment.
func TestZDAOverMidnight(t *testing.T) {
	var d said
	d.has[zdaKind] = combined
	d.zda = nmea.ZDA{Time: maybe.Known(24*time.Hour - time.Second), Day: maybe.Known(31), Month: maybe.Known(12), Year: maybe.Known(2026)}
	if got := d.utc(maybe.Known(time.Second)).String(); got != "2027-01-01 00:00:01 +0000 UTC" {
		t.Error(got)
	}
	d.zda.Time = maybe.Known(time.Second)
	if got := d.utc(maybe.Known(24*time.Hour - time.Second)).String(); got != "2026-12-30 23:59:59 +0000 UTC" {
		t.Error(got)
	}
}

// Sentences with a wrong checksum are counted and not used; one without any counts as
// damaged only where the others have one.
func TestBadSums(t *testing.T) {
	const old = "$GPRMC,101530,A,5142.613,N,00018.442,W,0.0,,040326,,"
	list := epochs(t, old, "$GPGGA,101530,5142.613,N,00018.442,W,1,05,1.2,86.5,M,45.7,M,,")
	if got := kindsOf(list); got != "RMC GGA" || list[0].BadSums != 0 || !list[0].Fix.Valid {
		t.Errorf("old form: %s", got)
	}
	list = epochs(t,
		old+"*00", // before any epoch: counted in the first
		"GPRMC,101530,A,5142.613,N,00018.442,W,0.0,,040326,,,A",
		"$GPGGA,101530,5142.613,N,00018.442,W,1,05,1.2,8", // cut off
		"$GPGGA,101530,9999.613,N,00018.442,W,1,05,1.2,86.5,M,45.7,M,,*00",
		"$GPTXT,01,01,02,noise*00",
		"GPRMC,101531,A,5142.613,N,00018.442,W,0.0,,040326,,,A")
	if got := kindsOf(list); got != "RMC | RMC" || list[0].BadSums != 4 || list[1].BadSums != 0 {
		t.Errorf("%s, %d bad", got, list[0].BadSums)
	}
	if list[0].Fix.Quality.IsKnown() {
		t.Error("a sentence with a wrong checksum was used")
	}
}

// Of many sources the GSV give way; what carries the position stays, in order.
func TestSourcesAreBounded(t *testing.T) {
	lines := []string{"GNRMC,101530,A,5142.613,N,00018.442,W,0.0,,040326,,,A,V"}
	for _, talker := range []string{"GP", "GL", "GA", "GB"} {
		for n := range 4 {
			lines = append(lines, fmt.Sprintf("%sGSV,4,%d,16,01,10,100,30,02,10,100,30,03,10,100,30,04,10,100,30,1", talker, n+1))
		}
	}
	lines = append(lines, "GNGGA,101530,5142.613,N,00018.442,W,1,05,1.2,86.5,M,45.7,M,,", "GNGLL,5142.613,N,00018.442,W,101530,A,A", "GPGSV,1,1,00,5")
	list := epochs(t, lines...)
	if got := kindsOf(list); got != "RMC"+strings.Repeat(" GSV", 9)+" GGA GLL" {
		t.Error(got)
	}
}

// Epochs that are given back make no difference to those that follow.
func TestRecycle(t *testing.T) {
	lines := drive(200)
	run := func(recycle bool) (texts []string) {
		a := New()
		var out []*Epoch
		var s nmea.Sentence
		take := func() {
			for _, e := range out {
				texts = append(texts, fmt.Sprintf("%+v", *e))
				if recycle {
					a.Recycle(e)
				}
			}
			out = out[:0]
		}
		for i, line := range lines {
			if i%17 == 5 {
				line = line[:len(line)/2]
			}
			_ = nmea.Scan(line, &s)
			out = a.Add(Source{Record: i, Text: line}, &s, out)
			take()
		}
		out = a.End(out)
		take()
		return texts
	}
	want, got := run(false), run(true)
	if len(want) < 150 || !slices.Equal(got, want) {
		t.Errorf("%d epochs, %d when they are given back, or not the same", len(want), len(got))
	}
}
