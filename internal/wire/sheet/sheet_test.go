package sheet

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"reflect"
	"slices"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"firstfix/internal/wire/at"
	"firstfix/internal/yamlfile"
)

func TestBuiltins(t *testing.T) {
	for _, name := range Names() {
		s, ok := Builtin(name)
		if !ok || s.Name != name {
			t.Fatalf("Builtin(%q) = %v, %v", name, s, ok)
		}
		if _, ok := s.Duty(PositionOn); !ok {
			t.Errorf("%s cannot switch its position engine on", name)
		}
		for duty, d := range s.Duties {
			// 27.007 gives one vendor-free set; a vendor command in it would be a lie.
			if name == "standard" && !strings.HasPrefix(d.Send, "AT+CMOLR") && !strings.HasPrefix(d.Send, "AT+CPOSR") {
				t.Errorf("standard: %s sends %q, which is not of TS 27.007 8.50 or 8.56", duty, d.Send)
			}
			if name == "demo" && !strings.HasPrefix(d.Send, "AT+DEMO") {
				t.Errorf("demo: %s sends %q", duty, d.Send)
			}
		}
	}
	if _, ok := Builtin("../sheet"); ok {
		t.Error("Builtin found what is not built in")
	}
}

// The parameters of +CMOLR stand in the order of TS 27.007 table 8.50-1: enable,
// method, hor-acc-set, hor-acc, ver-req, ver-acc-set, ver-acc, vel-req, rep-mode,
// timeout, interval. The interval must not be shorter than the timeout.
func TestStandardPositionOnFollowsTable850(t *testing.T) {
	s, _ := Builtin("standard")
	d, _ := s.Duty(PositionOn)
	values := strings.Split(strings.TrimPrefix(d.Send, "AT+CMOLR="), ",")
	want := []string{"1", "0", "0", "", "0", "", "", "0", "1", "10", "10"}
	if !slices.Equal(values, want) {
		t.Errorf("%q has %q: want %q", d.Send, values, want)
	}
}

func TestLoadSaysWhere(t *testing.T) {
	for _, test := range []struct {
		name, src string
		want      []string // each a problem, as printed
	}{
		{"unknown key", "sheet: x\ndutys: {}\n", []string{
			`x.yaml:2:1: dutys: there is no key "dutys"; the nearest is "duties"`}},
		{"nothing near", "sheet: x\nwheels: 4\n", []string{
			`x.yaml:2:1: wheels: there is no key "wheels": want one of sheet, title, version, source, notes, supply, banners, line_end, max_wait_ms, duties`}},
		{"two mistakes, both told", "sheet: x\nsuply: {}\nbaners: []\n", []string{
			`x.yaml:2:1: suply: there is no key "suply"; the nearest is "supply"`,
			`x.yaml:3:1: baners: there is no key "baners"; the nearest is "banners"`}},
		{"nested", "sheet: x\nduties:\n  position.on:\n    sent: AT\n", []string{
			`x.yaml:4:5: duties.position.on.sent: there is no key "sent"; the nearest is "send"`}},
		{"unknown duty", "sheet: x\nduties:\n  positon.on: {send: AT+X}\n", []string{
			`x.yaml:3:3: duties.positon.on: unknown duty "positon.on": want one of ` + strings.Join(dutyNames, ", ") + `; the nearest is "position.on"`}},
		{"a text where a number belongs", "sheet: x\nsupply:\n  min_v: three\n", []string{
			`x.yaml:3:10: supply.min_v: found "three": want a number`}},
		{"a word not in the list", "sheet: x\nbanners: [{text: UP, means: redy}]\n", []string{
			`x.yaml:2:29: banners[0].means: "redy": want one of ready, undervoltage, overvoltage, power-down, card-ready; the nearest is "ready"`}},
		{"key twice", "sheet: x\nsheet: y\n", nil},
		{"a line end inside a command", "sheet: x\nduties:\n  sleep.on: {send: \"AT+X\\r\"}\n", []string{
			`x.yaml:3:20: duties.sleep.on.send: "AT+X\r": want printable ASCII without a line end`}},
		{"fields without fields", "sheet: x\nduties:\n  position.read: {send: AT+X?, answer: {shape: fields, prefix: +X}}\n", []string{
			`x.yaml:3:32: duties.position.read.answer: shape "fields" with 0 fields: want shape: fields together with a list of fields`}},
		{"upside down supply", "sheet: x\nsupply: {min_v: 4.2, max_v: 3.4}\n", []string{
			`x.yaml:2:29: supply.max_v: 3.4: want more than min_v, 4.2`}},
		{"broken YAML", "sheet: [x\n", nil},
		{"empty", "", []string{"x.yaml: the file is empty: want keys such as sheet, title, version, source"}},
		{"two documents", "sheet: x\n---\nsheet: y\n", []string{"x.yaml:3:1: a second document begins here: want one in a file"}},
		{"alias", "sheet: x\ntitle: &a t\nnotes: *a\n", nil},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, err := Load("x.yaml", []byte(test.src))
			if err == nil {
				t.Fatalf("Load took it: %+v", s)
			}
			var p *yamlfile.Problem
			if !errors.As(err, &p) || p.File != "x.yaml" {
				t.Errorf("%v is no *yamlfile.Problem of x.yaml", err)
			}
			if test.want != nil && err.Error() != strings.Join(test.want, "\n") {
				t.Errorf("Load says\n%v\nwant\n%s", err, strings.Join(test.want, "\n"))
			}
		})
	}
}

