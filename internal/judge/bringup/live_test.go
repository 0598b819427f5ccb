package bringup

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/intake"
)

func talkOf(t *testing.T, file string) intake.Talk {
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
	return talk
}

func everyTalk(t *testing.T) []string {
	t.Helper()
	own, _ := filepath.Glob("testdata/*/*.talk")
	theirs, _ := filepath.Glob("../rules/*/testdata/*.talk")
	if len(own) == 0 || len(theirs) == 0 {
		t.Fatal("no dialogues")
	}
	return append(own, theirs...)
}

func keyOf(x finding.Finding) string { return fmt.Sprintf("%s %d", x.Rule, x.Evidence[0].Record) }

// TestLiveAsAtTheEnd asks for news after every record of every dialogue there is. Asking
// changes nothing: the findings at the end are those of a review that nobody asked. What was
// told and not taken back is what is found at the end, rule by rule; nothing is told twice.
func TestLiveAsAtTheEnd(t *testing.T) {
	spoiled := map[string]bool{}
	for _, file := range everyTalk(t) {
		talk := talkOf(t, file)
		quiet := NewReviewer(talk.Info, nil, Options{Rules: rules.All})
		asked := NewReviewer(talk.Info, nil, Options{Rules: rules.All})
		standing := map[string]int{}
		take := func() {
			for _, c := range asked.News() {
				key := c.Finding.Rule
				if c.Withdrawn {
					standing[key]--
				} else {
					standing[key]++
				}
				if c.SoFar && standing[key] > 1 {
					t.Errorf("%s: %s is told twice", file, key)
				}
			}
		}
		for _, r := range talk.Records {
			quiet.Feed(r)
			asked.Feed(r)
			take()
		}
		want, got := quiet.End(talk.Info).Findings, asked.End(talk.Info).Findings
		take()
		if a, b := keys(want), keys(got); !slices.Equal(a, b) {
			for _, k := range append(minus(a, b), minus(b, a)...) {
				rule, _, _ := strings.Cut(k, " ")
				spoiled[rule] = true
			}
			t.Errorf("%s: asked as it went on, it ends with %q: want %q", file, b, a)
		}
		at := map[string]int{}
		for _, x := range got {
			at[x.Rule]++
		}
		for rule, n := range standing {
			if n != at[rule] {
				t.Errorf("%s: %s stands %d times and is found %d times", file, rule, n, at[rule])
			}
		}
	}
	if len(spoiled) > 0 {
		t.Errorf("these rules change when they are asked before the end; name them in live.go: %v", spoiled)
	}
}

func keys(list []finding.Finding) []string {
	var out []string
	for _, x := range list {
		out = append(out, keyOf(x))
	}
	slices.SortFunc(out, cmp.Compare)
	return out
}

func minus(a, b []string) (out []string) {
	for _, k := range a {
		if !slices.Contains(b, k) {
			out = append(out, k)
		}
	}
	return out
}

// TestAskedOnce holds the list of rules that cannot be asked before the end: all of them do
// change, in some dialogue, when they are.
func TestAskedOnce(t *testing.T) {
	changed := map[string]bool{}
	for _, file := range everyTalk(t) {
		talk := talkOf(t, file)
		quiet := NewReviewer(talk.Info, nil, Options{Rules: rules.All})
		asked := NewReviewer(talk.Info, nil, Options{Rules: rules.All})
		for _, r := range talk.Records {
			quiet.Feed(r)
			asked.Feed(r)
			asked.judge.SoFar(func(*rulebook.Rule) bool { return false })
		}
		a, b := keys(quiet.End(talk.Info).Findings), keys(asked.End(talk.Info).Findings)
		for _, k := range append(minus(a, b), minus(b, a)...) {
			rule, _, _ := strings.Cut(k, " ")
			changed[rule] = true
		}
	}
	for _, r := range askedOnce {
		if !changed[r.Name] {
			t.Errorf("%s does not change when it is asked before the end: take it off the list", r.Name)
		}
		delete(changed, r.Name)
	}
	for name := range changed {
		t.Errorf("%s changes when it is asked before the end: name it in live.go", name)
	}
}

// A module that searches for minutes is told about while it searches, once, and taken back when it registers.
func TestLiveTakesBack(t *testing.T) {
	talk, err := intake.ParseTalk(strings.NewReader(searching(40, true)))
	if err != nil {
		t.Fatal(err)
	}
	r := NewReviewer(capture.Info{TimesKnown: true, DirectionsKnown: true}, nil, Options{Rules: rules.All})
	var said []string
	for _, record := range talk.Records {
		r.Feed(record)
		for _, c := range r.News() {
			if c.Finding.Rule == "neverregisters" {
				said = append(said, fmt.Sprintf("at %v withdrawn %v so far %v", record.At, c.Withdrawn, c.SoFar))
			}
		}
	}
	if len(said) != 2 || !strings.Contains(said[0], "withdrawn false so far true") || !strings.Contains(said[1], "withdrawn true") {
		t.Errorf("said %q: want it told once and taken back once", said)
	}
}

// searching is a dialogue in which nothing registers for some polls, ten seconds apart.
func searching(polls int, found bool) string {
	var b strings.Builder
	b.WriteString("x\n\n")
	for i := range polls {
		fmt.Fprintf(&b, "%d.000 > AT+CREG?\\r\n%d.020 < \\r\\n+CREG: 0,2\\r\\n\\r\\nOK\\r\\n\n", i*10, i*10)
	}
	if found {
		fmt.Fprintf(&b, "%d.000 > AT+CREG?\\r\n%d.020 < \\r\\n+CREG: 0,1\\r\\n\\r\\nOK\\r\\n\n", polls*10, polls*10)
	}
	return b.String()
}
