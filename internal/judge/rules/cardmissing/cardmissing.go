// Package cardmissing reports a card that the module does not find, or loses.
package cardmissing

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
	Name:     "cardmissing",
	Title:    "the module finds no working card",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 9.2.1 (CME 10, 13, 15)", "3GPP TS 27.005, 3.2.5 (CMS 310, 313, 315)", "3GPP TS 27.007, 8.3 (+CPIN)"},
	Doc: `
Without a card there is no registration and no text. The module says so with +CME ERROR: 10 (none),
13 (does not answer properly) or 15 (wrong kind), in message commands with 310, 313 or 315. A card
that is not seated, turned round, oxidised, or behind a presence switch that is wired the wrong way
gives the same picture. A card that was there and then is gone is a contact: vibration, cold, or the
radio's own bursts in long card lines.`,
	Silent: `
The card turned READY afterwards: then the question came too early after the start.`,
	Remedy: `Seat the card again and look at its contacts and the presence switch; try it in a telephone, and another card in the module.`,
	Watch:  watch,
}

// enough is how often the module must deny the card before more questions add
// nothing. Our estimate.
const enough = 5

func watch(p *rulebook.Pass) {
	var first, ready *dialogue.Exchange // ready: the last proof that the card was there
	count, said := 0, false
	report := func() {
		if first == nil || said {
			return
		}
		said = true
		times := "once"
		if count > 1 {
			times = fmt.Sprintf("%d times", count)
		}
		p.Report(fmt.Sprintf("%s said %s, and the card was never READY", rulebook.Failure(first.Result), times),
			p.See(first.Final, "no working card"), p.See(first.Command, "the question"))
	}
	isReady := func(x *dialogue.Exchange) {
		ready, first, count, said = x, nil, 0, false
	}
	p.OnInfo("+CPIN", func(x *dialogue.Exchange, _ dialogue.Line, a at.Answer) {
		if rulebook.Text(a.Params, 0) == "READY" {
			isReady(x)
		}
	})
	p.OnRestart(func(witness.Restart) { ready = nil })
	p.OnAnswered(func(x *dialogue.Exchange) {
		if !rulebook.IsCME(x.Result, 10, 13, 15) && !rulebook.IsCMS(x.Result, 310, 313, 315) {
			return
		}
		count++
		if ready != nil && !said {
			said = true
			message := "the card was READY before and is gone: " + rulebook.Failure(x.Result)
			if p.TimesKnown() {
				message = fmt.Sprintf("the card was READY %s before and is gone: %s", rulebook.Span(x.DoneAt.Sub(ready.DoneAt)), rulebook.Failure(x.Result))
			}
			p.Report(message, p.See(x.Final, "gone"), p.See(ready.Command, "answered READY"))
			return
		}
		if first == nil {
			first = x
		}
		if count >= enough && !p.TimesKnown() {
			report()
		}
	})
	p.OnEnd(report)
}
