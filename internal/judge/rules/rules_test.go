package rules

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/intake"
)

var update = flag.Bool("update", false, "write docs/rules.md anew")

// readTalk reads a fixture; its patterns must be regular expressions.
func readTalk(t testing.TB, file string) intake.Talk {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	talk, err := intake.ParseTalk(f)
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return talk
}

// judge runs rules over records.
func judge(rules []*rulebook.Rule, info capture.Info, records []capture.Record) []finding.Finding {
	j := rulebook.NewJudge(rules, info, rulebook.Options{})
	for _, r := range records {
		j.Feed(r)
	}
	j.End()
	return j.Findings()
}

// TestFixtures runs each rule over its own testdata: go test -run Fixtures/smsprompt
func TestFixtures(t *testing.T) {
	for _, r := range All {
		t.Run(r.Name, func(t *testing.T) {
			for _, need := range []string{"fires.talk", "silent.talk"} {
				if _, err := os.Stat(filepath.Join(r.Name, "testdata", need)); err != nil {
					t.Errorf("every rule shows itself firing and staying silent: %v", err)
				}
			}
			files, err := filepath.Glob(filepath.Join(r.Name, "testdata", "*.talk"))
			if err != nil {
				t.Fatal(err)
			}
			for _, file := range files {
				t.Run(strings.TrimSuffix(filepath.Base(file), ".talk"), func(t *testing.T) { check(t, r, file) })
			}
		})
	}
}

// check compares what a rule finds in a fixture with what the fixture's author expected.
func check(t *testing.T, r *rulebook.Rule, file string) {
	talk := readTalk(t, file)
	base := filepath.Base(file)
	switch expects := len(talk.Expectations); {
	case strings.HasPrefix(base, "fires") && expects == 0:
		t.Error("a fixture named fires… expects nothing")
	case strings.HasPrefix(base, "silent") && expects > 0:
		t.Error("a fixture named silent… expects something")
	}
	if talk.Intro == "" {
		t.Error("the first paragraph says why the file exists")
	}
	found := judge([]*rulebook.Rule{r}, talk.Info, talk.Records)
	for _, e := range talk.Expectations {
		if e.Rule != r.Name {
			t.Errorf("line %d: expects rule %s in the folder of %s", e.Line, e.Rule, r.Name)
			continue
		}
		pattern, err := regexp.Compile(e.Pattern)
		if err != nil {
			t.Fatalf("line %d: %v", e.Line, err)
		}
		i := slices.IndexFunc(found, func(f finding.Finding) bool {
			return f.Evidence[0].Record == e.Record && pattern.MatchString(f.Message)
		})
		if i < 0 {
			t.Errorf("line %d: nothing found at record %d that matches %s", e.Line, e.Record, e.Pattern)
			continue
		}
		found = slices.Delete(found, i, i+1)
	}
	for _, f := range found {
		t.Errorf("not expected: at record %d (line %d, %q): %s", f.Evidence[0].Record, f.Evidence[0].SourceLine, f.Evidence[0].Text, f.Message)
	}
}

// TestEvidenceStands looks at every finding of every fixture: its evidence is
// there, in the dialogue, and says what it shows.
func TestEvidenceStands(t *testing.T) {
	for _, r := range All {
		files, _ := filepath.Glob(filepath.Join(r.Name, "testdata", "*.talk"))
		for _, file := range files {
			talk := readTalk(t, file)
			for _, f := range judge([]*rulebook.Rule{r}, talk.Info, talk.Records) {
				if f.Message == "" || strings.HasSuffix(f.Message, ".") || strings.Contains(f.Message, "\n") {
					t.Errorf("%s: message %q: want one sentence without a full stop", file, f.Message)
				}
				for _, e := range f.Evidence {
					if e.Record < 1 || e.Record > len(talk.Records) {
						t.Errorf("%s: %s: evidence %q stands at record %d of %d", file, f.Message, e.Text, e.Record, len(talk.Records))
					}
					if e.Note == "" {
						t.Errorf("%s: %s: evidence %q does not say what it shows", file, f.Message, e.Text)
					}
				}
			}
		}
	}
}

// TestSilentForOthers runs every rule over every other rule's silent.talk: what
// is right for one rule is not wrong for another. Notes are allowed: they say
// what is worth knowing about a dialogue that works.
func TestSilentForOthers(t *testing.T) {
	for _, owner := range All {
		file := filepath.Join(owner.Name, "testdata", "silent.talk")
		if _, err := os.Stat(file); err != nil {
			continue // TestFixtures says so
		}
		talk := readTalk(t, file)
		for _, f := range judge(All, talk.Info, talk.Records) {
			if f.Severity > finding.Note {
				t.Errorf("%s fires on the silent fixture of %s (line %d, %q): %s", f.Rule, owner.Name, f.Evidence[0].SourceLine, f.Evidence[0].Text, f.Message)
			}
		}
	}
}

// TestHealthyDialogues runs all rules over long dialogues with nothing wrong in them.
func TestHealthyDialogues(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("testdata", "healthy-*.talk"))
	if err != nil || len(files) < 3 {
		t.Fatalf("want at least three healthy dialogues, have %d (%v)", len(files), err)
	}
	for _, file := range files {
		talk := readTalk(t, file)
		for _, f := range judge(All, talk.Info, talk.Records) {
			if f.Severity > finding.Note {
				t.Errorf("%s: %s fires at line %d (%q): %s", file, f.Rule, f.Evidence[0].SourceLine, f.Evidence[0].Text, f.Message)
			}
		}
	}
}

