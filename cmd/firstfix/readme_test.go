package main

import (
	"bytes"
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite the sample in README.md; read the difference")

// TestREADME keeps the sample in README.md what the program says today.
func TestREADME(t *testing.T) {
	const file, begin, end = "../../README.md", "<!-- sample begins; go test ./cmd/firstfix -run README -update rewrites it -->\n", "<!-- sample ends -->"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(text), begin)
	_, after, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatal("README.md has lost the marks around its sample")
	}
	var out, errs bytes.Buffer
	if status := run([]string{"check", "--world", "antennas-swapped", "--brief"}, &streams{Out: &out, Err: &errs}); status != statusFound {
		t.Fatalf("status %d: %s", status, errs.String())
	}
	// The cautions stand in README already.
	said, _, _ := strings.Cut(out.String(), "\nCautions\n")
	want := before + begin + "```\n" + strings.TrimRight(said, "\n") + "\n```\n" + end + after
	if *update {
		if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(want, string(text)); diff != "" {
		t.Errorf("README.md's sample is stale; go test ./cmd/firstfix -run README -update (-want +got):\n%s", diff)
	}
}
