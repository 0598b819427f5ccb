package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"firstfix/internal/judge/bringup"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/report"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/intake"
)

// privateWord is a word that only a person can have written: no coordinate, no
// command, no hexadecimal digits.
var privateWord = regexp.MustCompile(`\b[a-z]*[g-z][a-z]{2,}[g-z][a-z]*\b`)

// trade are words that say what kind of a text it is, not what somebody wrote: a coordinate, a
// link, or the answer of a device to a command. Rules look for them, so they are no secret.
var trade = map[string]bool{
	"long": true, "longitude": true, "latitude": true, "https": true, "http": true,
	"unknown": true, "command": true, "allowed": true, "wrong": true, "restart": true,
}

// otherWords says the same with other letters: only the private words differ.
func otherWords(s string) string {
	return privateWord.ReplaceAllStringFunc(s, func(w string) string {
		if trade[w] {
			return w
		}
		return strings.Map(func(r rune) rune { return 'g' + (r-'a'+11)%20 }, w)
	})
}

// TestPrivateWordsMakeNoDifference judges every fixture twice: as it is, and with
// other words in the texts that people wrote. What is hidden cannot be told
// apart, so the two reports must be the same to the last byte. A rule that judges
// words finds something else then; it is looked at alone, see [wordsOf].
func TestPrivateWordsMakeNoDifference(t *testing.T) {
	var files []string
	for _, pattern := range []string{"../../internal/judge/rules/*/testdata/*.talk", "../../internal/judge/bringup/testdata/*/*.talk", "../../examples/*.*"} {
		found, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, found...)
	}
	changed := 0
	for _, file := range files {
		if strings.HasSuffix(file, ".md") {
			continue
		}
		info, records := recordsOf(t, file)
		other, n := withOtherWords(records)
		changed += n
		if n == 0 {
			continue
		}
		same, differing := sameRules(t, info, records, other)
		a, b := hiddenReport(t, info, records, same), hiddenReport(t, info, other, same)
		if a != b {
			t.Errorf("%s: what people wrote shows through:\n%s", file, firstDifference(a, b))
		}
		for _, r := range differing {
			v := hiddenVerdict(t, info, records, []*rulebook.Rule{r})
			for _, w := range wordsOf(records) {
				if own := r.Title + r.Doc + r.Silent + r.Remedy; strings.Contains(own, w) {
					continue
				}
				for _, f := range v.Findings {
					for _, e := range f.Evidence {
						if strings.Contains(f.Message, w) || strings.Contains(e.Text, w) || strings.Contains(e.Note, w) {
							t.Errorf("%s: %s shows %q: %s %q", file, r.Name, w, f.Message, e.Text)
						}
					}
				}
			}
		}
	}
	if changed < 50 {
		t.Errorf("only %d texts were changed: the fixtures hold more", changed)
	}
}

func recordsOf(t *testing.T, file string) (capture.Info, []capture.Record) {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	src, err := intake.Open(bytes.NewReader(b), file, intake.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var records []capture.Record
	for {
		r, err := src.Next()
		if err != nil {
			return src.Info(), records
		}
		records = append(records, r)
	}
}

// sameRules parts the rules into those that find the same in both recordings, and the others.
func sameRules(t *testing.T, info capture.Info, a, b []capture.Record) (same, differing []*rulebook.Rule) {
	t.Helper()
	places := func(records []capture.Record) map[string][]int {
		found := map[string][]int{}
		for _, f := range hiddenVerdict(t, info, records, rules.All).Findings {
			found[f.Rule] = append(found[f.Rule], f.Evidence[0].Record)
		}
		return found
	}
	x, y := places(a), places(b)
	for _, r := range rules.All {
		if slices.Equal(x[r.Name], y[r.Name]) {
			same = append(same, r)
		} else {
			differing = append(differing, r)
		}
	}
	return same, differing
}

// wordsOf returns the private words of the texts in a recording.
func wordsOf(records []capture.Record) (words []string) {
	eachBody(records, func(l dialogue.Line) { words = append(words, privateWord.FindAllString(l.Text, -1)...) })
	return words
}

// withOtherWords changes the texts that lie whole in one record, and says how many.
func withOtherWords(records []capture.Record) ([]capture.Record, int) {
	out := append([]capture.Record{}, records...)
	n := 0
	body := func(l dialogue.Line) {
		if !l.Body || l.Record < 1 || l.Record > len(out) || otherWords(l.Text) == l.Text {
			return
		}
		for _, part := range strings.FieldsFunc(l.Text, func(r rune) bool { return r == '\n' || r == '\r' }) {
			for i := range out { // also the echo
				if r := &out[i]; strings.Contains(r.Bytes, part) && !strings.Contains(r.Bytes, "AT"+part) {
					r.Bytes = strings.ReplaceAll(r.Bytes, part, otherWords(part))
					n++
				}
			}
		}
	}
	eachBody(records, body)
	return out, n
}

// eachBody calls f with every line that somebody wrote to somebody.
func eachBody(records []capture.Record, f func(dialogue.Line)) {
	body := func(l dialogue.Line) {
		if l.Body {
			f(l)
		}
	}
	a := dialogue.New()
	var events []dialogue.Event
	for _, r := range records {
		events = a.Feed(r, events)
	}
	for _, e := range a.End(events) {
		switch e.Kind {
		case dialogue.Texted:
			body(e.X.Text)
		case dialogue.Unsolicited, dialogue.Stray, dialogue.Garbled:
			body(e.Line)
			body(e.Body)
		case dialogue.Answered:
			for _, l := range e.X.Info {
				body(l)
			}
		}
	}
}

// recorded is a recording in memory.
type recorded struct {
	info    capture.Info
	records []capture.Record
}

func (l *recorded) Info() capture.Info { return l.info }

func (l *recorded) Next() (r capture.Record, err error) {
	if len(l.records) == 0 {
		return r, io.EOF
	}
	r, l.records = l.records[0], l.records[1:]
	return r, nil
}

func hiddenVerdict(t *testing.T, info capture.Info, records []capture.Record, list []*rulebook.Rule) *verdict.Verdict {
	t.Helper()
	v, err := bringup.Review(&recorded{info, records}, bringup.Options{Rules: list, Places: 20})
	if err != nil {
		t.Fatal(err)
	}
	hidePrivate(v)
	return v
}

func hiddenReport(t *testing.T, info capture.Info, records []capture.Record, list []*rulebook.Rule) string {
	t.Helper()
	v := hiddenVerdict(t, info, records, list)
	var b bytes.Buffer
	if err := report.JSON(&b, v); err != nil {
		t.Fatal(err)
	}
	if err := report.Text(&b, v, report.TextOptions{}); err != nil {
		t.Fatal(err)
	}
	if err := report.HTML(&b, v); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return x[i] + "\n" + y[i]
		}
	}
	return "one is longer"
}
