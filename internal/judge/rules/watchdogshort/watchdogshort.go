// Package watchdogshort reports a controller that begins from the top at the same moment of a long wait.
package watchdogshort

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "watchdogshort",
	Title:    "the controller begins from the top at the same moment of a long wait",
	Severity: finding.Error,
	Cites:    []string{"common practice, no source (watchdogs of small controllers end at 8 s and less)", "V.250, 5.6 (a command may take its time)"},
	Doc: `
Every time the controller waits for a slow command, it starts from the top, and always after the same number of
seconds: 8.0, 8.0, 8.0. That is no supply, which would vary with the signal; it is a watchdog that nobody feeds while
the program waits, or a time limit of the program's own after which it gives everything up. Many small controllers
allow 8 s at most, and registering or sending may take minutes.`,
	Silent: `
The waits differ by more than a fifth of a second, as they do when a supply gives way; a wait under a second; a single
time. The module started anew.`,
	Remedy: `Cut long waits into short ones and feed the watchdog in each, or use an outside watchdog that is longer than the slowest command.`,
	Watch:  watch,
}

const (
	even     = 200 * time.Millisecond
	shortest = time.Second
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var before time.Duration
	var first *dialogue.Exchange
	count := 1
	p.OnAnew(func(a rulebook.Anew) {
		x := a.Cut
		if x == nil {
			return
		}
		if r, ok := p.Known().LastRestart(); ok && r.Line.Record > x.Command.Record {
			return
		}
		since := x.AskedAt
		if !x.Text.IsZero() {
			since = x.Text.At
		}
		waited := a.Line.Began.Sub(since)
		if first == nil || (waited-before).Abs() > even || waited < shortest {
			first, before, count = x, waited, 1
			return
		}
		if count++; count > 2 {
			return
		}
		p.Report(fmt.Sprintf("the controller began from the top %s after %s, as it had done after %s", rulebook.Span(waited), rulebook.LineName(x), rulebook.LineName(first)),
			p.See(a.Line, "begins again"), p.See(x.Command, "was waited for"), p.See(first.Command, "was waited for the first time"))
	})
}
