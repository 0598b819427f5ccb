// Package shortvalidity reports texts that are thrown away after minutes.
package shortvalidity

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "shortvalidity",
	Title:    "the text is thrown away if it cannot be delivered within minutes",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.12.1 (0 to 143: five minutes each, one more than the number)", "3GPP TS 27.005, 3.3.2 (+CSMP <vp>)"},
	Doc: `
The second number of AT+CSMP is how long the service centre may try, in a scale of its own: 0 is five minutes, 11 is an hour, 167 a day, 255
sixty-three weeks. 0 does not mean "as long as you like". A telephone that is off, in a lift or in a tunnel for six minutes never gets the
text, and +CMGS had said that all is well.`,
	Silent: `
More than half an hour. Commands to a device are well sent with a short validity; this rule cannot know who reads, so it speaks only of
half an hour and less, once.`,
	Remedy: `Use 167 (a day) for reports to people: AT+CSMP=17,167,0,0; keep short ones for commands that must not come late.`,
	Watch:  watch,
}

const short = 30 * time.Minute

func watch(p *rulebook.Pass) {
	said := false
	tell := func(m *witness.Message, vp int, period time.Duration, proof ...finding.Evidence) {
		if said || period > short {
			return
		}
		said = true
		p.Report(fmt.Sprintf("the validity is %d, which is %s", vp, rulebook.Span(period)), p.See(m.Head, "sent with it"), proof...)
	}
	p.OnMessage(func(m *witness.Message) {
		if !m.Out || said {
			return
		}
		if m.PDU {
			pdu, _ := sms.Decode(m.Raw, sms.ToNetwork)
			if period, ok := pdu.Validity.Period().Get(); ok && pdu.Has(sms.PartValidity) && pdu.Validity.Form == sms.FormRelative {
				tell(m, int(pdu.Validity.Octets[0]), period)
			}
			return
		}
		set, ok := p.Known().Setting("+CSMP")
		fo, known := m.FirstOctet.Get()
		if !ok || set.Lost || !known || sms.ReadFirstOctet(byte(fo), sms.ToNetwork).Validity != sms.FormRelative {
			return
		}
		if params := set.Params(); len(params) > 1 && !params[1].Quoted {
			if vp, ok := rulebook.Int(params, 1); ok && vp >= 0 && vp <= 255 {
				tell(m, vp, sms.ValidityRelative(byte(vp)), p.See(set.Line, "sets it"))
			}
		}
	})
}
