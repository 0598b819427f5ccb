package yamlfile

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// A gate has one of each kind of value that our files use.
type gate struct {
	Name   string         `yaml:"name"`
	Open   bool           `yaml:"open"`
	Posts  int            `yaml:"posts"`
	Serial uint64         `yaml:"serial"`
	WidthM float64        `yaml:"width_m"`
	Built  time.Time      `yaml:"built"`
	Limit  limit          `yaml:"limit"`
	Extra  paint          `yaml:",inline"`
	Boards []board        `yaml:"boards"`
	Waits  map[string]int `yaml:"waits"`
	Lock   *paint         `yaml:"lock"`
	Hidden int
}

type paint struct {
	Colour string `yaml:"colour"`
}

type board struct {
	LengthM float64 `yaml:"length_m"`
}

// limit reads JSON by itself, as a value that may be not known does.
type limit struct {
	v     float64
	known bool
}

func (l *limit) UnmarshalJSON(b []byte) error {
	l.known = true
	return json.Unmarshal(b, &l.v)
}

func TestDecode(t *testing.T) {
	g := gate{Posts: 2, WidthM: 4}
	f := Decode("g.yaml", []byte(`
name: 0042 # a comment
open: true
serial: 18446744073709551615
width_m:
built: 2026-03-04T10:15:00Z
limit: 3
colour: >-
  green
  and blue
boards: [{length_m: 3.5}, {length_m: 2}]
waits: {noon: 5}
lock: {colour: "7"}
`), &g)
	if err := f.Err(); err != nil {
		t.Fatal(err)
	}
	want := gate{Name: "0042", Open: true, Posts: 2, Serial: math.MaxUint64, WidthM: 4, Built: time.Date(2026, 3, 4, 10, 15, 0, 0, time.UTC),
		Limit: limit{3, true}, Extra: paint{"green and blue"}, Boards: []board{{3.5}, {2}}, Waits: map[string]int{"noon": 5}, Lock: &paint{"7"}}
	if diff := cmp.Diff(want, g, cmp.AllowUnexported(limit{})); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
}

// Every problem is told with its place; the places were counted by hand.
func TestProblems(t *testing.T) {
	for _, c := range []struct{ name, src, want string }{
		{"near", "nmae: x\n", `g.yaml:1:1: nmae: there is no key "nmae"; the nearest is "name"`},
		{"not near", "wheels: x\n", `g.yaml:1:1: wheels: there is no key "wheels": want one of name, open, posts, serial, width_m, built, limit, colour, boards, waits, lock`},
		{"twice", "open: true\nopen: true\n", `g.yaml:2:1: this is no YAML: mapping key "open" already defined at [1:1]`},
		{"a name twice", "waits:\n  a: 1\n  a: 2\n", `g.yaml:3:3: this is no YAML: mapping key "a" already defined at [2:3]`},
		{"no yes or no", "open: perhaps\n", `g.yaml:1:7: open: found "perhaps": want true or false`},
		{"no whole number", "posts: 2.5\n", `g.yaml:1:8: posts: found "2.5": want a whole number`},
		{"below zero", "serial: -1\n", `g.yaml:1:9: serial: found "-1": want a whole number, 0 or more`},
		{"a number in quotes", "width_m: '4'\n", `g.yaml:1:10: width_m: found "4": want a number`},
		{"no finite number", "width_m: .nan\n", `g.yaml:1:10: width_m: found something else: want a number`},
		{"far too large", "width_m: 1e999\n", `g.yaml:1:10: width_m: found "1e999": want a number`},
		{"no date", "built: today\n", `g.yaml:1:8: built: found "today": want a date and time as 2026-03-04T10:15:00Z`},
		{"no limit", "limit: high\n", `g.yaml:1:8: limit: found "high": want a number`},
		{"no list", "boards: 3\n", `g.yaml:1:9: boards: found "3": want a list`},
		{"no keys", "boards:\n  - 3\n", `g.yaml:2:5: boards[0]: found "3": want keys: length_m`},
		{"no names", "waits: 3\n", `g.yaml:1:8: waits: found "3": want names with values`},
		{"keys for a text", "name: {a: b}\n", `g.yaml:1:8: name: found keys: want text`},
		{"a list for a text", "name: [a]\n", `g.yaml:1:7: name: found a list: want text`},
		{"an anchor", "name: &x y\n", `g.yaml:1:7: name: found an anchor, alias or tag: want text`},
		{"empty", "# nothing\n", `g.yaml: the file is empty: want keys such as name, open, posts, serial`},
		{"two documents", "name: x\n---\nname: y\n", `g.yaml:3:1: a second document begins here: want one in a file`},
		{"two mistakes", "posts: x\nopen: x\n", "g.yaml:1:8: posts: found \"x\": want a whole number\ng.yaml:2:7: open: found \"x\": want true or false"},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := Decode("g.yaml", []byte(c.src), &gate{}).Err()
			if err == nil || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
			var one *Problem
			if !errors.As(err, &one) || one.File != "g.yaml" {
				t.Errorf("%v holds no problem of g.yaml", err)
			}
		})
	}
}

