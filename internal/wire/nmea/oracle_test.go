package nmea

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstfix/internal/tidy/needs"
)

// An independent reader makes of thousands of random sentences what ours makes of them.
// It lives in the folder oracle; see its README.
//
// Where it is known to differ, the comparison says so beside the field. Its years 73 to 79
// are 1973 to 1979 (ours 2073 to 2079), so such years are not asked.
func TestOracle(t *testing.T) {
	const sentences = 6000
	oracle := filepath.Join("..", "..", "..", "oracle")
	node, err := exec.LookPath("node")
	if err != nil {
		needs.Something(t, "node is not installed: ours is not compared with the independent reader")
	}
	if _, err := os.Stat(filepath.Join(oracle, "node_modules", "gps")); err != nil {
		needs.Something(t, "run npm ci in the folder oracle: ours is not compared with the independent reader")
	}
	texts := oracleSentences(rand.New(rand.NewPCG(27, 5)), sentences)
	for _, sample := range samples(t) {
		if !sample.Bad {
			texts = append(texts, sample.Text)
		}
	}
	command := exec.Command(node, "nmea.mjs")
	command.Dir = oracle
	command.Stdin = strings.NewReader(strings.Join(texts, "\n") + "\n")
	var complaint bytes.Buffer
	command.Stderr = &complaint
	out, err := command.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, complaint.String())
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) != len(texts) {
		t.Fatalf("%d answers to %d sentences", len(lines), len(texts))
	}
	compared := map[string]int{}
	for i, line := range lines {
		var theirs map[string]any
		if err := json.Unmarshal([]byte(line), &theirs); err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		compareWithOracle(t, texts[i], theirs, compared)
		if t.Failed() {
			return
		}
	}
	t.Logf("compared: %v", compared)
	for _, kind := range []string{"RMC", "GGA", "GSA", "GSV", "GLL", "VTG", "ZDA", "GNS", "GST", "TXT", "GBS", "GRS", "HDT"} {
		if compared[kind] < sentences/100 {
			t.Errorf("only %d of %s were compared", compared[kind], kind)
		}
	}
}

