package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// examples says what each recording in examples/ must show: written by hand,
// before the rules. A file that is not listed here fails the test.
var examples = []struct {
	file  string
	rule  string // the rule that must find the planted fault; "" for a clean recording
	line  int    // the line of the file it must quote first
	text  string // part of that line
	cause string // what must rank first; "" when no cause in the list stands for it
}{
	{"trailer-03-early-text.txt", "smsprompt", 8, "trailer 03 left the yard", "early-text"},
	{"trailer-05-one-second-waits.log", "shortwait", 12, "AT+CSQ", "overlap"},
	{"trailer-07-blank-texts.txt", "blanktext", 15, "trailer 07 battery low", "blank-text-parameters"},
	{"trailer-09-void-fix.capture", "voidfix", 0, "geo:0.000000,0.000000", "void-fix-used"},
	{"trailer-11-degrees-minutes.capture", "degreesminutes", 0, "geo:52.184412,8.372290", "degrees-as-decimals"},
	{"trailer-12-restart-on-transmit.capture", "restartload", 22, "DEMO READY", "supply-sags"},
	{"trailer-14-wrong-speed.capture", "wrongspeed", 3, "", "wrong-speed"},
	{"trailer-15-store-full.txt", "storefull", 15, "20,20", "store-full"},
	{"trailer-16-under-the-roof.nmea", "heardnotused", 0, "$GPGSV", "no-sky"},
	{"trailer-18-old-date.nmea", "weekrollover", 1, "190706", ""},
	{"trailer-20-denied.txt", "denied", 14, "+CREG: 3,3", "registration-denied"},
	{"trailer-21-text-loop.log", "textloop", 0, "unknown command", "own-text-loop"},
	{"trailer-22-clean-night.capture", "", 0, "", ""},
	{"trailer-24-west-became-east.capture", "hemisphere", 0, "geo:51.710217,3.307367", "hemisphere-lost"},
	{"trailer-26-pin-loop.txt", "fewtries", 8, "AT+CPIN", "pin-wanted"},
	{"trailer-27-clean-window.txt", "", 0, "", ""},
	{"trailer-28-same-place-again.log", "stalefix", 0, "52.307353,8.620483", ""},
}

// reviewed is the part of the JSON that these tests read.
type reviewed struct {
	Headline string
	Chain    []struct{ Link, State, Says string }
	Findings []struct {
		Rule, Severity string
		Evidence       []struct {
			Line *int
			Text string
		}
	}
	Causes []struct {
		Cause       string
		Probability float64
	}
}

func runJSON(t *testing.T, args ...string) (v reviewed, status int) {
	t.Helper()
	var out, errs bytes.Buffer
	status = run(append(args, "--json", "--show-private"), &streams{In: strings.NewReader(""), Out: &out, Err: &errs})
	if errs.Len() > 0 {
		t.Fatalf("%v said: %s", args, errs.String())
	}
	if err := json.Unmarshal(out.Bytes(), &v); err != nil {
		t.Fatalf("%v: %v\n%s", args, err, out.String())
	}
	return v, status
}

func TestExamples(t *testing.T) {
	for _, e := range examples {
		t.Run(e.file, func(t *testing.T) {
			v, status := runJSON(t, "review", filepath.Join("../../examples", e.file))
			if e.rule == "" {
				clean(t, v, status)
				return
			}
			if status != statusFound {
				t.Errorf("exit status %d, want %d", status, statusFound)
			}
			found := false
			for _, f := range v.Findings {
				first := f.Evidence[0]
				if f.Rule == e.rule && strings.Contains(first.Text, e.text) && (e.line == 0 || first.Line != nil && *first.Line == e.line) {
					found = true
				}
			}
			if !found {
				t.Errorf("no finding of %s quotes line %d with %q first; found: %+v", e.rule, e.line, e.text, v.Findings)
			}
			if e.cause != "" && (len(v.Causes) == 0 || v.Causes[0].Cause != e.cause) {
				t.Errorf("first cause: want %s, got %+v", e.cause, v.Causes)
			}
		})
	}
}

// clean wants nothing above a note, no broken or weak link, no cause.
func clean(t *testing.T, v reviewed, status int) {
	t.Helper()
	if status != statusFine {
		t.Errorf("exit status %d, want 0", status)
	}
	for _, f := range v.Findings {
		if f.Severity != "note" {
			t.Errorf("a false %s: %s: %+v", f.Severity, f.Rule, f.Evidence)
		}
	}
	for _, l := range v.Chain {
		if l.State != "holds" && l.State != "not shown" {
			t.Errorf("link %s is %s: %s", l.Link, l.State, l.Says)
		}
	}
	if len(v.Causes) > 0 {
		t.Errorf("a cause for nothing: %+v", v.Causes)
	}
}

// TestEveryExampleIsHeld compares the table with the folder and its README.
func TestEveryExampleIsHeld(t *testing.T) {
	listed := map[string]bool{"README.md": true, "trailer-23-two-files": true}
	for _, e := range examples {
		listed[e.file] = true
	}
	entries, err := os.ReadDir("../../examples")
	if err != nil {
		t.Fatal(err)
	}
	readme, err := os.ReadFile("../../examples/README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range entries {
		if !listed[f.Name()] {
			t.Errorf("examples/%s is in no test: add a row to the table in examples_test.go", f.Name())
		}
		if f.Name() != "README.md" && !strings.Contains(string(readme), f.Name()) {
			t.Errorf("examples/%s is not described in examples/README.md", f.Name())
		}
	}
}