// Positions as the demo sheet spells them. The worked degrees are those of the
// trailer's yard in our invented world; 51°42.613' = 51.710217° by hand.
func TestReadPosition(t *testing.T) {
	demo, _ := Builtin("demo")
	p, err := demo.ReadPosition(answer("+DEMOPOS", "1,040326,101530.25,51.7102167,-0.3073667,86.5,12.5,271.0,0.9,9"))
	if err != nil {
		t.Fatal(err)
	}
	wantUTC := time.Date(2026, 3, 4, 10, 15, 30, 250e6, time.UTC)
	if utc, ok := p.UTC.Get(); !ok || !utc.Equal(wantUTC) {
		t.Errorf("UTC %v: want %v", p.UTC, wantUTC)
	}
	if got := fmt.Sprint(p.Valid, p.LatDeg, p.LonDeg, p.AltitudeM, p.SpeedKMH, p.CourseDeg, p.HDOP, p.Satellites); got != "true 51.7102167 -0.3073667 86.5 12.5 271 0.9 9" {
		t.Errorf("read %s", got)
	}

	// Empty fields are not known, never zero.
	p, err = demo.ReadPosition(answer("+DEMOPOS", "0,,,,,,,,,0"))
	if err != nil {
		t.Fatal(err)
	}
	if p.LatDeg.IsKnown() || p.UTC.IsKnown() || p.SpeedKMH.IsKnown() {
		t.Errorf("empty fields became known: %+v", p)
	}
	if valid, ok := p.Valid.Get(); !ok || valid {
		t.Errorf("valid is %v: want false, known", p.Valid)
	}

	// One bad field costs that field and no other.
	p, err = demo.ReadPosition(answer("+DEMOPOS", "1,040326,101530,95.0,-0.3,86,1,2,0.9,9"))
	if err == nil || !strings.Contains(err.Error(), `+DEMOPOS field 4 (lat_deg) "95.0": want a number from -90 to 90`) {
		t.Errorf("error %v", err)
	}
	if p.LatDeg.IsKnown() || !p.LonDeg.IsKnown() {
		t.Errorf("latitude %v, longitude %v", p.LatDeg, p.LonDeg)
	}

	standard, _ := Builtin("standard")
	if _, err := standard.ReadPosition(answer("+CMOLRN", "x")); !errors.Is(err, ErrNoPosition) {
		t.Errorf("standard has no fields to read, error %v", err)
	}
}

// NMEA 0183 writes 51°42.613' north as 5142.613,N and 0°18.442' west as
// 00018.442,W: 51.7102167 and -0.3073667 degrees.
func TestDegreesAndMinutes(t *testing.T) {
	a := Answer{Shape: Fields, Prefix: "+X", Fields: []Field{{Name: "lat_ddmm"}, {Name: "lat_ns"}, {Name: "lon_dddmm"}, {Name: "lon_ew"}, {Name: "speed_knots"}}}
	p, err := readFields(a, answer("+X", "5142.613,N,00018.442,W,22.4").Params)
	if err != nil {
		t.Fatal(err)
	}
	lat, _ := p.LatDeg.Get()
	lon, _ := p.LonDeg.Get()
	if math.Abs(lat-51.710216667) > 1e-9 || math.Abs(lon+0.307366667) > 1e-9 {
		t.Errorf("read %v %v", lat, lon)
	}
	// 1 knot is exactly 1852 m an hour.
	if v, _ := p.SpeedKMH.Get(); math.Abs(v-41.4848) > 1e-9 {
		t.Errorf("22.4 knots are %v km/h: want 41.4848", v)
	}
	if _, err := readFields(a, answer("+X", "5160.0,N,00018.442,W,1").Params); err == nil {
		t.Error("60 minutes were taken")
	}
}

// Whatever position a module has, writing it as the demo sheet says and reading it gives it back.
func TestPositionRoundTrip(t *testing.T) {
	demo, _ := Builtin("demo")
	rapid.Check(t, func(t *rapid.T) {
		lat := float64(rapid.IntRange(-900000000, 900000000).Draw(t, "lat")) / 1e7
		lon := float64(rapid.IntRange(-1800000000, 1800000000).Draw(t, "lon")) / 1e7
		at := time.Unix(rapid.Int64Range(946684800, 3155760000).Draw(t, "utc"), 0).UTC()
		text := fmt.Sprintf("1,%s,%s,%.7f,%.7f,,,,,", at.Format("020106"), at.Format("150405.00"), lat, lon)
		p, err := demo.ReadPosition(answer("+DEMOPOS", text))
		if err != nil {
			t.Fatal(err)
		}
		gotLat, _ := p.LatDeg.Get()
		gotLon, _ := p.LonDeg.Get()
		utc, _ := p.UTC.Get()
		// The two-digit year is read into 1969 to 2068.
		if gotLat != lat || gotLon != lon || utc.Format("0102150405") != at.Format("0102150405") {
			t.Fatalf("%s read as %v %v %v", text, gotLat, gotLon, utc)
		}
	})
}