// oracleSentences are random ones of every kind the oracle reads, in several forms.
func oracleSentences(r *rand.Rand, count int) []string {
	maybe := func(text string) string {
		if r.IntN(6) == 0 {
			return ""
		}
		return text
	}
	number := func(low, high float64) string {
		return maybe(fmt.Sprintf("%.*f", r.IntN(5), low+r.Float64()*(high-low)))
	}
	clock := func() string {
		text := fmt.Sprintf("%02d%02d%02d", r.IntN(24), r.IntN(60), r.IntN(60))
		if n := r.IntN(4); n > 0 {
			text += fmt.Sprintf(".%0*d", n, r.IntN(int(math.Pow10(n))))
		}
		return text
	}
	position := func() string {
		if r.IntN(6) == 0 {
			return ",,,"
		}
		a, o := Latitude(r.Float64()*180-90, 3+r.IntN(5)), Longitude(r.Float64()*360-180, 3+r.IntN(5))
		return fmt.Sprintf("%s,%c,%s,%c", a.Text, a.Side, o.Text, o.Side)
	}
	letter := func(list string) string { return maybe(string(list[r.IntN(len(list))])) }
	date := func() string {
		year := r.IntN(92)
		if year > 72 {
			year += 7 // 80 to 99
		}
		return fmt.Sprintf("%02d%02d%02d", 1+r.IntN(28), 1+r.IntN(12), year%100)
	}
	whole := func(low, high, width int) string { return maybe(fmt.Sprintf("%0*d", width, low+r.IntN(high-low+1))) }
	const mode = "ADEFMNPRS"
	// tail cuts off fields that a later version added.
	tail := func(fields ...string) string {
		text := ""
		for _, f := range fields[:r.IntN(len(fields)+1)] {
			text += "," + f
		}
		return text
	}
	both := func(fields ...string) string { // all or none: the oracle knows no form in between
		if r.IntN(2) == 0 {
			return ""
		}
		return "," + strings.Join(fields, ",")
	}
	makers := []func() (kind, fields string){
		func() (string, string) {
			variation := ","
			if r.IntN(2) == 0 {
				variation = fmt.Sprintf("%.1f,%c", r.Float64()*90, "EW"[r.IntN(2)])
			}
			return "RMC", strings.Join([]string{clock(), letter("AV"), position(), number(0, 99), number(0, 360), date(), variation}, ",") + tail(letter(mode), letter("SCUV"))
		},
		func() (string, string) {
			return "GGA", strings.Join([]string{clock(), position(), whole(0, 8, 1), whole(0, 24, 2), number(0, 20), number(-90, 4000), "M", number(-100, 80), "M", number(0, 60), whole(0, 1023, 4)}, ",")
		},
		func() (string, string) {
			ids := ""
			for range 12 {
				ids += "," + whole(1, 96, 2)
			}
			return "GSA", letter("AM") + "," + whole(1, 3, 1) + ids + "," + strings.Join([]string{number(0, 9), number(0, 9), number(0, 9)}, ",") + tail(fmt.Sprint(1+r.IntN(6)))
		},
		func() (string, string) {
			text := fmt.Sprintf("%d,%d,%02d", 1+r.IntN(4), 1+r.IntN(4), r.IntN(17))
			for range r.IntN(5) {
				text += fmt.Sprintf(",%02d,%s,%s,%s", 1+r.IntN(96), whole(0, 90, 2), whole(0, 359, 3), whole(0, 55, 2))
			}
			return "GSV", text + tail(fmt.Sprint(r.IntN(9)))
		},
		func() (string, string) {
			return "GLL", position() + "," + clock() + "," + letter("AV") + tail(letter(mode))
		},
		func() (string, string) {
			return "VTG", number(0, 360) + ",T," + number(0, 360) + ",M," + number(0, 99) + ",N," + number(0, 180) + ",K" + tail(letter(mode))
		},
		func() (string, string) {
			zone := []string{"00,00", "-05,00", "05,30", "-03,30", "12,45", ","}[r.IntN(6)]
			return "ZDA", fmt.Sprintf("%s,%02d,%02d,%04d,%s", clock(), 1+r.IntN(28), 1+r.IntN(12), 1980+r.IntN(99), zone)
		},
		func() (string, string) {
			modes := ""
			for range r.IntN(7) {
				modes += string(mode[r.IntN(len(mode))])
			}
			return "GNS", strings.Join([]string{clock(), position(), modes, whole(0, 40, 2), number(0, 9), number(-90, 4000), number(-100, 80), number(0, 60), whole(0, 1023, 4)}, ",") + tail(letter("SCUV"))
		},
		func() (string, string) {
			return "GST", strings.Join([]string{clock(), number(0, 99), number(0, 9), number(0, 9), number(0, 360), number(0, 9), number(0, 9), number(0, 9)}, ",")
		},
		func() (string, string) {
			text := ""
			for range 1 + r.IntN(20) {
				text += escape(string("abcXYZ 019=-+$!*,\\^~"[r.IntN(20)]))
			}
			return "TXT", fmt.Sprintf("01,01,%02d,%s", r.IntN(100), text)
		},
		func() (string, string) {
			return "GBS", strings.Join([]string{clock(), number(-9, 9), number(-9, 9), number(-9, 9), whole(1, 96, 2), number(0, 1), number(-9, 9), number(0, 9)}, ",") +
				both(fmt.Sprint(1+r.IntN(6)), fmt.Sprint(r.IntN(9)))
		},
		func() (string, string) {
			text := clock() + "," + whole(0, 1, 1)
			for range 12 {
				text += "," + number(-9, 9)
			}
			return "GRS", text + "," + whole(1, 6, 1) + "," + whole(0, 8, 1)
		},
		func() (string, string) { return "HDT", fmt.Sprintf("%.2f,T", r.Float64()*360) },
	}
	talkers := []string{"GP", "GN", "GL", "GA", "GB"}
	var out []string
	for i := range count {
		kind, fields := makers[i%len(makers)]()
		out = append(out, Format(talkers[r.IntN(len(talkers))]+kind, fields))
	}
	return out
}

