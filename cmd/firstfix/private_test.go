package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"firstfix/internal/judge/bringup"
	"firstfix/internal/judge/rules"
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
// apart, so the two reports must be the same to the last byte.
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
		a, b := hiddenReport(t, info, records), hiddenReport(t, info, other)
		if a != b {
			t.Errorf("%s: what people wrote shows through:\n%s", file, firstDifference(a, b))
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
	return out, n
}

// list is a recording in memory.
type list struct {
	info    capture.Info
	records []capture.Record
}

func (l *list) Info() capture.Info { return l.info }

func (l *list) Next() (r capture.Record, err error) {
	if len(l.records) == 0 {
		return r, io.EOF
	}
	r, l.records = l.records[0], l.records[1:]
	return r, nil
}

func hiddenReport(t *testing.T, info capture.Info, records []capture.Record) string {
	t.Helper()
	v, err := bringup.Review(&list{info, records}, bringup.Options{Rules: rules.All, Places: 20})
	if err != nil {
		t.Fatal(err)
	}
	hidePrivate(v)
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
