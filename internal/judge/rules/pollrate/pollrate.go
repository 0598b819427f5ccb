// Package pollrate reports a question that is asked far too often.
package pollrate

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "pollrate",
	Title:    "the same question is asked many times a second",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (once a second is often)", "3GPP TS 27.007, 7.2 (reports tell changes by themselves)"},
	Doc: `
A loop that asks for registration or signal as fast as answers come keeps the module's small processor busy: reports and
sentences are late, its own watchdog may end it, and the battery goes. Signal changes over seconds, registration over
minutes. Switch on the reports (AT+CREG=1, AT+CNMI) and ask now and then to be sure.`,
	Silent: `
Fewer than forty equal questions within ten seconds. AT alone, as one sends it to a module that starts. Times are not
known.`,
	Remedy: `Ask signal every ten seconds at most and registration every five, and let +CREG, +CGREG and +CEREG report changes.`,
	Watch:  watch,
}

const (
	within = 10 * time.Second
	often  = 40
	kinds  = 8 // different questions watched
)

type poll struct {
	text  string
	first *dialogue.Exchange
	count int
	said  bool
}

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var polls [kinds]poll
	next := 0
	p.OnAsked(func(x *dialogue.Exchange) {
		if len(x.Parsed.Commands) != 1 || x.Parsed.Commands[0].Form == at.Set {
			return
		}
		var q *poll
		for i := range polls {
			if polls[i].text == x.Command.Text {
				q = &polls[i]
			}
		}
		if q == nil {
			q = &polls[next]
			*q = poll{text: x.Command.Text}
			next = (next + 1) % kinds
		}
		if q.first == nil || x.AskedAt.Sub(q.first.AskedAt) > within {
			q.first, q.count = x, 0
		}
		if q.count++; q.count >= often && !q.said {
			q.said = true
			p.Report(fmt.Sprintf("%s asked %d times in %s", rulebook.LineName(x), q.count, rulebook.Span(x.AskedAt.Sub(q.first.AskedAt))), p.See(q.first.Command, "from here on"), p.See(x.Command, "to here"))
		}
	})
}