// Limits are told, not run into.
func TestLimits(t *testing.T) {
	type nest struct {
		In *nest `yaml:"in"`
	}
	deep := strings.Repeat("{in: ", MaxDepth+3) + "{}" + strings.Repeat("}", MaxDepth+3)
	if err := Decode("n", []byte(deep), &nest{}).Err(); err == nil || !strings.Contains(err.Error(), "want at most 16") {
		t.Error(err)
	}
	if err := Decode("n", make([]byte, MaxBytes+1), &nest{}).Err(); err == nil || !strings.Contains(err.Error(), "1048577 bytes: want at most 1048576") {
		t.Error(err)
	}
	wide := "boards: [" + strings.Repeat("{},", MaxItems+1) + "]"
	if err := Decode("n", []byte(wide), &gate{}).Err(); err == nil || !strings.Contains(err.Error(), "10001 items: want at most 10000") {
		t.Error(err)
	}
	var problems Problems
	if err := Decode("n", []byte("boards: ["+strings.Repeat("1,", 100)+"]"), &gate{}).Err(); !errors.As(err, &problems) || len(problems) != MaxProblems {
		t.Errorf("%d problems are told: want %d", len(problems), MaxProblems)
	}
}

// Callers ask where a key stands; one that was left out stands where its parent does.
func TestPlace(t *testing.T) {
	f := Decode("g.yaml", []byte("lock:\n  colour: red\nboards:\n  - {length_m: 3}\n"), &gate{})
	for _, c := range []struct {
		key          string
		line, column int
	}{
		{"lock.colour", 2, 11}, {"lock", 1, 1}, {"lock.key", 1, 1}, {"boards[0].length_m", 4, 16}, {"boards[0]", 4, 6}, {"boards[3].length_m", 3, 1}, {"open", 0, 0},
	} {
		if line, column := f.Place(c.key); line != c.line || column != c.column {
			t.Errorf("%s stands at %d:%d: want %d:%d", c.key, line, column, c.line, c.column)
		}
	}
	f.Add("lock.colour", "red", "green", "")
	if got := f.Err().Error(); got != "g.yaml:2:11: lock.colour: red: want green" {
		t.Error(got)
	}
}

func TestNearest(t *testing.T) {
	for _, test := range []struct{ word, want string }{
		{"banners", "banners"}, {"baners", "banners"}, {"suplpy", "supply"}, {"xyz", ""}, {"", ""},
	} {
		if got := Nearest(test.word, []string{"supply", "banners", "duties"}); got != test.want {
			t.Errorf("Nearest(%q) = %q: want %q", test.word, got, test.want)
		}
	}
}

// FuzzDecode: no file makes it panic, and every problem has words.
func FuzzDecode(f *testing.F) {
	f.Add([]byte("name: x\nboards: [{length_m: 2}]\nwaits: {a: 1}\nlock: {}\n"))
	f.Add([]byte("a: &b [*b]\n"))
	f.Add([]byte("? x\n: y\n- - -\n"))
	f.Add([]byte("<<: {name: x}\nname: !!binary aGk=\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		err := Decode("f", src, &gate{}).Err()
		if err != nil && !strings.HasPrefix(err.Error(), "f:") {
			t.Errorf("%v does not name its file", err)
		}
	})
}
