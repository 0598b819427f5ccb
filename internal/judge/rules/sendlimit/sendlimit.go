// Package sendlimit reports texts that are refused after too many in a row.
package sendlimit

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "sendlimit",
	Title:    "texts are refused after many in a short time",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.005, 3.2.5 (CMS 21, 38, 41, 42, 47)", "3GPP TS 24.011, annex E (causes 38, 41, 42, 47; from memory)", "common practice, no source (operators limit texts an hour)"},
	Doc: `
Texts went well one after the other, and then the network refuses: out of order, temporary failure, congestion, no resources, rejected. One
text an hour later goes through. Operators limit how many a card may send in a while, and the limit is in no contract. Going on at the same
pace makes it last longer.`,
	Silent: `
Fewer than five texts had been accepted within the ten minutes before. Other causes.`,
	Remedy: `Put texts into a queue, leave at least ten seconds between two, double the pause after each refusal, and let alarms pass the others.`,
	Watch:  watch,
}

const (
	within = 10 * time.Minute
	enough = 5
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var taken []*dialogue.Exchange // within the last ten minutes, at most most
	const most = 128
	said := false
	p.OnResult("+CMGS", func(x *dialogue.Exchange, _ *at.Command) {
		for len(taken) > 0 && x.DoneAt.Sub(taken[0].DoneAt) > within {
			taken = taken[1:]
		}
		if witness.Accepted(x).Or(false) {
			if len(taken) < most {
				taken = append(taken, x)
			}
			return
		}
		if said || len(taken) < enough || !rulebook.IsCMS(x.Result, 21, 38, 41, 42, 47) {
			return
		}
		said = true
		p.Report(fmt.Sprintf("%d texts were taken within %s, and then one was refused with %s", len(taken), rulebook.Span(x.DoneAt.Sub(taken[0].DoneAt)), rulebook.Failure(x.Result)),
			p.See(x.Final, "refused"), p.See(taken[0].Command, "the first of them"), p.See(x.Command, "the command"))
	})
}
