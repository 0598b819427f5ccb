// Package sendunregistered reports texts and sessions that are tried without a network.
package sendunregistered

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "sendunregistered",
	Title:    "sent without a network though the module had said so",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 7.2 (<stat> 0, 2, 3, 4: not registered)", "3GPP TS 27.005, 3.2.5 (CMS 331, 332)"},
	Doc: `
The module had said that it has no network, and the program sent all the same. The failure takes a minute of radio time, the
text is lost unless somebody keeps it, and the log shows a failed text where the cause is the network. Look at the last
registration before each send, and put what cannot go into a queue.`,
	Silent: `
Any of +CREG, +CGREG and +CEREG says registered; nothing was said about it; the text was taken, or refused
for a reason of the module's own.`,
	Remedy: `Send only after +CREG, +CGREG or +CEREG said 1 or 5; otherwise keep the text in a queue and wait for the report that says so.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	said := 0
	p.OnAnswered(func(x *dialogue.Exchange) {
		if !x.Result.Failed() || said == 3 || !x.Is("+CMGS") && !x.Is("+CMSS") && !x.Is("+CGACT") && !x.Is("D") {
			return
		}
		if _, ok := p.Known().Registered(); ok {
			return
		}
		var last witness.Registration
		for _, name := range [...]string{"+CREG", "+CGREG", "+CEREG", "+C5GREG"} {
			if r, ok := p.Known().Registration(name); ok && r.Line.Record < x.Command.Record && r.Line.Record > last.Line.Record {
				last = r
			}
		}
		if last.Line.IsZero() {
			return
		}
		if code := rulebook.Code(x.Result); x.Result.Kind == at.CMSError && code >= 300 && code != 331 && code != 332 && code != 500 {
			return // the module itself refused, for another reason
		}
		said++
		message := fmt.Sprintf("%s was sent though %s had said %d", rulebook.LineName(x), last.Command, last.Stat)
		if p.TimesKnown() {
			message += fmt.Sprintf(" %s before", rulebook.Span(x.AskedAt.Sub(last.Line.Began)))
		}
		p.Report(message+"; it failed with "+rulebook.Failure(x.Result), p.See(x.Command, "needs the network"), p.See(last.Line, "no network"), p.See(x.Final, "the failure"))
	})
}
