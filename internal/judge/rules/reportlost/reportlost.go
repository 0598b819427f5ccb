// Package reportlost reports that delivery reports are asked for and then dropped.
package reportlost

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
	Name:     "reportlost",
	Title:    "delivery reports are asked for and go nowhere",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.5 (TP-SRR)", "3GPP TS 27.005, 3.4.1 (+CNMI <ds>: 1 hands over, 2 stores)"},
	Doc: `
The text asks for a status report (first octet 49 in +CSMP), and the fourth number of +CNMI is 0: the report arrives at the module and is
thrown away. Some operators charge for reports. 1 hands it over as +CDS, 2 stores it and says +CDSI.`,
	Silent: `
+CNMI was never set or read, or its settings were lost in a restart; a report came all the same.`,
	Remedy: `Send AT+CNMI=2,1,0,1,0 (fourth number 1), or do not ask for reports (first octet 17).`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	var last *witness.Message
	said := false
	p.OnDelivery(func(rulebook.Delivery) { said = true })
	p.OnMessage(func(m *witness.Message) {
		if m.Out {
			last = m
		}
	})
	p.OnResult("+CMGS", func(x *dialogue.Exchange, _ *at.Command) {
		if said || last == nil || last.X != x || !witness.Accepted(x).Or(false) {
			return
		}
		fo, known := last.FirstOctet.Get()
		set, ok := p.Known().Setting("+CNMI")
		if !known || !sms.ReadFirstOctet(byte(fo), sms.ToNetwork).StatusRequest || !ok || set.Lost {
			return
		}
		if ds := rulebook.Text(set.Params(), 3); ds == "1" || ds == "2" {
			return
		}
		said = true
		p.Report(fmt.Sprintf("a report was asked for (first octet %d), and +CNMI is %s: its fourth number drops it", fo, set.Value), p.See(x.Command, "asks for a report"), p.See(set.Line, "drops reports"))
	})
}
