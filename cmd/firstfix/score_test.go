package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"firstfix/internal/judge/bringup"
)

const threadsFolder = "../../corpus/threads"

// TestScore holds the least that must be reached: go test ./cmd/firstfix -run Score -v prints the table.
func TestScore(t *testing.T) {
	o := scoreOptions{corpus: threadsFolder, seeds: 5, hours: 24}
	if testing.Short() {
		o.seeds, o.hours = 1, 2
	}
	r, err := runScore(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	var table bytes.Buffer
	r.write(&table, true)
	t.Logf("\n%s", table.String())
	for _, least := range []struct {
		group  string
		within int
		share  float64
	}{
		{"a", 1, aimWorlds}, {"b", 3, 0.85}, {"b hidden", 3, 0.95}, {"d tune", 1, aimThreads}, {"d test", 1, aimThreads},
	} {
		if got := r.share(least.group, least.within); got < least.share {
			t.Errorf("%s: %.1f %% of %d within the first %d: want %.0f %%", least.group, 100*got, r.count(least.group), least.within, 100*least.share)
		}
	}
	for _, a := range r.alarms {
		t.Errorf("a false alarm: %s", a)
	}
	// Who is told "almost certainly" must not be misled.
	for _, c := range r.cases {
		if c.said >= 0.97 && c.rank != 1 && c.group != "d test" {
			t.Errorf("%s %s: %.2f sure, and wrong: want %v, got %s", c.group, c.name, c.said, c.want, c.got)
		}
	}
}

// TestThreadsAreListed compares the folder with its list.
func TestThreadsAreListed(t *testing.T) {
	list, err := os.ReadFile(filepath.Join(threadsFolder, "expected.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	half := map[string]int{}
	listed := map[string]bool{"expected.tsv": true}
	for _, line := range strings.Split(strings.TrimSpace(string(list)), "\n") {
		cols := strings.Split(line, "\t")
		listed[cols[0]] = true
		half[cols[1]]++
		if !slices.Contains(causeNames(), cols[2]) && cols[2] != bringup.SomethingElse {
			t.Errorf("%s: there is no cause %q", cols[0], cols[2])
		}
		if want := map[byte]string{'a': "test", 'b': "tune"}[cols[0][0]]; cols[1] != want {
			t.Errorf("%s is in the half %q: want %q", cols[0], cols[1], want)
		}
	}
	files, err := os.ReadDir(threadsFolder)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !listed[f.Name()] {
			t.Errorf("%s is not in expected.tsv", f.Name())
		}
	}
	if len(files) != len(listed) || half["test"] < 30 || half["test"]+half["tune"] < 60 {
		t.Errorf("%d files, %d listed; %d and %d in the halves: want 60 in all, half of them never tuned to", len(files), len(listed), half["test"], half["tune"])
	}
}

// TestEveryTruthHasALink: the score's own table knows every fault that worlds plant.
func TestEveryTruthHasALink(t *testing.T) {
	for truth := range linkOfTruth {
		if !slices.Contains(causeNames(), truth) {
			t.Errorf("there is no cause %q", truth)
		}
	}
	for world, link := range brokenFirst {
		w, err := loadWorld(world)
		if err != nil {
			t.Fatal(err)
		}
		if w.Truth != "none" && linkOfTruth[w.Truth] != link {
			t.Errorf("world %s breaks the %s, and its truth %s stands at the %q", world, link, w.Truth, linkOfTruth[w.Truth])
		}
	}
}
