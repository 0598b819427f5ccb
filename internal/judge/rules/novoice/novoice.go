// Package novoice reports a network that has no calls for this module.
package novoice

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "novoice",
	Title:    "there is no voice service for this module here",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 7.2 (+CREG: circuits), 10.1.22 (+CEREG: LTE)", "3GPP TS 23.272, 4 (fall-back to circuits; from memory)"},
	Doc: `
The module is registered on LTE and not for circuits, and a call ends at once: the network has no older radio to fall back to, or no voice over
LTE for this module and card. A device that was woken by a missed call is deaf now; callers hear that it cannot be reached, and the log stays
empty.`,
	Silent: `
+CREG says registered, or says nothing; the call failed after more than eight seconds, as one that nobody takes does.`,
	Remedy: `Trigger the device by text or over data, or ask the operator for voice over LTE for this module and contract.`,
	Watch:  watch,
}

const atOnce = 8 * time.Second

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	said := false
	p.OnResult("D", func(x *dialogue.Exchange, c *at.Command) {
		voice := strings.HasSuffix(strings.TrimSpace(c.Text), ";")
		if said || !voice || !x.Result.Failed() || x.Result.Kind == at.Busy || x.DoneAt.Sub(x.AskedAt) > atOnce {
			return
		}
		circuits, ok1 := p.Known().Registration("+CREG")
		packets, ok2 := p.Known().Registration("+CEREG")
		if !ok1 || !ok2 || circuits.Registered() || !packets.Registered() {
			return
		}
		said = true
		p.Report(fmt.Sprintf("a call ended after %s with %s: +CEREG says %d, +CREG says %d", rulebook.Span(x.DoneAt.Sub(x.AskedAt)), rulebook.Failure(x.Result), packets.Stat, circuits.Stat),
			p.See(x.Command, "the call"), p.See(circuits.Line, "no circuits"), p.See(packets.Line, "LTE only"), p.See(x.Final, "the end"))
	})
}
