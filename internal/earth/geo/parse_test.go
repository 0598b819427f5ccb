package geo

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestParseSpellings: one place near Quellmoor, 51 degrees 42.613 minutes north,
// 0 degrees 18.442 minutes west, in every spelling. The decimal form is
// 51 + 42.613/60 and 18.442/60, by hand.
func TestParseSpellings(t *testing.T) {
	const (
		lat, lon = 51 + 42.613/60, -18.442 / 60
		fine     = 1e-9
		six      = 0.51e-6 // written with six decimals
		four     = 0.51e-4
		second   = 0.51 / 3600
	)
	for _, row := range []struct {
		text     string
		spelling string
		within   float64
	}{
		{"51.710217,-0.307367", DecimalDegrees, six},
		{"51.710217, -0.307367", DecimalDegrees, six},
		{"51.710217 -0.307367", DecimalDegrees, six},
		{"+51.710217 -0.307367", DecimalDegrees, six},
		{"(51.7102, -0.3074)", DecimalDegrees, four},
		{"[51.7102,-0.3074]", DecimalDegrees, four},
		{"51.710217\n-0.307367", DecimalDegrees, six},
		{"51.710217 / -0.307367", DecimalDegrees, six},
		{"51.710217\u00b0, \u22120.307367\u00b0", DecimalDegrees, six},
		{"N51.710217 W0.307367", DecimalDegrees, six},
		{"N 51.710217, W 0.307367", DecimalDegrees, six},
		{"51.710217N,0.307367W", DecimalDegrees, six},
		{"51.710217 N 0.307367 W", DecimalDegrees, six},
		{"51.710217n 0.307367w", DecimalDegrees, six},
		{"51.710217N0.307367W", DecimalDegrees, six},
		{"51.710217 north, 0.307367 west", DecimalDegrees, six},
		{"0.307367 W, 51.710217 N", DecimalDegrees, six},
		{"51,710217; -0,307367", DecimalDegrees, six},
		{"51,710217 -0,307367", DecimalDegrees, six},
		{"51,710217,-0,307367", DecimalDegrees, six},
		{"51,710217 / -0,307367", DecimalDegrees, six},
		{"Lat: 51.710217 Lon: -0.307367", DecimalDegrees, six},
		{"latitude=51.710217, longitude=-0.307367", DecimalDegrees, six},
		{"LAT 51.710217\r\nLNG -0.307367", DecimalDegrees, six},
		{"lon -0.307367 lat 51.710217", DecimalDegrees, six},
		{`{"lat":51.710217,"lon":-0.307367}`, DecimalDegrees, six},
		{"Lat: N 51.710217 Lon: W 0.307367", DecimalDegrees, six},

		{"51 42.613 N 0 18.442 W", DegreesMinutes, fine},
		{"51 42.613 N, 000 18.442 W", DegreesMinutes, fine},
		{"N51 42.613 W0 18.442", DegreesMinutes, fine},
		{"51 42.613 -0 18.442", DegreesMinutes, fine},
		{"51\u00b042.613'N 0\u00b018.442'W", DegreesMinutes, fine},
		{"51\u00b0 42.613\u2032 N, 0\u00b0 18.442\u2032 W", DegreesMinutes, fine},
		{"51\u00ba42.613\u2019N 0\u00ba18.442\u2019W", DegreesMinutes, fine},
		{"51\xb042.613'N 0\xb018.442'W", DegreesMinutes, fine}, // a Latin-1 log
		{"51d42.613m N 0d18.442m W", DegreesMinutes, fine},
		{"51 deg 42.613 min N, 0 deg 18.442 min W", DegreesMinutes, fine},
		{"51:42.613N 0:18.442W", DegreesMinutes, fine},
		{"5142.613N 00018.442W", DegreesMinutes, fine},
		{"N5142.613 W00018.442", DegreesMinutes, fine},
		{"5142.6130,-00018.4420", DegreesMinutes, fine},

		{"51 42 36.78 N 0 18 26.52 W", DegreesSeconds, fine},
		{"51 42 36.78 -0 18 26.52", DegreesSeconds, fine},
		{"51\u00b042'36.78\"N 0\u00b018'26.52\"W", DegreesSeconds, fine},
		{"51\u00b042'36.78''N 0\u00b018'26.52''W", DegreesSeconds, fine},
		{"51\u00b0 42\u2032 36.78\u2033 N 0\u00b0 18\u2032 26.52\u2033 W", DegreesSeconds, fine},
		{"51\u00b042'37\" -0\u00b018'27\"", DegreesSeconds, second},
		{"51d42m36.78s N, 0d18m26.52s W", DegreesSeconds, fine},
		{"51D42M37SN 0D18M27SW", DegreesSeconds, second},
		{"51:42:36.78N 0:18:26.52W", DegreesSeconds, fine},
		{"51 degrees 42 minutes 36.78 seconds north, 0 degrees 18 minutes 26.52 seconds west", DegreesSeconds, fine},

		// ISO 6709, annex H forms, from memory.
		{"+51.710217-000.307367/", DecimalDegrees, six},
		{"+5142.613-00018.442/", DegreesMinutes, fine},
		{"+514236.78-0001826.52/", DegreesSeconds, fine},

		// IEC 61162-1, RMC fields 3 to 6.
		{"5142.6130,N,00018.4420,W", SentenceFields, fine},
		{"5142.61300,N,00018.44200,W", SentenceFields, fine},
		{"5142.6130, N, 00018.4420, W", SentenceFields, fine},

		{"geo:51.710217,-0.307367", GeoURISpelling, six},
		{"GEO:51.710217,-0.307367;crs=WGS84;u=12.5", GeoURISpelling, six},
		{"https://map.example/?q=51.710217,-0.307367", WebLink, six},
		{"https://map.example/?q=51.710217%2C-0.307367&z=15", WebLink, six},
		{"https://map.example/@51.710217,-0.307367,15z", WebLink, six},
		{"http://map.example/show?lat=51.710217&lon=-0.307367", WebLink, six},
		{"http://map.example/show?z=3&mlat=51.710217&mlon=-0.307367#x", WebLink, six},
		{"https://map.example/#15/51.710217/-0.307367", WebLink, six},
	} {
		r, err := Parse(row.text)
		if err != nil {
			t.Errorf("%q: %v", row.text, err)
			continue
		}
		if math.Abs(r.Point.LatDeg-lat) > row.within || math.Abs(r.Point.LonDeg-lon) > row.within || r.Spelling != row.spelling {
			t.Errorf("%q: %.9f %.9f %s, want %.9f %.9f %s", row.text, r.Point.LatDeg, r.Point.LonDeg, r.Spelling, lat, lon, row.spelling)
		}
		if !strings.Contains(row.text, r.LatText) || !strings.Contains(row.text[r.At:r.At+r.Len], r.LonText) || r.LatText == "" {
			t.Errorf("%q: texts %q and %q at %d+%d", row.text, r.LatText, r.LonText, r.At, r.Len)
		}
	}
}