// The schema for editors says the same as the loader.
func TestSchema(t *testing.T) {
	schema := loadSchema(t, "../../../docs/formats/sheet.schema.json")
	for _, name := range Names() {
		src, _ := builtin.ReadFile(name + ".yaml")
		if err := schema.Validate(asJSON(t, src)); err != nil {
			t.Errorf("%s.yaml: %v", name, err)
		}
	}
	for _, bad := range []string{"sheet: x\nwheels: 4\n", "sheet: x\nduties: {fly: {send: AT}}\n", "title: no name\n"} {
		if schema.Validate(asJSON(t, []byte(bad))) == nil {
			t.Errorf("the schema takes %q", bad)
		}
	}
	raw, err := os.ReadFile("../../../docs/formats/sheet.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Properties map[string]any `json:"properties"`
		Defs       map[string]struct {
			Properties map[string]any `json:"properties"`
			Enum       []string       `json:"enum"`
		} `json:"$defs"`
	}
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	same(t, "sheet", keysOf(reflect.TypeFor[Sheet]()), mapKeys(doc.Properties))
	same(t, "supply", keysOf(reflect.TypeFor[Supply]()), mapKeys(doc.Defs["supply"].Properties))
	same(t, "current", keysOf(reflect.TypeFor[Current]()), mapKeys(doc.Defs["current"].Properties))
	same(t, "banner", keysOf(reflect.TypeFor[Banner]()), mapKeys(doc.Defs["banner"].Properties))
	same(t, "duty", keysOf(reflect.TypeFor[Duty]()), mapKeys(doc.Defs["duty"].Properties))
	same(t, "answer", keysOf(reflect.TypeFor[Answer]()), mapKeys(doc.Defs["answer"].Properties))
	same(t, "field", keysOf(reflect.TypeFor[Field]()), mapKeys(doc.Defs["field"].Properties))
	same(t, "field names", FieldNames(), doc.Defs["fieldName"].Enum)
	same(t, "duty names", dutyNames, doc.Defs["dutyName"].Enum)
	same(t, "meanings", meanings, doc.Defs["meaning"].Enum)
	same(t, "shapes", shapes, doc.Defs["shape"].Enum)
}

// docs/formats/sheet.md names every duty and every field.
func TestDocument(t *testing.T) {
	doc, err := os.ReadFile("../../../docs/formats/sheet.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, word := range append(append(slices.Clone(dutyNames), FieldNames()...), append(meanings, shapes...)...) {
		if !strings.Contains(string(doc), "`"+word+"`") {
			t.Errorf("docs/formats/sheet.md does not say what `%s` is", word)
		}
	}
}

func FuzzLoad(f *testing.F) {
	for _, name := range Names() {
		src, _ := builtin.ReadFile(name + ".yaml")
		f.Add(src)
	}
	f.Add([]byte("sheet: x\nduties: {position.on: {send: \"AT+X=\\\"\"}}\n"))
	f.Add([]byte("sheet: *a\n"))
	f.Add([]byte("- - - - - - - - - - - - - - - - - - - x"))
	f.Add([]byte("sheet: x\n? {a: b}\n: c\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		s, err := Load("f.yaml", src)
		if err == nil && s.Name == "" {
			t.Error("a sheet without a name was taken")
		}
		if err != nil && err.Error() == "" {
			t.Error("an error that says nothing")
		}
	})
}

// answer is what wire/at makes of "+NAME: values"; spelt out here so that this
// package's tests speak only of this package.
func answer(name, values string) at.Answer {
	a := at.Answer{Name: name, Text: values}
	for _, v := range strings.Split(values, ",") {
		a.Params = append(a.Params, at.Param{Text: v, Empty: v == ""})
	}
	return a
}

func loadSchema(t *testing.T, path string) *jsonschema.Schema {
	t.Helper()
	schema, err := jsonschema.NewCompiler().Compile(path)
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

func asJSON(t *testing.T, src []byte) any {
	t.Helper()
	b, err := yaml.YAMLToJSON(src)
	if err != nil {
		t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(strings.NewReader(string(b)))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func keysOf(s reflect.Type) (keys []string) {
	for i := range s.NumField() {
		keys = append(keys, s.Field(i).Tag.Get("yaml"))
	}
	return keys
}

func mapKeys(m map[string]any) (keys []string) {
	for k := range m {
		keys = append(keys, k)
	}
	return keys
}

func same(t *testing.T, what string, a, b []string) {
	t.Helper()
	a, b = slices.Clone(a), slices.Clone(b)
	sort.Strings(a)
	sort.Strings(b)
	if !slices.Equal(a, b) {
		t.Errorf("%s: the code has %q, the schema %q", what, a, b)
	}
}
