// Package undelivered reports texts that the network took and nobody received.
package undelivered

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "undelivered",
	Title:    "a text was taken by the network and never delivered",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.15 (TP-Status: 0x40 and more is given up)", "3GPP TS 27.005, 3.4.1 (+CDS)"},
	Doc: `
"+CMGS: 12" said that the service centre took the text; the status report says what became of it. From 0x40 on the centre has given up:
the number does not exist, the telephone was off until the validity ended, its owner's contract or a filter refused it. From 0x20 to 0x3F
it still tries. The report carries the number that +CMGS gave.`,
	Silent: `
Delivered, or still being tried.`,
	Remedy: `Match the report with its text by the number, tell the program that it was not delivered, and try another number or another way.`,
	Watch:  watch,
}

const kept = 16

func watch(p *rulebook.Pass) {
	type sent struct {
		reference int
		line      dialogue.Line
	}
	var texts [kept]sent
	next := 0
	p.OnInfo("+CMGS", func(x *dialogue.Exchange, _ dialogue.Line, a at.Answer) {
		if n, ok := rulebook.Int(a.Params, 0); ok {
			texts[next] = sent{n, x.Command}
			next = (next + 1) % kept
		}
	})
	p.OnDelivery(func(d rulebook.Delivery) {
		if d.Status.Delivered() || d.Status.Trying() {
			return
		}
		message := fmt.Sprintf("text number %d was not delivered: %s (status 0x%02X)", d.Reference, d.Status, byte(d.Status))
		for i := range kept { // the newest first: references come round after 256
			t := &texts[(next+kept-1-i)%kept]
			if !t.line.IsZero() && t.reference == d.Reference {
				p.Report(message, p.See(d.Line, "the status report"), p.See(t.line, "the text"))
				return
			}
		}
		p.Report(message, p.See(d.Line, "the status report"))
	})
}
