package bringup

import (
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"sort"
	"strings"
	"testing"

	"firstfix/internal/judge/rules"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/intake"
)

// TestFixtures reviews each dialogue of testdata. What should follow stands in the file,
// written by hand: "^ card: broken: …" under the record that shows it, "^ cause: a, b" for
// the causes that must lead in that order ("none": there is nothing to explain), "^ among:
// a, b" for causes that must be among the first three, "^ next: …", "^ headline: …", and
// "^ saw: lamp=fast" for what a person adds. A
// link that is broken or weak without being expected fails.
func TestFixtures(t *testing.T) {
	led := map[string]bool{}
	files, err := filepath.Glob("testdata/*/*.talk")
	if err != nil || len(files) == 0 {
		t.Fatal("no fixtures", err)
	}
	for _, file := range files {
		t.Run(strings.TrimPrefix(file, "testdata/"), func(t *testing.T) {
			v, expected := reviewTalk(t, file)
			checkChain(t, v, expected)
			for _, e := range expected {
				checkExpectation(t, v, e)
			}
			for i, c := range v.Causes {
				led[c.Name] = led[c.Name] || i == 0 || i < 3 && named(expected, "among", c.Name) || i < 2 && named(expected, "cause", c.Name)
			}
			checkSound(t, v)
		})
	}
	// The dialogues in which a rule fires show the causes that the rule speaks for.
	for _, c := range Causes {
		if led[c.Name] {
			continue
		}
		for _, r := range c.Rules() {
			files, _ := filepath.Glob("../rules/" + r.Name + "/testdata/fires*.talk")
			for _, file := range files {
				v, _ := reviewTalk(t, file)
				led[c.Name] = led[c.Name] || len(v.Causes) > 0 && v.Causes[0].Name == c.Name
			}
		}
		if !led[c.Name] {
			t.Errorf("cause %s: no dialogue in testdata, or in that of its rules, shows it in front", c.Name)
		}
	}
}

// TestRulesLeadToTheirCauses: in the dialogue in which a rule fires, one of the causes that
// it speaks for is shown.
func TestRulesLeadToTheirCauses(t *testing.T) {
	for _, r := range rules.All {
		var speaksFor []string
		for _, c := range Causes {
			if slices.Contains(c.Rules(), r) {
				speaksFor = append(speaksFor, c.Name)
			}
		}
		files, _ := filepath.Glob("../rules/" + r.Name + "/testdata/fires*.talk")
		for _, file := range files {
			v, _ := reviewTalk(t, file)
			ok := len(speaksFor) == 0
			for _, c := range v.Causes {
				ok = ok || slices.Contains(speaksFor, c.Name)
			}
			if !ok {
				t.Errorf("%s speaks for %q, and these lead:\n%s", file, speaksFor, tell(v))
			}
		}
	}
}

func reviewTalk(t *testing.T, file string) (*verdict.Verdict, []intake.Expectation) {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	talk, err := intake.ParseTalk(f)
	if err != nil {
		t.Fatal(err)
	}
	o := Options{Rules: rules.All, Input: file}
	for _, e := range talk.Expectations {
		if e.Rule == "saw" {
			name, answer, _ := strings.Cut(e.Pattern, "=")
			saw, err := Observe(name, answer)
			if err != nil {
				t.Fatal(err)
			}
			o.Saw = append(o.Saw, saw)
		}
	}
	v, err := Review(&memory{talk.Records, talk.Info}, o)
	if err != nil {
		t.Fatal(err)
	}
	return v, talk.Expectations
}

func named(expected []intake.Expectation, kind, cause string) bool {
	for _, e := range expected {
		if e.Rule == kind && slices.Contains(strings.Split(e.Pattern, ", "), cause) {
			return true
		}
	}
	return false
}

// checkChain: no link is called broken or weak that nobody expects to be.
func checkChain(t *testing.T, v *verdict.Verdict, expected []intake.Expectation) {
	t.Helper()
	for _, l := range v.Chain {
		known := slices.ContainsFunc(expected, func(e intake.Expectation) bool { return e.Rule == l.Name })
		if !known && (l.State == verdict.Broken || l.State == verdict.Weak) {
			t.Errorf("%s: %s: %s: not expected", l.Name, l.State, l.Says)
		}
	}
}

