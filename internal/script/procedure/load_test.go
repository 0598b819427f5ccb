package procedure

import (
	"encoding/json"
	"errors"
	"os"
	"reflect"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"firstfix/internal/wire/sheet"
	"firstfix/internal/yamlfile"
)

func TestLoadExample(t *testing.T) {
	src, err := os.ReadFile("testdata/send-position.yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := Load("send-position.yaml", src)
	if err != nil {
		t.Fatal(err)
	}
	demo, _ := sheet.Builtin("demo")
	m, err := New(p, Options{Sheet: demo, Spend: 1, Values: map[string]string{"number": "+12025550143"}})
	if err != nil {
		t.Fatal(err)
	}
	ok := func(afterMS int) []said { return []said{{afterMS, "\r\nOK\r\n"}} }
	f := &module{answers: map[string][]said{
		"AT\r": ok(20), "AT+CMEE=1\r": {{10, "\r\nERROR\r\n"}}, "AT+CMGF=1\r": ok(10), "AT+CSMP=17,167,0,0\r": ok(10), "AT+DEMOGNSS=1\r": ok(10),
		"AT+CREG?\r":                               {{10, "\r\n+CREG: 0,5\r\n\r\nOK\r\n"}},
		"AT+DEMOPOS?\r":                            {{10, "\r\n+DEMOPOS: 1,040326,101530.00,51.7102167,-0.3073667,86.5,0.0,,0.9,9\r\n\r\nOK\r\n"}},
		"AT+CMGS=\"+12025550143\"\r":               {{10, "\r\n> "}},
		"trailer 07 geo:51.7102167,-0.3073667\x1a": {{4000, "\r\n+CMGS: 1\r\n\r\nOK\r\n"}},
	}}
	got := f.run(t, m, false, 0)
	if !strings.Contains(got, `> trailer 07 geo:51.7102167,-0.3073667\x1a`) || m.Outcome() != OK || m.Spent() != 1 {
		t.Errorf("outcome %s, spent %d:\n%s", m.Outcome(), m.Spent(), got)
	}
}

func TestLoadSaysWhere(t *testing.T) {
	for _, test := range []struct{ name, src, want string }{
		{"unknown key", "procedure: x\nsteps: [{sned: AT}]\n", `x.yaml:2:10: steps[0].sned: there is no key "sned"; the nearest is "send"`},
		{"goto nowhere", "procedure: x\nsteps:\n  - {name: poll, send: AT, on: {failed: goto pool}}\n", `x.yaml:3:41: steps[0].on.failed: no step "pool": want the name of a step; the nearest is "poll"`},
		{"no branch", "procedure: x\nsteps:\n  - {send: AT, on: {failed: contniue}}\n", `x.yaml:3:29: steps[0].on.failed: "contniue": want continue, stop, done, or goto with a step's name; the nearest is "continue"`},
		{"no steps", "procedure: x\nsteps: []\n", `x.yaml:2:1: steps: 0 steps: want 1 to 1000`},
		{"nothing to do", "procedure: x\nsteps: [{name: idle}]\n", `x.yaml:2:10: steps[0]: a step that does nothing: want send, duty, await or pause_ms`},
		{"text forgotten", "procedure: x\nsteps: [{send: 'AT+CMGS=\"+12025550143\"'}]\n", `x.yaml:2:10: steps[0]: "AT+CMGS=\"+12025550143\"" without text: want text: or cancel: true; else the module stays in text entry`},
		{"text for nothing", "procedure: x\nsteps: [{send: AT+CSQ, text: hi}]\n", `x.yaml:2:10: steps[0]: text for "AT+CSQ": want a command that asks for text: +CMGS, +CMGW, +CMGC`},
		{"two of one name", "procedure: x\nsteps: [{name: a, send: AT}, {name: a, send: AT}]\n", `x.yaml:2:37: steps[1].name: "a" again: want each name once`},
		{"await two things", "procedure: x\nsteps: [{await: {line: +CMTI, sentence: RMC}}]\n", `x.yaml:2:10: steps[0].await: 2 things to await: want one of line, sentence, quiet_ms, and no number below 0`},
		{"a number below 0", "procedure: x\nsteps: [{send: AT, tries: -1}]\n", `x.yaml:2:27: steps[0].tries: -1: want 0 or more`},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := Load("x.yaml", []byte(test.src))
			var p *yamlfile.Problem
			if !errors.As(err, &p) || err.Error() != test.want {
				t.Errorf("Load says\n%v\nwant\n%s", err, test.want)
			}
		})
	}
}

