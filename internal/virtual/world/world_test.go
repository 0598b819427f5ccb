package world

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// TestBuiltinWorlds: each file is listed, loads, tells its truth and plants it.
func TestBuiltinWorlds(t *testing.T) {
	files, err := filepath.Glob("worlds/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no worlds found: %v", err)
	}
	var onDisk, listed []string
	for _, f := range files {
		onDisk = append(onDisk, strings.TrimSuffix(filepath.Base(f), ".yaml"))
	}
	for _, e := range Builtin() {
		listed = append(listed, e.Name)
	}
	if listed[0] != "healthy" {
		t.Errorf("the first world is %q: want the healthy one", listed[0])
	}
	slices.Sort(listed)
	if !slices.Equal(onDisk, listed) {
		t.Errorf("the list and the folder differ:\nlist   %v\nfolder %v", listed, onDisk)
	}
	planted := map[string]bool{}
	for _, e := range Builtin() {
		w, err := Load(e.Name, e.Source)
		if err != nil {
			t.Error(err)
			continue
		}
		planted[w.Truth] = true
		if w.Name != e.Name {
			t.Errorf("%s.yaml says its name is %q", e.Name, w.Name)
		}
		if w.Truth == "none" && len(w.Faults) > 0 {
			t.Errorf("%s has faults and says its truth is none", w.Name)
		}
		for _, s := range w.Faults {
			if f, _ := FaultNamed(s.Fault); f.Truth != w.Truth {
				t.Errorf("%s plants %s (%s) and says its truth is %s", w.Name, s.Fault, f.Truth, w.Truth)
			}
		}
		if w.Story == "" {
			t.Errorf("%s tells no story", w.Name)
		}
	}
	for _, truth := range Truths {
		if !planted[truth] {
			t.Errorf("no built-in world plants %s", truth)
		}
	}
}

// TestHealthyIsTheDefault: the file that shows every key and the defaults agree.
func TestHealthyIsTheDefault(t *testing.T) {
	w, _, ok := Named("healthy")
	if !ok {
		t.Fatal("there is no healthy world")
	}
	if got, want := w.Conditions, (Default()); !reflect.DeepEqual(got, want) {
		t.Errorf("worlds/healthy.yaml and Default differ:\n%+v\n%+v", got, want)
	}
}

// TestHealthyShowsEveryKey: it is the file to start one's own from.
func TestHealthyShowsEveryKey(t *testing.T) {
	src := string(Builtin()[0].Source)
	for _, key := range pageKeys("", reflect.TypeFor[Conditions]()) {
		last := key[strings.LastIndex(key, ".")+1:]
		// What is empty in a good world is left out of it.
		if key == "sky.horizon_deg" || strings.HasPrefix(key, "sky.obstacles") || slices.Contains([]string{"from_deg", "to_deg", "up_to_deg", "loss_db"}, key) {
			continue
		}
		if !strings.Contains(src, last+":") {
			t.Errorf("worlds/healthy.yaml does not show %s", key)
		}
	}
}

