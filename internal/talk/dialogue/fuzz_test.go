package dialogue_test

import (
	"path/filepath"
	"strings"
	"testing"

	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
)

// FuzzAssembler: whatever passes, no panic, one answer per question, times in
// order, and the same events however the bytes were cut and whenever it was ticked.
func FuzzAssembler(f *testing.F) {
	files, _ := filepath.Glob("testdata/*.talk")
	for _, file := range files {
		f.Add(pack(load(f, file).Records))
	}
	f.Fuzz(func(t *testing.T, packed string) {
		records := unpack(packed)
		whole := dump(records)
		same(t, "byte by byte", whole, dump(cut(records, 1)))
		same(t, "ticked", whole, dump(records, 500*when.Millisecond))
		onePerQuestion(t, records)
		inOrder(t, records)
	})
}

// inOrder: events come in order of time.
func inOrder(t *testing.T, records []capture.Record) {
	t.Helper()
	a := dialogue.New()
	var out []dialogue.Event
	for _, r := range records {
		out = a.Feed(r, out)
	}
	out = a.End(out)
	for i := 1; i < len(out); i++ {
		if out[i].At < out[i-1].At {
			t.Fatalf("event %d at %s follows one at %s", i, out[i].At, out[i-1].At)
		}
	}
}

// A packed dialogue is records of: a byte for side and pause, a byte for the
// length, the bytes.
func pack(records []capture.Record) string {
	var b strings.Builder
	var last when.Instant
	for _, r := range records {
		pause := byte(0)
		for i, p := range pauses {
			if r.At-last >= p {
				pause = byte(i)
			}
		}
		last = r.At
		n := min(len(r.Bytes), 255)
		b.WriteByte(pause<<2 | byte(r.From))
		b.WriteByte(byte(n))
		b.WriteString(r.Bytes[:n])
	}
	return b.String()
}

var pauses = [...]when.Instant{0, 1, when.Millisecond, 50 * when.Millisecond, 200 * when.Millisecond, 500 * when.Millisecond,
	when.Second, 5 * when.Second, 40 * when.Second, 400 * when.Second}

func unpack(s string) []capture.Record {
	var out []capture.Record
	var at when.Instant
	for len(s) >= 2 && len(out) < 200 {
		head, n := s[0], min(int(s[1]), len(s)-2)
		at += pauses[int(head>>2)%len(pauses)]
		r := capture.Record{Number: len(out) + 1, At: at, From: capture.Direction(head & 3 % 3), Bytes: s[2 : 2+n]}
		if head&3 == 3 {
			r.From, r.Bytes, r.Event = 0, "", "line-lost"
		}
		out = append(out, r)
		s = s[2+n:]
	}
	return out
}
