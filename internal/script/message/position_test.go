package message

import (
	"math"
	"slices"
	"strings"
	"testing"

	"firstfix/internal/earth/geo"
	"firstfix/internal/wire/sms"

	"pgregory.net/rapid"
)

var yard = Fix{Point: geo.Point{LatDeg: 51.710217, LonDeg: -0.307367}, AltitudeM: 86, HasAltitude: true}

// TestDecimals: 1e-5 degree of latitude is 1.1 m: a degree of the meridian is 110.6 to 111.7 km
// long (WGS 84), and one of the equator 111.3 km.
func TestDecimals(t *testing.T) {
	for accuracyM, want := range map[float64]int{5: 5, 2.5: 5, 1.2: 5, 1: 6, 12: 4, 120: 3, 0.2: 6, 0.1: 7, 100_000: 1, 0.001: 9} {
		if got, err := Decimals(accuracyM); err != nil || got != want {
			t.Errorf("%g m: %d decimals, %v; want %d", accuracyM, got, err, want)
		}
	}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1), 1e9} {
		if n, err := Decimals(bad); err == nil {
			t.Errorf("%g m: %d decimals", bad, n)
		}
	}
}

func TestDesign(t *testing.T) {
	d, err := DesignPosition(yard, 5, "https://example.org/?at={lat},{lon}", "{name} {web} {time}", map[string]string{"name": "trailer 07", "time": "10:15Z"})
	if err != nil {
		t.Fatal(err)
	}
	if d.Decimals != 5 || d.Minutes != 3 || math.Abs(d.StepLatM-1.113) > 0.005 {
		t.Errorf("%+v", d)
	}
	for _, want := range []struct {
		name, sample, worst string
		units               int
	}{
		{"plain degrees", "51.71022,-0.30737", "-89.99999,-179.99999", 20},
		{"geo: URI", "geo:51.71022,-0.30737", "geo:-89.99999,-179.99999", 24}, // RFC 5870 3.3
		{"web link", "https://example.org/?at=51.71022,-0.30737", "https://example.org/?at=-89.99999,-179.99999", 44},
		{"degrees and minutes", "51 42.613 N 0 18.442 W", "89 59.999 S 179 59.999 W", 24},
		{"degrees and minutes with signs", "51°42.613'N 0°18.442'W", "89°59.999'S 179°59.999'W", 24},
	} {
		i := slices.IndexFunc(d.Forms, func(f Form) bool { return f.Name == want.name })
		if f := d.Forms[max(i, 0)]; i < 0 || f.Sample != want.sample || f.Worst != want.worst || f.Units != want.units || !f.Fits || f.Source == "" || f.Recognised == "" {
			t.Errorf("%s: %+v", want.name, f)
		}
		if room := map[bool]int{true: 70, false: 160}[strings.Contains(want.name, "signs")]; d.Forms[max(i, 0)].Room != room {
			t.Errorf("%s: room %d", want.name, d.Forms[max(i, 0)].Room)
		}
	}
	if d.Template.Sample != "trailer 07 https://example.org/?at=51.71022,-0.30737 10:15Z" || d.Template.WorstParts != 1 {
		t.Errorf("%+v", d.Template)
	}
	long, err := DesignPosition(yard, 5, "https://example.org/?at={lat},{lon}", strings.Repeat("words ", 23)+"{web}", nil)
	if err != nil || long.Template.Parts != 2 || long.Template.WorstParts != 2 || long.Template.WorstCharactersToSave != 6*23+44-160 || len(long.Template.LinksCut) != 0 {
		t.Errorf("%v %+v", err, long.Template)
	}
	cutIt, err := DesignPosition(yard, 5, "https://example.org/?at={lat},{lon}", strings.Repeat("words!", 20)+"{web}", nil)
	if err != nil || len(cutIt.Template.LinksCut) != 1 {
		t.Errorf("%v %+v", err, cutIt.Template)
	}
}