func checkExpectation(t *testing.T, v *verdict.Verdict, e intake.Expectation) {
	t.Helper()
	var leading []string
	for _, c := range v.Causes {
		if c.Name != SomethingElse || e.Pattern == SomethingElse {
			leading = append(leading, c.Name)
		}
	}
	want := strings.Split(e.Pattern, ", ")
	switch e.Rule {
	case "saw": // what a person adds to the dialogue
	case "cause":
		if e.Pattern == "none" {
			want = nil
			if len(leading) == 0 {
				return
			}
		}
		if len(leading) < len(want) || want == nil || !slices.Equal(leading[:len(want)], want) {
			t.Errorf("line %d: causes are %q: want %q first\n%s", e.Line, leading, want, tell(v))
		}
	case "among":
		for _, c := range want {
			if !slices.Contains(leading[:min(3, len(leading))], c) {
				t.Errorf("line %d: causes are %q: want %s among the first three\n%s", e.Line, leading, c, tell(v))
			}
		}
	case "next":
		if v.Next == nil || !regexp.MustCompile(e.Pattern).MatchString(v.Next.Do) {
			t.Errorf("line %d: next is %+v: want %s", e.Line, v.Next, e.Pattern)
		}
	case "headline":
		if !regexp.MustCompile(e.Pattern).MatchString(v.Headline) {
			t.Errorf("line %d: the headline is %q: want %s", e.Line, v.Headline, e.Pattern)
		}
	default:
		checkLink(t, v, e)
	}
}

func checkLink(t *testing.T, v *verdict.Verdict, e intake.Expectation) {
	t.Helper()
	for _, l := range v.Chain {
		if l.Name != e.Rule {
			continue
		}
		state, pattern, _ := strings.Cut(e.Pattern, ":")
		if string(l.State) != state || !regexp.MustCompile(strings.TrimSpace(pattern)).MatchString(l.Says) {
			t.Errorf("line %d: %s is %s: %s: want %s", e.Line, l.Name, l.State, l.Says, e.Pattern)
		}
		shown := false
		for _, x := range l.Evidence {
			shown = shown || x.Record == e.Record
		}
		if !shown {
			t.Errorf("line %d: %s does not show record %d but %+v", e.Line, l.Name, e.Record, l.Evidence)
		}
		return
	}
	t.Errorf("line %d: there is no link %q", e.Line, e.Rule)
}

// checkSound: what holds for every verdict.
func checkSound(t *testing.T, v *verdict.Verdict) {
	t.Helper()
	for i, c := range v.Causes {
		if c.Probability < 0 || c.Probability > 1 || len(c.Because) == 0 || c.Remedy == "" || i > 0 && c.Probability > v.Causes[i-1].Probability {
			t.Errorf("cause %d is unsound: %+v", i, c)
		}
	}
	if v.Headline == "" || !strings.HasSuffix(v.Headline, ".") {
		t.Errorf("headline %q", v.Headline)
	}
	if _, broken := v.FirstBroken(); broken && len(v.Causes) > 0 && v.Next == nil {
		t.Error("something is broken and nothing is to be measured next")
	}
	if len(v.Chain) != len(Checks) {
		t.Errorf("%d links: want %d", len(v.Chain), len(Checks))
	}
}

func tell(v *verdict.Verdict) string {
	var b strings.Builder
	for _, c := range v.Causes {
		b.WriteString(c.Name + " because " + strings.Join(c.Because, "; ") + " against " + strings.Join(c.Against, "; ") + "\n")
	}
	return b.String()
}

