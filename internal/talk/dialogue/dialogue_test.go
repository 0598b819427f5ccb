package dialogue_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/intake"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

var update = flag.Bool("update", false, "rewrite the .events files; read the diff")

// TestTranscripts compares what the assembler makes of testdata/*.talk with the
// .events file beside it, whole, byte by byte, and ticked every now and then.
func TestTranscripts(t *testing.T) {
	files, err := filepath.Glob("testdata/*.talk")
	if err != nil || len(files) == 0 {
		t.Fatalf("no transcripts: %v", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".talk"), func(t *testing.T) {
			talk := load(t, file)
			got := dump(talk.Records)
			golden := strings.TrimSuffix(file, ".talk") + ".events"
			if *update {
				if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			same(t, "whole", string(want), got)
			same(t, "byte by byte", got, dump(cut(talk.Records, 1)))
			same(t, "in threes", got, dump(cut(talk.Records, 3)))
			same(t, "ticked every 3 s", got, dump(talk.Records, 3*when.Second))
			same(t, "ticked every 7 ms", got, dump(talk.Records, 7*when.Millisecond))
			onePerQuestion(t, talk.Records)
		})
	}
}

func load(t testing.TB, file string) intake.Talk {
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

// same compares line by line and shows the first difference.
func same(t *testing.T, how, want, got string) {
	t.Helper()
	if want == got {
		return
	}
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range max(len(w), len(g)) {
		var a, b string
		if i < len(w) {
			a = w[i]
		}
		if i < len(g) {
			b = g[i]
		}
		if a != b {
			t.Errorf("%s: event line %d:\n want %s\n got  %s", how, i+1, a, b)
			return
		}
	}
}

// cut splits every record into pieces of n bytes.
func cut(records []capture.Record, n int) []capture.Record {
	var out []capture.Record
	for _, r := range records {
		b := r.Bytes
		if len(b) <= n {
			out = append(out, r)
			continue
		}
		for len(b) > 0 {
			piece := r
			piece.Bytes = b[:min(n, len(b))]
			b = b[len(piece.Bytes):]
			out = append(out, piece)
		}
	}
	return out
}

// dump feeds records and writes the events down, ticking in between.
func dump(records []capture.Record, tick ...when.Instant) string {
	a := dialogue.New()
	var b strings.Builder
	var out []dialogue.Event
	var now when.Instant
	write := func() {
		for i := range out {
			describe(&b, &out[i])
		}
		out = out[:0]
	}
	for _, r := range records {
		for len(tick) > 0 && now+tick[0] < r.At {
			now += tick[0]
			out = a.Tick(now, out)
			write()
		}
		out = a.Feed(r, out)
		write()
	}
	out = a.End(out)
	write()
	return b.String()
}

var kinds = [...]string{
	dialogue.Asked: "asked", dialogue.Prompted: "prompted", dialogue.Texted: "texted", dialogue.Answered: "answered",
	dialogue.Unsolicited: "unsolicited", dialogue.Sentence: "sentence", dialogue.Stray: "stray",
	dialogue.Garbled: "garbled", dialogue.Data: "data", dialogue.Noted: "noted",
}

var outcomes = [...]string{
	dialogue.Open: "open", dialogue.Finished: "finished", dialogue.Overtaken: "overtaken", dialogue.Unanswered: "unanswered",
}

var results = [...]string{
	at.NoResult: "none", at.OK: "OK", at.Connect: "CONNECT", at.Ring: "RING", at.NoCarrier: "NO CARRIER", at.Error: "ERROR",
	at.NoDialtone: "NO DIALTONE", at.Busy: "BUSY", at.NoAnswer: "NO ANSWER", at.CMEError: "CME", at.CMSError: "CMS",
}

func describe(b *strings.Builder, e *dialogue.Event) {
	fmt.Fprintf(b, "%s %s", e.At, kinds[e.Kind])
	x := e.X
	switch e.Kind {
	case dialogue.Asked:
		// Not the ending: its LF may come late.
		fmt.Fprintf(b, " #%d %s", x.Number, line(x.Command))
		if x.Pending > 0 {
			fmt.Fprintf(b, " pending %d", x.Pending)
		}
		if x.Previous != nil {
			fmt.Fprintf(b, " after #%d", x.Previous.Number)
		}
	case dialogue.Prompted:
		fmt.Fprintf(b, " #%d %s", x.Number, line(x.Prompt))
	case dialogue.Texted:
		fmt.Fprintf(b, " #%d %s end 0x%02X early %t", x.Number, line(x.Text), x.TextEnd, x.TextEarly)
	case dialogue.Answered:
		fmt.Fprintf(b, " #%d %s %s", x.Number, outcomes[x.Outcome], results[x.Result.Kind])
		fmt.Fprintf(b, " end %q", x.Ending)
		if x.Echoed {
			b.WriteString(" echoed")
		}
		fmt.Fprintf(b, " asked %s first %s done %s", x.AskedAt, x.FirstAt, x.DoneAt)
		for _, l := range x.Info {
			fmt.Fprintf(b, "\n      info %s", line(l))
		}
		if !x.Final.IsZero() {
			fmt.Fprintf(b, "\n      final %s", line(x.Final))
		}
	case dialogue.Noted:
		fmt.Fprintf(b, " record %d %q", e.Line.Record, e.Note)
	default:
		fmt.Fprintf(b, " %s", line(e.Line))
		if !e.Body.IsZero() {
			fmt.Fprintf(b, "\n      body %s", line(e.Body))
		}
	}
	b.WriteByte('\n')
}

func line(l dialogue.Line) string {
	if l.IsZero() {
		return "-"
	}
	times := l.Began.String()
	if l.At != l.Began {
		times += "-" + l.At.String()
	}
	private := ""
	if l.Body {
		private = " private"
	}
	return fmt.Sprintf("[%d %s %s%s] %q", l.Record, l.From, times, private, l.Text)
}

// onePerQuestion: every Asked has exactly one Answered, later.
func onePerQuestion(t *testing.T, records []capture.Record) {
	t.Helper()
	a := dialogue.New()
	var out []dialogue.Event
	for _, r := range records {
		out = a.Feed(r, out)
	}
	out = a.End(out)
	open := map[*dialogue.Exchange]bool{}
	for _, e := range out {
		switch e.Kind {
		case dialogue.Asked:
			open[e.X] = true
		case dialogue.Answered:
			if !open[e.X] {
				t.Errorf("answered twice, or never asked: #%d %q", e.X.Number, e.X.Command.Text)
			}
			if e.X.Outcome == dialogue.Open {
				t.Errorf("answered but open: #%d", e.X.Number)
			}
			delete(open, e.X)
		}
	}
	for x := range open {
		t.Errorf("never answered: #%d %q", x.Number, x.Command.Text)
	}
}
