// Package pinwanted reports a card that waits for its PIN, or a device that is locked, and nobody answers.
package pinwanted

import (
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "pinwanted",
	Title:    "the card waits for its PIN",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 8.3 (+CPIN)", "3GPP TS 27.007, 9.2.1 (CME 11)"},
	Doc: `
A card with an active PIN answers AT+CPIN? with SIM PIN after every start, and lets nothing through
until AT+CPIN="…" was accepted. A PIN typed once at the bench is asked for again in the field. An
answer that begins with PH- is not about the card: the device or its operator lock wants a code.`,
	Silent: `
A PIN was given: whether it was right is the business of the rule on few tries. PIN2 blocks nothing
that a tracker needs.`,
	Remedy: `Switch the PIN off at the bench (AT+CLCK="SC",0,"…"), or send it once after each start when AT+CPIN? asks for it, never twice.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	var line dialogue.Line // the answer that asks for it
	var wants string
	var refused *dialogue.Exchange // a command that failed for want of it
	tried := false
	p.OnInfo("+CPIN", func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		switch state := rulebook.Text(a.Params, 0); {
		case state == "READY":
			wants = ""
		case state == "SIM PIN", strings.HasPrefix(state, "PH-"):
			if wants == "" {
				line, wants, refused = l, state, nil
			}
		}
	})
	p.OnResult("+CPIN", func(x *dialogue.Exchange, c *at.Command) { tried = tried || c.Form == at.Set })
	p.OnAnswered(func(x *dialogue.Exchange) {
		if !rulebook.IsCME(x.Result, 11) && !rulebook.IsCMS(x.Result, 311) {
			return
		}
		if wants == "" {
			line, wants = x.Final, "SIM PIN"
		} else if refused == nil {
			refused = x
		}
	})
	p.OnEnd(func() {
		if wants == "" || tried {
			return
		}
		message := "the module wants " + wants + " and was never given one"
		evidence := p.See(line, "wants "+wants)
		if refused == nil {
			p.Report(message, evidence)
			return
		}
		p.Report(message+"; "+rulebook.LineName(refused)+" failed for it", evidence, p.See(refused.Final, "refused"), p.See(refused.Command, "the command"))
	})
}
