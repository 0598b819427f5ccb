// Package noreport notes texts whose delivery nobody asked about.
package noreport

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "noreport",
	Title:    "no delivery report was asked for",
	Severity: finding.Note,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.5 (TP-SRR), 9.2.3.15 (status)", "3GPP TS 27.005, 3.3.2 (+CSMP), 3.4.1 (+CNMI <ds>)"},
	Doc: `
"+CMGS: 57" and OK mean that the service centre took the text, not that anybody received it. Whether it
was delivered is said by a status report, and only if it was asked for: first octet 49 instead of 17 in
+CSMP, and 1 or 2 in the fourth place of +CNMI. The report carries the number that +CMGS gave.`,
	Silent: `
A report was asked for, for one text at least; or fewer than three texts were accepted.`,
	Remedy: `While proving a tracker send AT+CSMP=49,167,0,0 and AT+CNMI=2,1,0,1,0, and match the +CDS lines with the numbers of +CMGS.`,
	Watch:  watch,
}

// enough texts to be more than a trial. Our estimate.
const enough = 3

func watch(p *rulebook.Pass) {
	var last *witness.Message
	var first, answer dialogue.Line // of the first text that was accepted without
	count, asked := 0, false
	p.OnMessage(func(m *witness.Message) {
		if m.Out {
			last = m
		}
	})
	p.OnResult("+CMGS", func(x *dialogue.Exchange, _ *at.Command) {
		if last == nil || last.X != x || !witness.Accepted(x).Or(false) {
			return
		}
		fo, known := last.FirstOctet.Get()
		if known && sms.ReadFirstOctet(byte(fo), sms.ToNetwork).StatusRequest {
			asked = true
			return
		}
		if count == 0 {
			first, answer = x.Command, x.Final
		}
		count++
	})
	p.OnEnd(func() {
		if count < enough || asked {
			return
		}
		p.Report(fmt.Sprintf("%d texts were accepted and nobody asked whether they arrived", count), p.See(first, "sent without asking for a report"), p.See(answer, "accepted, which is not delivered"))
	})
}
