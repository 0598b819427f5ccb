package rules

import (
	"fmt"
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

// Enough: 500 µs for each wrong position, so that the 4320 of a day of a tracker that
// misreads every position and reports one in twenty seconds cost 2 s.
func BenchmarkWrongPositions(b *testing.B) {
	var records []capture.Record
	say := func(at time.Duration, from capture.Direction, s string) {
		r := capture.Record{Number: len(records) + 1, From: from, Bytes: s}
		r.At = r.At.Add(at)
		records = append(records, r)
	}
	texts := 0
	for s := range 3600 {
		at := time.Duration(s) * time.Second
		north, east := 18.4+float64(s)*1e-3, 37.2+float64(s)*1e-3 // minutes, behind 52 and 8 degrees
		body := fmt.Sprintf("GNRMC,%02d%02d%02d.00,A,52%08.5f,N,008%08.5f,E,4.0,,040326,,,A", 10+s/3600, s/60%60, s%60, north, east)
		var sum byte
		for i := range len(body) {
			sum ^= body[i]
		}
		say(at, capture.Module, fmt.Sprintf("$%s*%02X\r\n", body, sum))
		if s%20 == 10 {
			texts++
			say(at+100*time.Millisecond, capture.Controller, "AT+CMGS=\"+447700900123\"\r")
			say(at+130*time.Millisecond, capture.Module, "\r\n> ")
			say(at+150*time.Millisecond, capture.Controller, fmt.Sprintf("T07 %.6f,%.6f\x1a", 52+north/100, 8+east/100))
			say(at+400*time.Millisecond, capture.Module, "\r\n+CMGS: 4\r\n\r\nOK\r\n")
		}
	}
	for b.Loop() {
		j := rulebook.NewJudge(All, capture.Info{Kind: "capture", TimesKnown: true, DirectionsKnown: true}, rulebook.Options{PlacesPerRule: 3})
		for _, r := range records {
			j.Feed(r)
		}
		j.End()
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*texts), "µs/position")
}