// compareWithOracle compares every field that both sides give.
func compareWithOracle(t *testing.T, text string, theirs map[string]any, compared map[string]int) {
	var s Sentence
	if err := Scan(text, &s); err != nil {
		t.Fatal(err)
	}
	if refused, ok := theirs["refused"]; ok {
		// It takes only the lengths it knows: not the sample that was cut short, nor DTM and THS.
		if s.Type == "DTM" || s.Type == "THS" || text == "$GPVTG,,T,,M,0.00,N*1B" {
			return
		}
		t.Errorf("%s: refused: %v", text, refused)
		return
	}
	if theirs["valid"] != s.SumOK() {
		t.Errorf("%s: checksum: %v, ours %v", text, theirs["valid"], s.SumOK())
	}
	if s.Type == "VTG" && s.Field(2) == "" {
		return // without its letters it reads nothing of a VTG, not even the mode
	}
	compared[s.Type]++
	k := KindOf(&s)
	p, _ := tripFor(&s)
	record, err := p.decode(&s)
	if err != nil {
		t.Errorf("%s: %v", text, err)
	}
	ours := oracleView(record)
	if ours == nil {
		t.Fatalf("no view of %s", k.Name)
	}
	for name, want := range ours {
		got, given := theirs[name]
		if name == "satellites" && s.Type == "GSV" {
			got = numbersOf(got)
		}
		if !given {
			t.Errorf("%s: it has no field %s", text, name)
		} else if !sameValue(got, want) {
			t.Errorf("%s: %s is %v there, %v here", text, name, got, want)
		}
	}
}

func sameValue(theirs, ours any) bool {
	if a, ok := theirs.(float64); ok {
		b, ok := ours.(float64)
		return ok && math.Abs(a-b) <= 1e-9*max(1, math.Abs(a))
	}
	a, _ := json.Marshal(theirs)
	b, _ := json.Marshal(ours)
	return string(a) == string(b)
}

