package main

import (
	"slices"
	"testing"

	"firstfix/internal/judge/rules"
)

// TestEveryRuleTeaches: each rule's page shows it speaking in the first dialogue
// and silent in the second, and neither is longer than a screen.
func TestEveryRuleTeaches(t *testing.T) {
	const most = 60 // rows: a dialogue that needs more should be cut by its author
	speaks := func(r sceneRow) bool { return r.Finding != "" }
	for _, r := range rules.All {
		before, after := lessonOf(r)
		if !slices.ContainsFunc(before.Rows, speaks) {
			t.Errorf("%s: nothing is said in the dialogue before", r.Name)
		}
		if slices.ContainsFunc(after.Rows, speaks) {
			t.Errorf("%s: something is said in the dialogue after", r.Name)
		}
		for _, s := range []scene{before, after} {
			if s.Why == "" || len(s.Rows) == 0 || len(s.Rows) > most {
				t.Errorf("%s: a dialogue of %d rows, %q", r.Name, len(s.Rows), s.Why)
			}
		}
	}
}
