// Package sessionrefused reports a data session that the network refuses.
package sessionrefused

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "sessionrefused",
	Title:    "the network refuses the data session",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 10.1.1 (+CGDCONT), 10.1.10 (+CGACT), 9.2.2", "3GPP TS 24.008, 10.5.6.6 (causes; from memory)"},
	Doc: `
AT+CGACT=1,1 fails at once, the same way each time: the access point name in AT+CGDCONT is not the one of
this card's contract, its type (IP, IPV6) is not offered, or user name and password are missing.
+CME ERROR: 133 is "not subscribed", 149 "who are you", 127 "no such name". Trying faster changes nothing.`,
	Silent: `
A later attempt with the same settings worked: then it was congestion.`,
	Remedy: `Compare AT+CGDCONT? with the contract (name, type, user, password), read AT+CEER for the cause, and try once after each change.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	var first *dialogue.Exchange
	count := 0
	var definition dialogue.Line // the last +CGDCONT
	p.OnCommand("+CGDCONT", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set {
			definition = x.Command
		}
	})
	p.OnInfo("+CGDCONT", func(_ *dialogue.Exchange, l dialogue.Line, _ at.Answer) { definition = l })
	p.OnResult("+CGACT", func(x *dialogue.Exchange, c *at.Command) {
		switch {
		case c.Form != at.Set || rulebook.Text(c.Params, 0) != "1":
		case x.Result.Kind == at.OK:
			first, count = nil, 0
		case rulebook.IsCME(x.Result, 103, 106, 107, 111, 112, 113, 126, 127, 128, 129, 130, 131, 132, 133, 134, 148, 149, 177, 179):
			if first == nil {
				first = x
			}
			count++
		}
	})
	p.OnEnd(func() {
		if first == nil {
			return
		}
		message := fmt.Sprintf("%s failed with %s", rulebook.LineName(first), rulebook.Failure(first.Result))
		if count > 1 {
			message += fmt.Sprintf(", %d times", count)
		}
		evidence := []finding.Evidence{p.See(first.Command, "the command")}
		if !definition.IsZero() {
			evidence = append(evidence, p.See(definition, "the session's definition"))
		}
		p.Report(message, p.See(first.Final, "refused"), evidence...)
	})
}
