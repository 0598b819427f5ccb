// Package searchabort reports a search for operators that the controller cut short.
package searchabort

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "searchabort",
	Title:    "search for operators cut short",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 7.3 (+COPS=?, may be aborted)", "V.250, 5.6.1", "common practice, no source (180 s)"},
	Doc: `
AT+COPS=? makes the module listen on every band for every network. That takes one to three minutes,
and any byte sent meanwhile aborts it: the list never comes, or comes empty. Programs that wait ten
seconds and go on conclude that there is no network.`,
	Silent: `
The list came before the next command, or the controller had waited three minutes.`,
	Remedy: `Wait 180 s for the answer of AT+COPS=?, send nothing meanwhile, and ask it only when searching for a fault.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	p.OnAsked(func(x *dialogue.Exchange) {
		open := p.Open()
		if len(open) == 0 {
			return
		}
		search := open[len(open)-1]
		if c, ok := search.Parsed.Find("+COPS"); !ok || c.Form != at.Test {
			return
		}
		message := fmt.Sprintf("%s sent while AT+COPS=? was still searching", rulebook.LineName(x))
		if p.TimesKnown() {
			waited := x.Command.Began.Sub(search.AskedAt)
			if waited >= rulebook.Limit(search.Parsed) {
				return
			}
			message = fmt.Sprintf("%s sent %s after AT+COPS=?, which may take %s", rulebook.LineName(x), rulebook.Span(waited), rulebook.Span(rulebook.Limit(search.Parsed)))
		}
		p.Report(message, p.See(x.Command, "cuts the search short"), p.See(search.Command, "the search"))
	})
}