// TestFaultsAndFiles: one file per fault, each listed, each with its effect.
func TestFaultsAndFiles(t *testing.T) {
	files, _ := filepath.Glob("fault_*.go")
	var onDisk []string
	for _, f := range files {
		name := strings.TrimSuffix(strings.TrimPrefix(f, "fault_"), ".go")
		onDisk = append(onDisk, strings.ReplaceAll(name, "_", "-"))
	}
	listed := faultNames()
	slices.Sort(listed)
	slices.Sort(onDisk)
	if !slices.Equal(listed, onDisk) {
		t.Errorf("faults.go and the files differ:\nlist  %v\nfiles %v", listed, onDisk)
	}
	for _, f := range Faults {
		before, after := Default(), Default()
		if f.Apply != nil {
			f.Apply(&after, Params{})
		}
		if f.Moves != nil {
			f.Moves(&after, Params{}, f.Step)
		}
		if brings := f.Arrives != nil && len(f.Arrives(Params{}, 0)) > 0; reflect.DeepEqual(before, after) && !brings {
			t.Errorf("%s changes nothing", f.Name)
		}
		if (f.Moves == nil) != (f.Step == 0) {
			t.Errorf("%s moves without a step, or has a step and does not move", f.Name)
		}
		if !reflect.DeepEqual(before, Default()) {
			t.Errorf("%s changed more than its copy", f.Name)
		}
		if !slices.Contains(Truths, f.Truth) || f.Truth == "none" {
			t.Errorf("%s has the truth %q, which no judge knows", f.Name, f.Truth)
		}
		w := &World{Name: "x", Title: "x", Truth: f.Truth, Start: mustTime(t), Conditions: after}
		if f.Name == "supply-dip" || f.Name == "supply-gone" {
			continue // too low to start with is their point
		}
		if p := w.Validate(); len(p) > 0 {
			t.Errorf("%s leads to conditions that cannot be: %v", f.Name, p)
		}
	}
}

const head = "name: x\ntitle: x\ntruth: none\nstart: 2026-03-04T10:15:00Z\n"

// TestProblems: what is wrong is said with line, column and what would fit.
// The positions were counted by hand.
func TestProblems(t *testing.T) {
	for _, c := range []struct{ src, want string }{
		{head + "antena_gnss: good\n", `f.yaml:5:1: antena_gnss: there is no key "antena_gnss"; the nearest is "antenna_gnss"`},
		{head + "card:\n  present: true\n  tires_left: 2\n", `f.yaml:7:3: card.tires_left: there is no key "tires_left"; the nearest is "tries_left"`},
		{head + "card: {pin: 12a4}\n", `f.yaml:5:13: card.pin: "12a4" does not fit: want 4 to 8 digits`},
		{head + "card: {tries_left: 9}\n", `f.yaml:5:20: card.tries_left: 9 does not fit: want 0 to 3`},
		{head + "card: 7\n", `f.yaml:5:7: card: found "7": want keys: present, contact, lock, busy_s, pin, tries_left, puk, puk_tries_left, number, imsi, contract, store`},
		{head + "sky: {view: opne}\n", `f.yaml:5:13: sky.view: "opne" is not known; the nearest is "open"`},
		{head + "sky: {mask_deg: five}\n", `f.yaml:5:17: sky.mask_deg: found "five": want a number`},
		{head + "sky: {mask_deg: .nan}\n", `f.yaml:5:17: sky.mask_deg: found something else: want a number`},
		{head + "line: {baud: 9600.5}\n", `f.yaml:5:14: line.baud: found "9600.5": want a whole number`},
		{head + "faults:\n  - {fault: no-crad}\n", `f.yaml:6:13: faults[0].fault: "no-crad" is not known; the nearest is "no-card"`},
		{head + "faults:\n  - {fault: no-card, loss_db: 3}\n", `f.yaml:6:31: faults[0].loss_db: the fault no-card does not take it; it takes no figure`},
		{head + "faults:\n  - {fault: no-card, at_s: 9, until_s: 3}\n", `f.yaml:6:40: faults[0].until_s: 3 s does not fit: want more than at_s (9 s), or 0 for good`},
		{head + "faults: no-card\n", `f.yaml:5:9: faults: found "no-card": want a list`},
		{head + "gnss: {backup: perhaps}\n", `f.yaml:5:16: gnss.backup: found "perhaps": want true or false`},
		{"name: x\ntitle: x\ntruth: none\nstart: today\n", `f.yaml:4:8: start: found "today": want a date and time as 2026-03-04T10:15:00Z`},
		{"title: x\ntruth: none\nstart: 2026-03-04T10:15:00Z\n", `f.yaml: name: "" does not fit: want small letters, digits and hyphens`},
		{"", `f.yaml: the file is empty: want keys such as name, title, story, truth`},
		{head + "---\nname: y\n", `f.yaml:6:1: a second document begins here: want one in a file`},
		{head + "card: &c {pin: \"1234\"}\n", `f.yaml:5:7: card: found an anchor, alias or tag: want keys: present, contact, lock, busy_s, pin, tries_left, puk, puk_tries_left, number, imsi, contract, store`},
		{head + "route: [{at_s: 5}, {at_s: 5}]\n", `f.yaml:5:27: route[1].at_s: 5 s does not fit: want more than the point before (5 s)`},
		{head + "route: [{at_s: 0}, {at_s: 10, lat_deg: 1}]\n", `f.yaml:5:21: route[1]: is 110574 m away and 10 s later, 39807 km/h: want at most 1200 km/h`},
		{head + "faults:\n  - {fault: no-card, event: regisered}\n", `f.yaml:6:29: faults[0].event: "regisered" is not known; the nearest is "registered"`},
		{head + "faults:\n  - {fault: no-card, again: true}\n", `f.yaml:6:29: faults[0].again: has a meaning only with event`},
		{head + "gnss: {rate_hz: 3}\n", `f.yaml:5:17: gnss.rate_hz: 3 Hz does not fit: want a rate whose period is whole milliseconds`},
		{head + "incoming: {texts: [{from: \"0170\"}]}\n", ""},
		{head + "incoming: {calls: [{from: moor}]}\n", `f.yaml:5:27: incoming.calls[0].from: "moor" does not fit: want + and the country code first`},
		{head + "supply: {voltage_v: 3}\n", `f.yaml:5:21: supply.voltage_v: 3 V leaves less than restart_below_v (3.3 V) at rest: the module would never start`},
	} {
		_, err := Load("f.yaml", []byte(c.src))
		if c.want == "" {
			if err != nil {
				t.Errorf("%q: %v", c.src, err)
			}
			continue
		}
		var problems Problems
		if !errors.As(err, &problems) {
			t.Errorf("%q: got %v; want %s", c.src, err, c.want)
			continue
		}
		if got := problems[0].Error(); got != c.want {
			t.Errorf("%q:\ngot  %s\nwant %s", c.src, got, c.want)
		}
	}
}