// oracleView is a record under the oracle's names and in its units: knots times 1.852,
// times cut to milliseconds, no quality for 0, no dimensions for 1. The empty stays null.
func oracleView(record any) map[string]any {
	value := func(v decimals) any {
		if x, ok := v.Get(); ok {
			return x + 0 // no negative zero: JSON would show its sign
		}
		return nil
	}
	integer := func(v wholes) any {
		if x, ok := v.Get(); ok {
			return float64(x)
		}
		return nil
	}
	deg := func(v angle) any {
		if a, ok := v.Get(); ok {
			return a.Deg
		}
		return nil
	}
	kmh := func(v decimals) any {
		if x, ok := v.Get(); ok {
			return x * 1.852
		}
		return nil
	}
	clock := func(date []int, v clockTime) any {
		d, ok := v.Get()
		if !ok {
			return nil
		}
		return append(date, int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60, int(d/time.Millisecond)%1000)
	}
	ymd := func(v calendar) []int {
		d := v.Or(Date{})
		return []int{int(d.Year), int(d.Month), int(d.Day)}
	}
	status := func(v truth) any {
		valid, ok := v.Get()
		switch {
		case !ok:
			return nil
		case valid:
			return "active"
		}
		return "void"
	}
	word := func(m byte, words map[byte]string) any {
		if m == 0 {
			return nil
		}
		return words[m]
	}
	theirModes := map[byte]string{'A': "autonomous", 'D': "differential", 'E': "estimated", 'F': "rtk-float", 'M': "manual input", 'N': "not valid", 'P': "precise", 'R': "rtk", 'S': "simulated"}
	theirNav := map[byte]string{'S': "safe", 'C': "caution", 'U': "unsafe", 'V': "not valid"}
	theirQuality := []any{nil, "fix", "dgps-fix", "pps-fix", "rtk", "rtk-float", "estimated", "manual", "simulated"}
	switch r := record.(type) {
	case RMC:
		return map[string]any{"time": clock(ymd(r.Date), r.Time), "status": status(r.Valid), "lat": deg(r.Lat), "lon": deg(r.Lon), "speed": kmh(r.SpeedKnots),
			"track": value(r.CourseDeg), "variation": value(r.VariationDeg), "faa": word(byte(r.Mode), theirModes), "navStatus": word(byte(r.NavStatus), theirNav)}
	case GGA:
		return map[string]any{"time": clock(nil, r.Time), "lat": deg(r.Lat), "lon": deg(r.Lon), "alt": value(r.AltitudeM), "quality": theirQuality[r.Quality.Or(0)],
			"satellites": integer(r.SatellitesUsed), "hdop": value(r.HDOP), "geoidal": value(r.GeoidM), "age": value(r.DifferentialAgeS), "stationID": integer(r.StationID)}
	case GSA:
		return map[string]any{"mode": word(r.Selection, map[byte]string{'A': "automatic", 'M': "manual"}), "fix": []any{nil, nil, "2D", "3D"}[r.Fix.Or(0)],
			"satellites": append([]int{}, r.IDs()...), "pdop": value(r.PDOP), "hdop": value(r.HDOP), "vdop": value(r.VDOP), "systemId": integer(r.SystemID)}
	case GSV:
		return map[string]any{"msgsTotal": integer(r.Total), "msgNumber": integer(r.Number), "satsInView": integer(r.InView),
			"signalId": theirSignal(r.SignalID), "satellites": theirSatellites(r, value)}
	case GLL:
		return map[string]any{"time": clock(nil, r.Time), "status": status(r.Valid), "lat": deg(r.Lat), "lon": deg(r.Lon), "faa": word(byte(r.Mode), theirModes)}
	case VTG:
		return map[string]any{"track": value(r.CourseDeg), "trackMagnetic": value(r.CourseMagneticDeg), "speed": kmh(r.SpeedKnots), "faa": word(byte(r.Mode), theirModes)}
	case ZDA:
		return map[string]any{"time": clock(ymd(r.Date()), r.Time)}
	case GNS:
		return map[string]any{"time": clock(nil, r.Time), "lat": deg(r.Lat), "lon": deg(r.Lon), "mode": r.Modes, "satsUsed": integer(r.SatellitesUsed), "hdop": value(r.HDOP),
			"alt": value(r.AltitudeM), "sep": value(r.GeoidM), "diffAge": value(r.DifferentialAgeS), "diffStation": integer(r.StationID), "navStatus": word(byte(r.NavStatus), theirNav)}
	case GST:
		return map[string]any{"time": clock(nil, r.Time), "rms": value(r.RangeRMSM), "ellipseMajor": value(r.MajorM), "ellipseMinor": value(r.MinorM),
			"ellipseOrientation": value(r.OrientationDeg), "latitudeError": value(r.LatM), "longitudeError": value(r.LonM), "heightError": value(r.AltitudeM)}
	case TXT:
		return map[string]any{"total": integer(r.Total), "index": integer(r.Number), "id": integer(r.ID), "message": r.Text}
	case GBS:
		var satellite any
		if r.Satellite > 0 {
			satellite = float64(r.Satellite)
		}
		return map[string]any{"time": clock(nil, r.Time), "errLat": value(r.LatM), "errLon": value(r.LonM), "errAlt": value(r.AltitudeM), "failedSat": satellite,
			"probFailedSat": value(r.MissedProbability), "biasFailedSat": value(r.BiasM), "stdFailedSat": value(r.BiasDeviationM), "systemId": integer(r.SystemID), "signalId": integer(r.SignalID)}
	case GRS:
		residuals := []any{}
		for _, v := range r.ResidualsM {
			if v.IsKnown() {
				residuals = append(residuals, value(v))
			}
		}
		return map[string]any{"time": clock(nil, r.Time), "mode": integer(r.Recomputed), "res": residuals}
	case HDT:
		return map[string]any{"heading": value(r.HeadingDeg)}
	}
	return nil
}

// theirSignal: a hexadecimal digit is not a number there (NaN, so null).
func theirSignal(v wholes) any {
	if id, ok := v.Get(); ok && id < 10 {
		return float64(id)
	}
	return nil
}

func theirSatellites(r GSV, value func(decimals) any) any {
	list := []any{}
	for _, v := range r.Seen() {
		list = append(list, []any{float64(v.ID), value(v.ElevationDeg), value(v.AzimuthDeg), value(v.CN0DBHz)})
	}
	return list
}

// numbersOf reduces the oracle's satellites to what both sides give.
func numbersOf(satellites any) any {
	list := []any{}
	for _, one := range satellites.([]any) {
		m := one.(map[string]any)
		list = append(list, []any{m["prn"], m["elevation"], m["azimuth"], m["snr"]})
	}
	return list
}
