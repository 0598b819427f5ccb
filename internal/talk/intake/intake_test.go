package intake

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"firstfix/internal/talk/capture"
)

var update = flag.Bool("update", false, "rewrite the .records files; read the diff")

// TestImports compares what is read from testdata/in/* with testdata/*.records.
// The inputs are in the shapes that terminals and loggers write: common
// practice, no source. Their talk is made up.
func TestImports(t *testing.T) {
	files, err := filepath.Glob("testdata/in/*")
	if err != nil || len(files) == 0 {
		t.Fatalf("no inputs: %v", err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			b, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			got := dump(string(b), filepath.Base(file))
			golden := filepath.Join("testdata", filepath.Base(file)+".records")
			if *update {
				if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

// dump writes down what a file is read as.
func dump(file, name string) string {
	var b strings.Builder
	s, err := Open(strings.NewReader(file), name, Options{})
	if err != nil {
		var u *Unreadable
		if errors.As(err, &u) {
			return fmt.Sprintf("error: %v\nhint: %s\n", err, u.Hint)
		}
		return fmt.Sprintf("error: %v\n", err)
	}
	for {
		r, err := s.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			fmt.Fprintf(&b, "error: %v\n", err)
			break
		}
		describe(&b, r)
	}
	info := s.Info()
	fmt.Fprintf(&b, "kind %s", info.Kind)
	if info.Began != "" {
		fmt.Fprintf(&b, ", began %s", info.Began)
	}
	fmt.Fprintf(&b, ", times known %t, directions known %t\n", info.TimesKnown, info.DirectionsKnown)
	for _, a := range info.Assumed {
		fmt.Fprintf(&b, "assumed: %s\n", a)
	}
	return b.String()
}

var marks = map[capture.Direction]string{capture.Controller: ">", capture.Module: "<", capture.Unknown: "?"}

func describe(b *strings.Builder, r capture.Record) {
	fmt.Fprintf(b, "line %d: %s ", r.SourceLine, r.At)
	if r.Event != "" {
		fmt.Fprintf(b, "= %s\n", r.Event)
		return
	}
	fmt.Fprintf(b, "%s %s\n", marks[r.From], EscapeTalk(r.Bytes))
}
