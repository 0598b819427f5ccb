package rulebook

import (
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// Delivery is a status report: what became of a text that was sent.
type Delivery struct {
	Line      dialogue.Line // the line that holds it
	Reference int           // the number that +CMGS gave
	Party     string        // who was to receive it; "" when not said
	Status    sms.Status
}

// OnDelivery is called for every status report, handed over (+CDS) or read from
// the store (+CMGR): 27.005 3.4.1, 3.4.3 and 4.2.
func (p *Pass) OnDelivery(f func(d Delivery)) {
	p.OnReport("+CDS", func(line, body dialogue.Line, a at.Answer) {
		if d, ok := reportText(a.Params); ok {
			d.Line = line
			f(d)
		} else if !body.IsZero() {
			reportPDU(body, f)
		}
	})
	p.OnInfo("+CMGR", func(x *dialogue.Exchange, line dialogue.Line, a at.Answer) {
		if len(a.Params) > 1 && a.Params[0].Quoted && !a.Params[1].Quoted { // a message has an address there
			if d, ok := reportText(a.Params[1:]); ok {
				d.Line = line
				f(d)
			}
		}
	})
	p.OnMessage(func(m *witness.Message) {
		if m.PDU && !m.Out {
			reportPDU(m.Line, f)
		}
	})
}

// reportText reads <fo>,<mr>,[<ra>],[<tora>],<scts>,<dt>,<st>.
func reportText(p []at.Param) (d Delivery, ok bool) {
	const reference, recipient, status = 1, 2, 6
	mr, ok1 := Int(p, reference)
	st, ok2 := Int(p, status)
	return Delivery{Reference: mr, Party: Text(p, recipient), Status: sms.Status(st)}, ok1 && ok2 && len(p) == status+1
}

func reportPDU(line dialogue.Line, f func(d Delivery)) {
	if pdu, _ := sms.Decode(line.Text, sms.FromNetwork); pdu.Has(sms.PartStatus) {
		f(Delivery{Line: line, Reference: int(pdu.Reference), Party: pdu.Address.String(), Status: pdu.Status})
	}
}
