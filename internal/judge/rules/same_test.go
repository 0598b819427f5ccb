package rules

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/intake"
)

// everyFixture lists the fixtures of all rules and the healthy dialogues.
func everyFixture(t testing.TB) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("*", "testdata", "*.talk"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no fixtures (%v)", err)
	}
	healthy, _ := filepath.Glob(filepath.Join("testdata", "*.talk"))
	return append(files, healthy...)
}

func same(t *testing.T, file string, got, want []finding.Finding) {
	t.Helper()
	if len(got) == len(want) {
		for i := range got {
			if !reflect.DeepEqual(got[i], want[i]) {
				t.Errorf("%s: %s: %q; as recorded %s: %q", file, got[i].Rule, got[i].Message, want[i].Rule, want[i].Message)
			}
		}
		return
	}
	say := func(fs []finding.Finding) string {
		var b strings.Builder
		for _, f := range fs {
			b.WriteString("\n  " + f.Rule + ": " + f.Message)
		}
		return b.String()
	}
	t.Errorf("%s: found%s\nas recorded%s", file, say(got), say(want))
}

// TestCuttingDoesNotMatter: the same bytes give the same findings, however they
// were cut into reads.
func TestCuttingDoesNotMatter(t *testing.T) {
	for _, file := range everyFixture(t) {
		talk := readTalk(t, file)
		want := judge(All, talk.Info, talk.Records)
		var cut []capture.Record
		for _, r := range talk.Records {
			if r.Event != "" {
				cut = append(cut, r)
				continue
			}
			for i := range len(r.Bytes) {
				piece := r
				piece.Bytes = r.Bytes[i : i+1]
				cut = append(cut, piece)
			}
		}
		same(t, file, judge(All, talk.Info, cut), want)
	}
}

// TestTickingDoesNotMatter: telling the judge that time passes changes nothing.
func TestTickingDoesNotMatter(t *testing.T) {
	for _, file := range everyFixture(t) {
		talk := readTalk(t, file)
		if !talk.Info.TimesKnown {
			continue
		}
		want := judge(All, talk.Info, talk.Records)
		j := rulebook.NewJudge(All, talk.Info, rulebook.Options{})
		now := capture.Record{}.At
		for _, r := range talk.Records {
			const most = 200 // ticks between two records: a day of silence says no more
			step := max(20*time.Millisecond, r.At.Sub(now)/most)
			for now.Add(step) < r.At {
				now = now.Add(step)
				j.Tick(capture.Record{At: now})
			}
			now = r.At
			j.Feed(r)
		}
		j.End()
		same(t, file, j.Findings(), want)
	}
}

// FuzzJudge: no dialogue makes a rule stop, and every finding has its evidence
// in the dialogue.
func FuzzJudge(f *testing.F) {
	for _, file := range everyFixture(f) {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Fuzz(func(t *testing.T, text string) {
		talk, _ := intake.ParseTalk(strings.NewReader(text))
		for _, found := range judge(All, talk.Info, talk.Records) {
			if len(found.Evidence) == 0 || found.Message == "" {
				t.Errorf("%s: a finding without evidence or words: %+v", found.Rule, found)
			}
			for _, e := range found.Evidence {
				if e.Record < 1 || e.Record > len(talk.Records) {
					t.Errorf("%s: evidence at record %d of %d", found.Rule, e.Record, len(talk.Records))
				}
			}
		}
	})
}
