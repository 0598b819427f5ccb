// Package atindata reports commands that are sent while data passes.
package atindata

import (
	"fmt"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "atindata",
	Title:    "commands are sent as data",
	Severity: finding.Error,
	Cites:    []string{"V.250, 6.3.1 and 5.6 (after CONNECT everything is data)", "common practice, no source (1 s, +++, 1 s)"},
	Doc: `
After CONNECT the module passes every byte on to the other end. AT is data then: nobody answers, and the far end reads it.
A program that restarts while a connection is open, or that never leaves it, sees a dead module. Leave data state first:
a second of silence, +++ without CR, a second of silence, wait for OK; or drop DTR.`,
	Silent: `
One such line, which may be data that looks like a command; a command that the module answered.`,
	Remedy: `At every start send the way out first (1 s pause, +++, 1 s pause, then ATH), and only then the set-up.`,
	Watch:  watch,
}

const enough = 2

func watch(p *rulebook.Pass) {
	var first dialogue.Line
	var connect dialogue.Line
	count := 0
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Result.Kind == at.Connect {
			connect, count = x.Final, 0
			return
		}
		count = -1 // command state
	})
	p.OnData(func(l dialogue.Line) {
		if l.From != capture.Controller || count < 0 {
			return
		}
		for line := range strings.FieldsFuncSeq(l.Text, func(r rune) bool { return r == '\r' || r == '\n' }) {
			if !at.IsCommandLine(line) {
				continue
			}
			if count++; count == 1 {
				first = l
			}
			if count == enough {
				p.Report(fmt.Sprintf("%d command lines were sent after CONNECT, where everything is data", count), p.See(l, "data, not a command"), p.See(first, "the first of them"), p.See(connect, "data state from here on"))
			}
		}
	})
}