// TestWorstIsWorst: no place on earth takes more characters than the one the room is
// worked out for, and the geo: link reads back as the same place (RFC 5870 3.4.2).
func TestWorstIsWorst(t *testing.T) {
	d, err := DesignPosition(yard, 5, "https://example.org/{lat}/{lon}", "", nil)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(rt *rapid.T) {
		p := geo.Point{LatDeg: rapid.Float64Range(-89.9999, 89.9999).Draw(rt, "lat"), LonDeg: rapid.Float64Range(-179.9999, 179.9999).Draw(rt, "lon")}
		accuracyM := rapid.SampledFrom([]float64{0.05, 1, 5, 50, 5000}).Draw(rt, "accuracy")
		here, err := DesignPosition(Fix{Point: p}, accuracyM, "https://example.org/{lat}/{lon}", "", nil)
		if err != nil {
			rt.Fatal(err)
		}
		for i, f := range here.Forms {
			if n := sms.Measure(f.Sample).Units; n > f.Units || f.Name != d.Forms[i].Name {
				rt.Fatalf("%s: %q takes %d, the worst %q %d", f.Name, f.Sample, n, f.Worst, f.Units)
			}
		}
		u, err := geo.ParseGeoURI(here.Forms[1].Sample)
		if err != nil || geo.DistanceM(u.Point, p) > accuracyM {
			rt.Fatalf("%q is %.2f m away, %v", here.Forms[1].Sample, geo.DistanceM(u.Point, p), err)
		}
	})
}

func TestParseFix(t *testing.T) {
	for _, c := range []struct {
		text     string
		lat, lon float64
		alt      float64
		has      bool
	}{
		{"51.710217,-0.307367", 51.710217, -0.307367, 0, false}, {"51.710217,-0.307367,86", 51.710217, -0.307367, 86, true}, {" 51.5 , -0.3 , 86m ", 51.5, -0.3, 86, true},
		{"geo:51.5,-0.3,12", 51.5, -0.3, 12, true}, {"51 42.613 N 0 18.442 W", 51 + 42.613/60, -18.442 / 60, 0, false},
	} {
		f, err := ParseFix(c.text)
		if err != nil || math.Abs(f.Point.LatDeg-c.lat) > 1e-9 || math.Abs(f.Point.LonDeg-c.lon) > 1e-9 || f.AltitudeM != c.alt || f.HasAltitude != c.has {
			t.Errorf("%q: %+v, %v", c.text, f, err)
		}
	}
	for _, bad := range []string{"", "0,0", "91,0", "51.5", "51.5,-0.3,high", "51.5,-0.3,99999", "51.5,-0.3,NaN", "hello"} {
		if f, err := ParseFix(bad); err == nil {
			t.Errorf("%q: %+v", bad, f)
		}
	}
}

func TestFill(t *testing.T) {
	values := map[string]string{"name": "trailer 07", "time": "10:15Z", "battery": "87%"}
	text, used, err := Fill("{name}: {lat};{lon} {alt} m {pos} {geo} {dm} {time} {battery} {{x}", yard, 5, "", values)
	want := "trailer 07: 51.71022;-0.30737 86 m 51.71022,-0.30737 geo:51.71022,-0.30737 51 42.613 N 0 18.442 W 10:15Z 87% {x}"
	if err != nil || text != want || len(used) != 9 {
		t.Errorf("%q, %q, %v", text, used, err)
	}
	for template, want := range map[string]string{"{speed}": "no value", "{lat": "without }", "{nosuch}": "{nosuch}: want one of", "{web}": "no value", "{}": "want one of"} {
		if _, _, err := Fill(template, yard, 5, "", values); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", template, err)
		}
	}
	if _, _, err := Fill("{alt}", Fix{Point: yard.Point}, 5, "", nil); err == nil {
		t.Error("an altitude that is not known was written")
	}
}

func TestLinkProblems(t *testing.T) {
	for text, want := range map[string]string{
		"see https://example.org/a":             "",
		"see https://example.org/a.":            "ends with '.'",
		"see https://example.org/a_b":           "other codes",
		"see http://example.org/":               "unprotected",
		"see:https://example.org/":              "no blank",
		"see https://example.org/\u00e9":        "does not belong",
		"geo:51.71022,-0.30737 is the place":    "",
		"at geo:51.71022,-0.30737, in the yard": "ends with ','",
	} {
		got := strings.Join(linkProblems(text), "; ")
		if want == "" && got != "" || !strings.Contains(got, want) {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

func FuzzFill(f *testing.F) {
	for _, s := range []string{"{name} {geo}", "{{", "{", "}", "{lat}{lon}{alt}{pos}{dm}{time}", "{web}"} {
		f.Add(s, "https://example.org/{lat},{lon}", 51.5, -0.3)
	}
	f.Fuzz(func(t *testing.T, template, web string, lat, lon float64) {
		fix := Fix{Point: geo.Point{LatDeg: lat, LonDeg: lon}}
		if !fix.Point.Valid() {
			return
		}
		text, _, err := Fill(template, fix, 5, web, map[string]string{"name": "x", "time": "y"})
		if err == nil && !strings.Contains(template, "{") && text != template {
			t.Fatalf("%q became %q", template, text)
		}
		DesignPosition(fix, 5, web, template, map[string]string{"name": "x", "time": "y"})
	})
}
