// Package wrongmode reports message commands written for the other mode, and wrong PDU lengths.
package wrongmode

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "wrongmode",
	Title:    "message command written for the other mode",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.2.3 (+CMGF), 3.5.1, 4.3 (+CMGS)", "3GPP TS 27.005, 3.2.5 (CMS 304, 305)"},
	Doc: `
AT+CMGS takes a telephone number in text mode (+CMGF=1) and a length in PDU mode (+CMGF=0, which is how
modules start). Written for the other mode it fails, mostly with +CMS ERROR: 304 or 305. In PDU mode the
length counts the octets of the PDU without its service-centre part: half its hex digits, less that part.`,
	Silent: `
The command was accepted. The mode was lost in a restart: another rule says that.`,
	Remedy: `Send AT+CMGF=1 (or 0) in every set-up and read it back; in PDU mode compute the length from the PDU.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	p.OnResult("+CMGS", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form != at.Set || len(c.Params) == 0 || !x.Result.Failed() {
			return
		}
		mode, known := p.Known().Setting("+CMGF")
		if x.Is("+CMGF") || known && mode.Lost {
			return
		}
		var proof []finding.Evidence
		state := "+CMGF was never set, and 0 is how modules start"
		if known {
			state = "+CMGF is " + mode.First()
			proof = append(proof, p.See(mode.Line, state))
		}
		proof = append(proof, p.See(x.Final, "the failure"))
		address := c.Params[0].Quoted || len(c.Params[0].Text) > 3
		coded := x.Result.Kind != at.CMSError || rulebook.IsCMS(x.Result, 302, 304, 305, 500)
		length, isNumber := rulebook.Int(c.Params, 0)
		switch {
		case address && coded && (known && mode.First() == "0" || !known && (x.Result.Kind == at.Error || rulebook.IsCMS(x.Result, 304))):
			p.Report("AT+CMGS has an address, as in text mode, but "+state, p.See(x.Command, "text mode"), proof...)
		case !address && known && mode.First() == "1" && coded:
			p.Report("AT+CMGS has a length, as in PDU mode, but "+state, p.See(x.Command, "PDU mode"), proof...)
		case !address && isNumber && !x.Text.IsZero():
			pdu, _ := sms.Decode(x.Text.Text, sms.ToNetwork)
			if pdu.Has(sms.PartFirst) && pdu.TPDUOctets != length {
				p.Report(fmt.Sprintf("AT+CMGS=%d, but the PDU has %d octets behind its service-centre part", length, pdu.TPDUOctets), p.See(x.Command, "the length"), p.See(x.Text, "the PDU"), p.See(x.Final, "the failure"))
			}
		}
	})
}
