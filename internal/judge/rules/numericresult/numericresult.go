// Package numericresult reports results in digits that the program does not understand.
package numericresult

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "numericresult",
	Title:    "results come as digits and the program waits for OK",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 6.2.6 (V)", "V.250, 5.7.1 (codes: 0 OK, 4 ERROR)"},
	Doc: `
After ATV0 the module says 0 instead of OK and 4 instead of ERROR, with a CR alone behind it. A program that waits for
the letters sees nothing it knows, waits its time and sends the same command again, though it had worked. The setting
may come from a stored profile that somebody made years ago.`,
	Silent: `
The program goes on after the digit: then it understands. Words came as well.`,
	Remedy: `Send ATV1 at the start of every set-up, before anything is read.`,
	Watch:  watch,
}

const enough = 3

func watch(p *rulebook.Pass) {
	var first *dialogue.Exchange
	count, said := 0, false
	p.OnAnswered(func(x *dialogue.Exchange) {
		if !x.Result.Numeric || x.Result.Failed() || x.Outcome != dialogue.Finished || len(x.Info) > 0 {
			first, count = nil, 0
			return
		}
		if first == nil || first.Command.Text != x.Command.Text {
			first, count = x, 0
		}
		if count++; count < enough || said {
			return
		}
		said = true
		p.Report(fmt.Sprintf("%s was sent %d times though each was answered with %s, which is OK in digits", rulebook.LineName(x), count, x.Final.Text),
			p.See(x.Command, "sent again"), p.See(first.Final, "OK, in digits"))
	})
}
