// Package notextservice reports a card that has data and no texts.
package notextservice

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "notextservice",
	Title:    "there is data service here but none for texts",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 7.2 (+CREG), 10.1.20 (+CGREG), 10.1.22 (+CEREG)", "3GPP TS 27.007, 10.1.21 (+CGSMS; from memory)"},
	Doc: `
The module is registered for packets and not for circuits, and every text fails on a good signal. Some contracts have no
texts, some LTE networks do not carry them for this device, and some modules send them over circuits until they are told
otherwise. Data works all the while, so antenna, card and signal are fine.`,
	Silent: `
A text was accepted; +CREG says registered, or says nothing at all; only one text failed.`,
	Remedy: `Ask the operator whether this contract may send texts over LTE, try AT+CGSMS=2 (packets first), or send over data.`,
	Watch:  watch,
}

const enough = 2

func watch(p *rulebook.Pass) {
	count, over := 0, false
	var first *dialogue.Exchange
	p.OnResult("+CMGS", func(x *dialogue.Exchange, _ *at.Command) {
		if over || x.Text.IsZero() {
			return
		}
		if !x.Result.Failed() {
			over = x.Result.Kind == at.OK
			return
		}
		circuits, asked := p.Known().Registration("+CREG")
		packets, ok := p.Known().Registered()
		if !asked || circuits.Registered() || !ok || packets.Command == "+CREG" || packets.Stat == 6 || packets.Stat == 7 {
			return
		}
		if count++; count == 1 {
			first = x
		}
		if count < enough {
			return
		}
		over = true
		p.Report(fmt.Sprintf("%d texts failed with %s: %s says %d, which is data service, and +CREG says %d", count, rulebook.Failure(x.Result), packets.Command, packets.Stat, circuits.Stat),
			p.See(x.Final, "refused"), p.See(circuits.Line, "no service for circuits"), p.See(packets.Line, "service for packets"), p.See(first.Final, "the first refusal"))
	})
}