// TestEveryProblemIsSaid: one mistake does not hide the next.
func TestEveryProblemIsSaid(t *testing.T) {
	_, err := Load("f", []byte(head+"sky: {veiw: open}\ncard: {presnt: true}\nlien: {}\n"))
	var problems Problems
	if !errors.As(err, &problems) || len(problems) != 3 {
		t.Errorf("three mistakes gave: %v", err)
	}
}

// TestZerosOfCodesStay: an unquoted 0042 is text with its zeros, not the number 34 or 42.
func TestZerosOfCodesStay(t *testing.T) {
	w, err := Load("f", []byte(head+"card: {pin: 0042}\noperators: [{long: A, short: A, numeric: 00101}]\n"))
	if err != nil {
		t.Fatal(err)
	}
	if w.Card.PIN != "0042" || w.Operators[0].Numeric != "00101" {
		t.Errorf("got PIN %q, network %q", w.Card.PIN, w.Operators[0].Numeric)
	}
}

func FuzzLoad(f *testing.F) {
	for _, e := range Builtin() {
		f.Add(e.Source)
	}
	f.Add([]byte("a: &b [*b]"))
	f.Add([]byte("- - - -\n? x\n"))
	f.Add([]byte(head + "faults: [{fault: no-card, every_s: 1e300, for_s: 1e-300}]"))
	f.Fuzz(func(t *testing.T, src []byte) {
		w, err := Load("f", src)
		if err == nil {
			w.Begin(1).NextChange(0)
			if p := w.Validate(); len(p) > 0 {
				t.Errorf("loaded, and then not valid: %v", p)
			}
		}
	})
}

func readRepoFile(t *testing.T, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "..", name))
	if err != nil {
		t.Fatal(err)
	}
	return text
}