func TestParseSays(t *testing.T) {
	for _, row := range []struct {
		text string
		want func(r Reading) bool
	}{
		{"geo:48.2010,16.3695,183", func(r Reading) bool { return r.HasAltitude && r.AltitudeM == 183 && !r.HasUncertainty }},
		{"geo:48.2,16.3;u=40", func(r Reading) bool { return !r.HasAltitude && r.HasUncertainty && r.UncertaintyM == 40 }},
		{"+51.7102-000.3073+87.5/", func(r Reading) bool { return r.HasAltitude && r.AltitudeM == 87.5 }},
		{"51.71,-0.307367", func(r Reading) bool { return r.Digits == 2 && r.StepDeg == 0.01 }},
		{"51 42.613 N 0 18.442 W", func(r Reading) bool { return r.Digits == 3 && math.Abs(r.StepDeg-0.001/60) < 1e-18 }},
		{"51.7102; -0.3073", func(r Reading) bool { return len(r.Notes) == 0 }},
		{"51,7102; -0,3073", func(r Reading) bool { return strings.Contains(r.Notes[0], "comma") }},
		{"0.3 W 51.7 N", func(r Reading) bool { return strings.Contains(r.Notes[0], "longitude stands first") }},
		{"51.7 N, -0.3 W", func(r Reading) bool { return r.Point.LonDeg == -0.3 && len(r.Notes) == 1 }},
		{"142.6130,N,18.4420,W", func(r Reading) bool {
			return math.Abs(r.Point.LatDeg-(1+42.613/60)) < 1e-12 && strings.Contains(r.Notes[0], "leading zeros")
		}},
		{"0 18.442 S 0 18.442 W", func(r Reading) bool { return r.Point.LatDeg < 0 && r.Point.LonDeg < 0 }},
	} {
		r, err := Parse(row.text)
		if err != nil || !row.want(r) {
			t.Errorf("%q: %+v %v", row.text, r, err)
		}
	}
}

