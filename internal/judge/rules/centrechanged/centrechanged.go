// Package centrechanged reports a service-centre number that was overwritten.
package centrechanged

import (
	"fmt"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "centrechanged",
	Title:    "the service-centre number was overwritten with a foreign one",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.005, 3.3.1 (+CSCA: <sca>[,<tosca>])", "ITU-T E.164, 6 (country codes)"},
	Doc: `
The card knows its operator's service centre. Scripts copied from elsewhere write the number of somebody else's operator
over it, often of another country; then texts are refused or lost while everything else works, and reading +CSCA shows a
number, so nobody looks twice. A number without "+" and without type 145 is taken as national.`,
	Silent: `
The number written begins like the one that was read; the number was empty before; the text that follows is accepted.`,
	Remedy: `Take AT+CSCA=… out of the firmware, ask the operator for the right number, write it once with "+" and 145, and keep it with AT+CSAS.`,
	Watch:  watch,
}

const prefix = 3 // "+44": enough to tell countries apart in practice

func watch(p *rulebook.Pass) {
	var read, set dialogue.Line
	was, now := "", ""
	said := false
	p.OnInfo("+CSCA", func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		if n := rulebook.Text(a.Params, 0); n != "" && set.IsZero() {
			read, was = l, n
		}
	})
	p.OnResult("+CSCA", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set && x.Result.Kind == at.OK {
			set, now, said = x.Command, rulebook.Text(c.Params, 0), false
			if kind := rulebook.Text(c.Params, 1); now != "" && now[0] != '+' && kind != "145" {
				now = "national " + now
			}
		}
	})
	p.OnResult("+CMGS", func(x *dialogue.Exchange, _ *at.Command) {
		if said || set.IsZero() || now == "" || !x.Result.Failed() || rulebook.IsCMS(x.Result, 304, 305) {
			return
		}
		var more []finding.Evidence
		message := ""
		switch {
		case strings.HasPrefix(now, "national "):
			message = "+CSCA was set without + and country code"
		case was != "" && len(now) >= prefix && !strings.HasPrefix(was, now[:prefix]):
			message = fmt.Sprintf("+CSCA was %s… and was set to %s…", was[:min(prefix, len(was))], now[:prefix])
			more = append(more, p.See(read, "what the card had"))
		case was == "" && rulebook.IsCMS(x.Result, 38, 50, 500):
			message = "+CSCA was set by the firmware and never read before"
		default:
			return
		}
		said = true
		p.Report(message+"; the text failed with "+rulebook.Failure(x.Result), p.See(set, "overwritten"), append(more, p.See(x.Final, "the failure"))...)
	})
}