// The schema for editors knows the same keys as the loader.
func TestSchema(t *testing.T) {
	const path = "../../../docs/formats/procedure.schema.json"
	schema, err := jsonschema.NewCompiler().Compile(path)
	if err != nil {
		t.Fatal(err)
	}
	validate := func(src []byte) error {
		b, err := yaml.YAMLToJSON(src)
		if err != nil {
			t.Fatal(err)
		}
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(string(b)))
		if err != nil {
			t.Fatal(err)
		}
		return schema.Validate(v)
	}
	src, err := os.ReadFile("testdata/send-position.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if err := validate(src); err != nil {
		t.Error(err)
	}
	if validate([]byte("procedure: x\nsteps: [{sned: AT}]\n")) == nil {
		t.Error("the schema takes an unknown key")
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	type object struct {
		Properties map[string]any `json:"properties"`
	}
	var doc struct {
		object
		Defs map[string]object `json:"$defs"`
	}
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		what string
		t    reflect.Type
		in   map[string]any
	}{
		{"procedure", reflect.TypeFor[Procedure](), doc.Properties},
		{"budget", reflect.TypeFor[Budget](), doc.Defs["budget"].Properties},
		{"step", reflect.TypeFor[Step](), doc.Defs["step"].Properties},
		{"await", reflect.TypeFor[Await](), doc.Defs["await"].Properties},
		{"until", reflect.TypeFor[Until](), doc.Defs["until"].Properties},
		{"capture", reflect.TypeFor[Capture](), doc.Defs["capture"].Properties},
		{"on", reflect.TypeFor[On](), doc.Defs["on"].Properties},
	} {
		var code, file []string
		for i := range x.t.NumField() {
			code = append(code, x.t.Field(i).Tag.Get("yaml"))
		}
		for k := range x.in {
			file = append(file, k)
		}
		sort.Strings(code)
		sort.Strings(file)
		if !slices.Equal(code, file) {
			t.Errorf("%s: the code has %q, the schema %q", x.what, code, file)
		}
	}
}

// docs/formats/procedure.md names every key.
func TestDocument(t *testing.T) {
	doc, err := os.ReadFile("../../../docs/formats/procedure.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []reflect.Type{reflect.TypeFor[Procedure](), reflect.TypeFor[Budget](), reflect.TypeFor[Step](), reflect.TypeFor[Await](), reflect.TypeFor[Until](), reflect.TypeFor[Capture](), reflect.TypeFor[On]()} {
		for i := range s.NumField() {
			if key := s.Field(i).Tag.Get("yaml"); !strings.Contains(string(doc), "`"+key+"`") {
				t.Errorf("docs/formats/procedure.md does not say what `%s` is", key)
			}
		}
	}
}

func FuzzLoad(f *testing.F) {
	src, err := os.ReadFile("testdata/send-position.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(src)
	f.Add([]byte("procedure: x\nsteps: [{send: AT}]\n"))
	f.Add([]byte("procedure: x\nsteps: [{send: \"AT+CMGS={\", text: x}]\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		p, err := Load("f.yaml", src)
		if err != nil {
			return
		}
		m, err := New(p, Options{})
		if err != nil {
			t.Fatalf("Load took what New refuses: %v", err)
		}
		if out := m.Tick(0, nil); strings.Contains(string(out), "+CMGS=") {
			t.Errorf("a text left without the person's word: %q", out)
		}
	})
}
