package module

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"firstfix/internal/when"
)

var update = flag.Bool("update", false, "write what the module really says into testdata/*.talk; read the difference")

// TestTranscripts plays what a controller says in testdata/*.talk (docs/formats/talk-text.md)
// and compares all that the module says. The first paragraph names the world:
// "World NAME, seed N." The talk ends a minute after the last record.
func TestTranscripts(t *testing.T) {
	files, err := filepath.Glob("testdata/*.talk")
	if err != nil || len(files) == 0 {
		t.Fatalf("no transcripts: %v", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".talk"), func(t *testing.T) {
			src, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			got := replay(t, string(src))
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if got != string(src) {
				t.Errorf("the module says something else; with -update it is written down.\ngot:\n%s", got)
			}
		})
	}
}

// replay returns the transcript with the module's side as it is now.
func replay(t *testing.T, src string) string {
	head, records, found := strings.Cut(src, "\n\n")
	var world string
	var seed uint64
	for _, l := range strings.Split(head, "\n") {
		if n, _ := fmt.Sscanf(l, "World %s seed %d.", &world, &seed); n == 2 {
			world = strings.TrimSuffix(world, ",")
		}
	}
	if !found || world == "" {
		t.Fatal("the first paragraph names no world")
	}
	m := newModule(t, world, seed)
	var out strings.Builder
	out.WriteString(head + "\n\n")
	now := when.Instant(0)
	say := func(b []byte) {
		if len(b) > 0 {
			fmt.Fprintf(&out, "%v < %s\n", now, escape(b))
		}
	}
	until := func(end when.Instant) {
		for {
			at, _ := m.Deadline()
			if at > end {
				now = end
				return
			}
			now = max(now, at)
			say(m.Tick(now, nil))
		}
	}
	for _, l := range strings.Split(records, "\n") {
		at, typed, ok := strings.Cut(l, " > ")
		if !ok {
			continue
		}
		when, err := when.Parse(at)
		if err != nil {
			t.Fatal(err)
		}
		until(when)
		fmt.Fprintf(&out, "%s\n", l)
		text, err := strconv.Unquote(`"` + strings.ReplaceAll(typed, `"`, `\"`) + `"`)
		if err != nil {
			t.Fatalf("%q: %v", typed, err)
		}
		say(m.Feed(now, []byte(text), nil))
	}
	until(now + 60*when.Second)
	return out.String()
}

// escape writes bytes as docs/formats/talk-text.md does.
func escape(b []byte) string {
	var out strings.Builder
	for i, c := range b {
		switch {
		case c == '\r':
			out.WriteString(`\r`)
		case c == '\n':
			out.WriteString(`\n`)
		case c == '\\':
			out.WriteString(`\\`)
		case c < ' ' || c >= 0x7f || c == ' ' && i == len(b)-1:
			fmt.Fprintf(&out, `\x%02x`, c)
		default:
			out.WriteByte(c)
		}
	}
	return out.String()
}
