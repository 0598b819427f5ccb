// Package neverdeleted reports messages that are read and never deleted.
package neverdeleted

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "neverdeleted",
	Title:    "messages are read and never deleted",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.005, 3.5.4 (+CMGD), 3.2.2 (+CPMS)", "common practice, no source (cards hold 10 to 50 messages)"},
	Doc: `
Each message that arrived and was read stays in its place until somebody deletes it, and the numbers in +CMTI climb. A card holds ten to
fifty. When the last place is taken nothing arrives any more, without a word, weeks after the bench test was passed. The network keeps
what does not fit for some days and then throws it away.`,
	Silent: `
Something was deleted; fewer than ten messages arrived and were read; the same places are used again.`,
	Remedy: `Delete each message when it was handled (AT+CMGD=<index>), and clean the store at every start.`,
	Watch:  watch,
}

const enough = 10

func watch(p *rulebook.Pass) {
	highest, climbs := 0, 0
	read := 0
	var first, last dialogue.Line
	reset := func() { highest, climbs, read = 0, 0, 0 }
	p.OnReport("+CMTI", func(l, _ dialogue.Line, a at.Answer) {
		n, ok := rulebook.Int(a.Params, 1)
		if !ok {
			return
		}
		if n <= highest {
			reset()
		}
		if climbs == 0 {
			first = l
		}
		highest, last = n, l
		climbs++
	})
	p.OnResult("+CMGD", func(*dialogue.Exchange, *at.Command) { reset() })
	p.OnResult("+CMGR", func(x *dialogue.Exchange, _ *at.Command) {
		if len(x.Info) == 0 || climbs == 0 {
			return
		}
		if read++; read == enough && climbs >= enough {
			p.Report(fmt.Sprintf("%d messages were read and none deleted; their places have climbed to %d", read, highest), p.See(last, "the highest place"), p.See(first, "the first of them"), p.See(x.Command, "read, not deleted"))
		}
	})
}