// TestParseRefuses: where the text stops making sense, and what would have fitted.
func TestParseRefuses(t *testing.T) {
	for _, row := range []struct {
		text string
		at   int
		want string
	}{
		{"", 0, "a position"},
		{"  ", 2, "a position"},
		{"no fix", 0, "a latitude and a longitude"},
		{"51.7", 4, "number"},
		{"51.7102,", 8, "number"},
		{"91.0,0.0", 0, "latitude of at most 90"},
		{"51.7,180.1", 5, "longitude of at most 180"},
		{"51 60.0 N 0 18.4 W", 0, "minutes below 60"},
		{"51 42 60 N 0 18 26 W", 0, "seconds below 60"},
		{"51.7 N 0.3 N", 12, "other axis"},
		{"51.7102,-0.3073 speed 3", 16, "the end"},
		{"geo:51.7", 8, "a comma"},
		{"geo:+51.7,0", 4, "a latitude"},
		{"geo:95,0", 4, "latitude of at most 90"},
		{"geo:51.7,-0.3;u=-4", 13, "the end"},
		{"geo:1,2;crs=moon-2011", 8, "wgs84"},
		{"https://map.example/", 0, "in the link"},
		{"https://map.example/?q=51.7102,-0.3073&r=48.2,16.3", 41, "one position"},
		{strings.Repeat("5", 5000), maxParse, "at most"},
	} {
		_, err := Parse(row.text)
		var syntax *SyntaxError
		if !errors.As(err, &syntax) || syntax.At != row.at || !strings.Contains(syntax.Want, row.want) {
			t.Errorf("%.60q: %v, want byte %d and %q", row.text, err, row.at, row.want)
		}
	}
}

// TestFormatsReadBack: every format reads back within half a step, and never
// shows 60 minutes or seconds.
func TestFormatsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := points("p").Draw(t, "p")
		if rapid.Bool().Draw(t, "just below a whole minute") {
			p.LatDeg = math.Round(p.LatDeg*60)/60 - 1e-11
		}
		decimals := rapid.IntRange(0, 7).Draw(t, "decimals")
		marks := rapid.SampledFrom([]Marks{Blanks, Signs}).Draw(t, "marks")
		step := math.Pow10(-decimals)
		for _, form := range []struct {
			text    string
			stepDeg float64
		}{
			{FormatDecimal(p, decimals), step},
			{FormatDM(p, decimals, marks), step / 60},
			{FormatDMS(p, decimals, marks), step / 3600},
			{FormatSentence(p, decimals), step / 60},
			{FormatGeoURI(p, decimals), step},
		} {
			r, err := Parse(form.text)
			if err != nil {
				t.Fatalf("%q: %v", form.text, err)
			}
			offLon := math.Abs(math.Remainder(r.Point.LonDeg-p.LonDeg, 360))
			if math.Abs(r.Point.LatDeg) == 90 {
				offLon = 0 // geo: writes longitude 0 at a pole
			}
			if limit := form.stepDeg/2 + 1e-12; math.Abs(r.Point.LatDeg-p.LatDeg) > limit || offLon > limit {
				t.Fatalf("%v as %q reads back as %v", p, form.text, r.Point)
			}
			if r.Digits != decimals {
				t.Fatalf("%q: %d digits, want %d", form.text, r.Digits, decimals)
			}
		}
	})
}

func TestFormats(t *testing.T) {
	for _, row := range []struct{ got, want string }{
		{FormatDecimal(Point{51.7102166, -0.3073666}, 6), "51.710217,-0.307367"},
		{FormatDecimal(Point{-0.0000001, 0}, 6), "0.000000,0.000000"},
		{FormatDM(Point{51.71021666, -0.30736666}, 3, Blanks), "51 42.613 N 0 18.442 W"},
		{FormatDM(Point{51.71021666, -0.30736666}, 3, Signs), "51\u00b042.613'N 0\u00b018.442'W"},
		{FormatDMS(Point{51.71021666, -0.30736666}, 2, Blanks), "51 42 36.78 N 0 18 26.52 W"},
		{FormatSentence(Point{51.71021666, -0.30736666}, 4), "5142.6130,N,00018.4420,W"},
		{FormatSentence(Point{-5.0000001, 179.9999999}, 4), "0500.0000,S,18000.0000,E"},
		{FormatSentence(Point{math.NaN(), math.NaN()}, 4), ",,,"},
		{FormatDM(Point{59.99999999, 0}, 4, Blanks), "60 00.0000 N 0 00.0000 E"}, // round, then cut
		{FormatDMS(Point{59.99999999, 0}, 1, Blanks), "60 00 00.0 N 0 00 00.0 E"},
		{FormatGeoURI(Point{90, 12}, 1), "geo:90.0,0.0"}, // RFC 5870, clause 3.4.2
		{FormatMetres(0.83), "0.8 m"}, {FormatMetres(42.4), "42 m"}, {FormatMetres(5217), "5.2 km"}, {FormatMetres(1460123), "1460 km"},
		{Point{51.7, -0.3}.String(), "51.700000,-0.300000"},
	} {
		if row.got != row.want {
			t.Errorf("%q, want %q", row.got, row.want)
		}
	}
}

func TestGeoURIRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := URI{Point: points("p").Draw(t, "p")}
		if u.HasAltitude = rapid.Bool().Draw(t, "has altitude"); u.HasAltitude {
			u.AltitudeM = float64(rapid.IntRange(-11000, 9000).Draw(t, "altitude"))
		}
		if u.HasUncertainty = rapid.Bool().Draw(t, "has uncertainty"); u.HasUncertainty {
			u.UncertaintyM = float64(rapid.IntRange(0, 9000).Draw(t, "uncertainty"))
		}
		for range rapid.IntRange(0, 3).Draw(t, "parameters") {
			u.Params = append(u.Params, Param{
				Name: rapid.StringMatching(`x[a-z0-9-]{0,5}`).Draw(t, "name"), HasValue: true,
				Value: string(rapid.SliceOfN(rapid.Byte(), 1, 6).Draw(t, "value")),
			})
		}
		text := u.Format(9)
		again, err := ParseGeoURI(text)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if same, err := CompareGeoURI(text, again.Format(9)); same != Same || err != nil {
			t.Fatalf("%q and %q: %v %v", text, again.Format(9), same, err)
		}
		if again.AltitudeM != u.AltitudeM || again.UncertaintyM != u.UncertaintyM || len(again.Params) != len(u.Params) {
			t.Fatalf("%+v became %+v", u, again)
		}
	})
}

func TestTemplate(t *testing.T) {
	p := Point{51.7102166, -0.3073666}
	for _, row := range []struct{ template, want string }{
		{"https://map.example/?q={lat},{lon}", "https://map.example/?q=51.71022,-0.30737"},
		{"https://map.example/{lon}/{lat}", "https://map.example/-0.30737/51.71022"},
		{"geo:{lat},{lon}?q={lat},{lon}", "geo:51.71022,-0.30737?q=51.71022,-0.30737"},
	} {
		tmpl, err := ParseTemplate(row.template)
		if err != nil || tmpl.Link(p, 5) != row.want {
			t.Errorf("%s: %q %v", row.template, tmpl.Link(p, 5), err)
		}
	}
	for _, row := range []struct {
		template string
		at       int
	}{
		{"", 0}, {"map.example/{lat},{lon}", 0}, {"javascript:{lat}{lon}", 0},
		{"https://map.example/?q={lat}, {lon}", 29}, {"https://map.example/?q={lat},{long}", 29},
		{"https://map.example/?q={lat}", 28}, {"https://map.example/?q={lat},{lon", 29},
		{"https://map.example/?q={lat},{lon}\u00b0", 34}, {"https://" + strings.Repeat("x", 200), 140},
	} {
		_, err := ParseTemplate(row.template)
		var syntax *SyntaxError
		if !errors.As(err, &syntax) || syntax.At != row.at {
			t.Errorf("%.50s: %v, want byte %d", row.template, err, row.at)
		}
	}
	if got := (Template{}).Link(p, 5); got != "" {
		t.Errorf("no template gives %q", got)
	}
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{
		"51.710217,-0.307367", "51 42.613 N 0 18.442 W", "51\u00b042'36.78\"N 0\u00b018'26.52\"W", "5142.6130,N,00018.4420,W",
		"+514236.78-0001826.52+9/", "51,7;-0,3", "Lat: 1 Lon: 2", "geo:1,2,3;crs=wgs84;u=4;a=%20", "http://x.example/?q=1.5,2.5", "30U XC 99454 29924",
		"51\xb042'", "N N", "geo:", "1 2 3 4 5 6 7", "d m s", "\u2212\u2212",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := Parse(text)
		if r.At < 0 || r.Len < 0 || r.At+r.Len > len(text) {
			t.Fatalf("%q: reading at %d+%d", text, r.At, r.Len)
		}
		if err != nil {
			var syntax *SyntaxError
			if !errors.As(err, &syntax) || syntax.At < 0 || syntax.At > len(text) || syntax.Want == "" || err.Error() == "" {
				t.Fatalf("%q: %v", text, err)
			}
			return
		}
		if !r.Point.Valid() || r.Spelling == "" || r.LatText == "" || r.LonText == "" || r.Len == 0 || r.StepDeg <= 0 {
			t.Fatalf("%q: %+v", text, r)
		}
		again, err := Parse(FormatDecimal(r.Point, MaxDecimals))
		if err != nil || DistanceM(again.Point, r.Point) > 1e-3 {
			t.Fatalf("%q: %v written and read again is %v %v", text, r.Point, again.Point, err)
		}
	})
}
