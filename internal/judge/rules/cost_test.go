package rules

import (
	"testing"
	"time"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
)

// Enough: no rule adds more than 5 % to what dialogue, epochs and the witness cost
// without any rule. One that adds more looks at every sentence in earnest, or keeps
// what it need not. extra-% compares the quickest hour with the quickest of those
// without rules that were run in between, so that a machine that others use as well
// does not decide:
//
//	go test ./internal/judge/rules -run XXX -bench EachRule -benchtime 20x -cpu 1
func BenchmarkEachRule(b *testing.B) {
	records, bytes := hour()
	info := capture.Info{Kind: "capture", TimesKnown: true, DirectionsKnown: true}
	judge := func(list []*rulebook.Rule) time.Duration {
		began := time.Now()
		j := rulebook.NewJudge(list, info, rulebook.Options{PlacesPerRule: 20})
		for _, r := range records {
			j.Feed(r)
		}
		j.End()
		return time.Since(began)
	}
	run := func(name string, list []*rulebook.Rule) {
		b.Run(name, func(b *testing.B) {
			none, with := time.Hour, time.Hour
			for b.Loop() {
				none, with = min(none, judge(nil)), min(with, judge(list))
			}
			b.SetBytes(2 * bytes)
			b.ReportMetric(100*float64(with-none)/float64(none), "extra-%")
		})
	}
	for _, r := range All {
		run(r.Name, []*rulebook.Rule{r})
	}
	run("all", All)
}
