// Package nopause reports commands that are lost because they follow a result at once.
package nopause

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "nopause",
	Title:    "commands that follow a result at once are lost",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 5.5 (a pause after the result; from memory)", "common practice, no source (20 to 100 ms)"},
	Doc: `
Between its OK and the moment in which it listens again, a module needs a little time, on some models a tenth of a second.
A command that comes two milliseconds after the OK is lost, now and then, and the program waits for an answer that cannot
come. The recording shows it: the quick ones are lost, those with a pause are answered.`,
	Silent: `
Quick commands that are answered, as most modules do; commands that are lost after a pause too. Fewer than two lost, or
fewer than four that were answered after a pause.`,
	Remedy: `Wait 50 to 100 ms after every final result before the next command.`,
	Watch:  watch,
}

const (
	quick    = 20 * time.Millisecond
	slow     = 50 * time.Millisecond
	enough   = 2
	answered = 4
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var first *dialogue.Exchange
	lost, quickFine, slowFine, slowLost := 0, 0, 0, 0
	p.OnAnswered(func(x *dialogue.Exchange) {
		before := x.Previous
		if before == nil || before.Outcome != dialogue.Finished || before.Final.At > x.Command.Began {
			return
		}
		gap := x.Command.Began.Sub(before.Final.At)
		fine := x.Outcome == dialogue.Finished
		gone := !fine && !x.Echoed && len(x.Info) == 0 && x.Prompt.IsZero()
		switch {
		case gap < quick && fine:
			quickFine++
		case gap < quick && gone:
			if lost++; lost == 1 {
				first = x
			}
			if lost >= enough && quickFine < lost && slowFine >= answered && slowLost == 0 {
				p.Report(fmt.Sprintf("%d commands sent within 20 ms of a result were never answered; of %d with a pause all were", lost, slowFine),
					p.See(x.Command, fmt.Sprintf("%s after the result", rulebook.Span(gap))), p.See(before.Final, "the result"), p.See(first.Command, "the first one lost"))
				lost, quickFine, slowFine = 0, 0, 0
			}
		case gap >= slow && fine:
			slowFine++
		case gap >= slow && gone:
			slowLost++
		}
	})
}