// TestCheckMasksItself: rules about what a recording gives away are for the
// recordings of others. A check masks its own as it is written.
func TestCheckMasksItself(t *testing.T) {
	for _, r := range All {
		if r.Name != "secretsinlog" && r.Name != "identitiesinlog" {
			continue
		}
		talk := readTalk(t, filepath.Join(r.Name, "testdata", "fires.talk"))
		talk.Info.Kind = "check"
		for _, f := range judge([]*rulebook.Rule{r}, talk.Info, talk.Records) {
			t.Errorf("%s fires in a check: %s", r.Name, f.Message)
		}
	}
}

// TestListEqualsFolders compares the list with the folders beside it.
func TestListEqualsFolders(t *testing.T) {
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	var folders, names []string
	for _, e := range entries {
		if code, _ := filepath.Glob(filepath.Join(e.Name(), "*.go")); e.IsDir() && len(code) > 0 {
			folders = append(folders, e.Name())
		}
	}
	for _, r := range All {
		names = append(names, r.Name)
	}
	slices.Sort(names)
	for _, f := range folders {
		if !slices.Contains(names, f) {
			t.Errorf("folder %s is not in the list of rules.go", f)
		}
	}
	for i, n := range names {
		if !slices.Contains(folders, n) {
			t.Errorf("rule %s has no folder of its name", n)
		}
		if i > 0 && names[i-1] == n {
			t.Errorf("rule %s is listed twice", n)
		}
	}
}

// TestRulesAreWhole validates every rule, and that a rule stays small: under
// 100 lines of code, and without tests of its own (one test runs them all).
func TestRulesAreWhole(t *testing.T) {
	for _, r := range All {
		if err := rulebook.Validate(r); err != nil {
			t.Errorf("rule %s: %v", r.Name, err)
		}
		tests, _ := filepath.Glob(filepath.Join(r.Name, "*_test.go"))
		if len(tests) > 0 {
			t.Errorf("rule %s has tests of its own; write fixtures: %v", r.Name, tests)
		}
		text, err := os.ReadFile(filepath.Join(r.Name, r.Name+".go"))
		if err != nil {
			t.Errorf("rule %s: %v", r.Name, err)
			continue
		}
		// What a learner reads does not count.
		if _, code, ok := bytes.Cut(text, []byte("\nfunc ")); ok && bytes.Count(code, []byte("\n")) > 100 {
			t.Errorf("rule %s has %d lines of code; a rule is under 100", r.Name, bytes.Count(code, []byte("\n")))
		}
	}
}

// TestDocIsFresh compares docs/rules.md with what the rules say.
func TestDocIsFresh(t *testing.T) {
	const file = "../../../docs/rules.md"
	want := printed()
	if *update {
		if err := os.WriteFile(file, want, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	have, err := os.ReadFile(file)
	if err != nil || !bytes.Equal(have, want) {
		t.Errorf("docs/rules.md is stale (%v): go test ./internal/judge/rules -run DocIsFresh -update", err)
	}
}

// printed is docs/rules.md.
func printed() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# Rules\n\nPrinted from the rules by `go test ./internal/judge/rules -run DocIsFresh -update`; do not edit.\n\n")
	fmt.Fprintf(&b, "`firstfix rules explain NAME` shows each with a small dialogue before and after.\n\n")
	fmt.Fprintf(&b, "An *error* does not work like this, a *warning* will bite some day, a *note* is worth knowing.\n\n| rule | severity | what is wrong |\n| --- | --- | --- |\n")
	for _, r := range All {
		fmt.Fprintf(&b, "| [%s](#%s) | %s | %s |\n", r.Name, r.Name, r.Severity, r.Title)
	}
	for _, r := range All {
		fmt.Fprintf(&b, "\n## %s\n\n%s: %s.\n\n%s\n\n", r.Name, strings.ToUpper(r.Severity.String()[:1])+r.Severity.String()[1:], r.Title, strings.TrimSpace(r.Doc))
		fmt.Fprintf(&b, "**Do:** %s\n\n**Silent:** %s\n\n**By:** %s\n", strings.TrimSpace(r.Remedy), strings.TrimSpace(r.Silent), strings.Join(r.Cites, "; "))
	}
	return b.Bytes()
}

// TestCoverageIsWhole holds docs/coverage.md to the list: it names every rule, and
// nothing that is none.
func TestCoverageIsWhole(t *testing.T) {
	text, err := os.ReadFile("../../../docs/coverage.md")
	if err != nil {
		t.Fatal(err)
	}
	named := map[string]bool{}
	for _, m := range regexp.MustCompile("`([a-z0-9]+)`").FindAllStringSubmatch(string(text), -1) {
		named[m[1]] = true
	}
	for _, r := range All {
		if !named[r.Name] {
			t.Errorf("docs/coverage.md does not say which fault %s is about", r.Name)
		}
		delete(named, r.Name)
	}
	for name := range named {
		t.Errorf("docs/coverage.md names %q, which is no rule", name)
	}
}