// The list of checks equals the folder; links are in the order of the chain and needs point to links.
func TestChecksList(t *testing.T) {
	files, err := filepath.Glob("check_*.go")
	if err != nil {
		t.Fatal(err)
	}
	if len(files) != len(Checks) {
		t.Errorf("%d files check_*.go and %d checks in the list", len(files), len(Checks))
	}
	dirs, _ := filepath.Glob("testdata/*")
	for _, f := range files {
		name := strings.TrimSuffix(strings.TrimPrefix(f, "check_"), ".go")
		if !slices.Contains(dirs, filepath.Join("testdata", name)) {
			t.Errorf("%s has no dialogues in testdata/%s", f, name)
		}
	}
	want := []string{"supply", "line", "module", "card", "network", "messages", "sky", "fix", "report"}
	var got []string
	for _, c := range Checks {
		got = append(got, c.Link)
		for _, n := range append(slices.Clone(c.Needs), c.After...) {
			if !slices.Contains(want, n) || n == c.Link {
				t.Errorf("%s needs %q", c.Link, n)
			}
		}
		if c.Title == "" || c.Ask == nil || c.Verdict == nil {
			t.Errorf("%s is not complete", c.Link)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("the chain is %q: want %q", got, want)
	}
}

// The list of causes holds every cause of the folder, with all it must have.
func TestCausesList(t *testing.T) {
	var declared, listed []string
	files, _ := filepath.Glob("causes_*.go")
	for _, file := range files {
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(parsed, func(n ast.Node) bool {
			if kv, ok := n.(*ast.KeyValueExpr); ok {
				if key, ok := kv.Key.(*ast.Ident); ok && key.Name == "Name" {
					declared = append(declared, strings.Trim(kv.Value.(*ast.BasicLit).Value, `"`))
				}
			}
			return true
		})
	}
	total := priorOther
	for _, c := range Causes {
		listed = append(listed, c.Name)
		total += c.Prior
		if c.Title == "" || c.Remedy == "" || c.Prior <= 0 || len(c.Tests) == 0 || len(c.Signs) == 0 {
			t.Errorf("%s is not complete", c.Name)
		}
		for _, s := range slices.Concat(c.Signs, c.Besides) {
			if s.p <= 0 || s.p >= 1 || s.of.base <= 0 || s.of.base >= 1 || s.of.says == "" || s.of.reads == nil && len(s.of.rules) == 0 {
				t.Errorf("%s: a likelihood must lie between 0 and 1: %+v of %+v", c.Name, s.p, *s.of)
			}
		}
		for _, m := range c.Tests {
			sum := 0.0
			for _, p := range m.p {
				sum += p
				if p <= 0 || p >= 1 {
					t.Errorf("%s: %s: likelihoods %v", c.Name, m.of.Name, m.p)
				}
			}
			if len(m.p) != len(m.of.answers) || math.Abs(sum-1) > 1e-9 {
				t.Errorf("%s: %s has %d answers, and likelihoods %v", c.Name, m.of.Name, len(m.of.answers), m.p)
			}
		}
	}
	sort.Strings(declared)
	sorted := slices.Clone(listed)
	sort.Strings(sorted)
	if !slices.Equal(declared, sorted) {
		t.Errorf("causes.go lists %q, the files declare %q", sorted, declared)
	}
	if len(slices.Compact(sorted)) != len(listed) {
		t.Error("two causes have one name")
	}
	// The priors are relative weights; they are easier to think of when they sum up to about three.
	if total < 2 || total > 4 {
		t.Errorf("the priors sum up to %.2f", total)
	}
	// The truths that the stand-in's worlds plant (virtual/world) must be known by these names.
	for _, truth := range []string{"no-card", "pin-wanted", "registration-denied", "weak-signal", "supply-sags", "blank-text-parameters", "antennas-swapped", "no-sky",
		"store-full", "wrong-speed", "no-service-centre", "card-contact", "never-registers", "engine-off", "registration-flaps"} {
		if !slices.Contains(listed, truth) {
			t.Errorf("no cause is called %q", truth)
		}
	}
}

// Bad input is evidence: each gives a word on what was understood, never a crash.
func TestReviewOddInput(t *testing.T) {
	bytes := func(from capture.Direction, b ...string) []capture.Record {
		var out []capture.Record
		for i, s := range b {
			out = append(out, capture.Record{Number: i + 1, From: from, Bytes: s})
		}
		return out
	}
	for _, test := range []struct {
		name    string
		records []capture.Record
		want    string
	}{
		{"empty", nil, "The recording is empty."},
		{"binary", bytes(capture.Module, "\x00\x01\x02\xff\xfe\x80"), "The chain breaks at the line: 6 bytes arrived and none of it can be read."},
		{"a long line", bytes(capture.Module, strings.Repeat("x", 1<<20)), ""},
		{"not known who spoke", bytes(capture.Unknown, "AT\r", "\r\nOK\r\n"), ""},
		{"NUL only", bytes(capture.Module, "\x00\x00\x00\x00"), ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			v, err := Review(&memory{test.records, capture.Info{Kind: "talk"}}, Options{Rules: rules.All})
			if err != nil || v == nil {
				t.Fatalf("%v, %v", v, err)
			}
			if test.want != "" && !strings.HasPrefix(v.Headline, strings.TrimSuffix(test.want, ".")) {
				t.Errorf("headline %q: want %q", v.Headline, test.want)
			}
			checkSound(t, v)
		})
	}
}
