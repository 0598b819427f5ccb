package rules

import (
	"testing"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
)

// Enough: no rule adds more than 5 % to what dialogue, epochs and the witness cost
// without any rule ("none"). One that adds more looks at every sentence more than
// once, or keeps what it need not.
//
// With -benchtime 20x the extra-% of a quiet machine is good to some 2 %:
//
//	go test ./internal/judge/rules -run XXX -bench EachRule -benchtime 20x | sort -k5 -n
func BenchmarkEachRule(b *testing.B) {
	records, bytes := hour()
	info := capture.Info{Kind: "capture", TimesKnown: true, DirectionsKnown: true}
	var none float64 // ns for the hour without rules; 0 when that was not asked for
	run := func(name string, list []*rulebook.Rule) {
		b.Run(name, func(b *testing.B) {
			b.SetBytes(bytes)
			b.ReportAllocs()
			for b.Loop() {
				j := rulebook.NewJudge(list, info, rulebook.Options{PlacesPerRule: 20})
				for _, r := range records {
					j.Feed(r)
				}
				j.End()
			}
			took := float64(b.Elapsed().Nanoseconds()) / float64(b.N)
			if list == nil {
				none = took
			} else if none > 0 {
				b.ReportMetric(100*(took-none)/none, "extra-%")
			}
		})
	}
	run("none", nil)
	for _, r := range All {
		run(r.Name, []*rulebook.Rule{r})
	}
	run("all", All)
}
