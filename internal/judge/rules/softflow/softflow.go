// Package softflow reports flow control by characters in front of data.
package softflow

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "softflow",
	Title:    "XON/XOFF flow control while data passes",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 6.2.12 (+IFC: 1 is XON/XOFF)", "3GPP TS 23.038, 6.2.1 (0x11 is the underscore of the 7-bit alphabet)"},
	Doc: `
With AT+IFC=1,1 the characters 0x11 and 0x13 mean "go on" and "stop" and are taken out of the stream. In command lines
they do not occur. In data they do: an upload loses bytes or stops for ever, a packet fails its sum, and in the message
alphabet 0x11 is the underscore. Use wires (RTS/CTS) or nothing.`,
	Silent: `
Flow control by characters while only commands pass; wires (2) or none (0).`,
	Remedy: `Wire RTS and CTS and set AT+IFC=2,2 on both ends; without the wires set AT+IFC=0,0 and stay at 9600 bit/s for data.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	said := false
	p.OnAnswered(func(x *dialogue.Exchange) {
		if said || x.Result.Kind != at.Connect {
			return
		}
		s, ok := p.Known().Setting("+IFC")
		if !ok || s.Lost {
			return
		}
		for _, v := range s.Params() {
			if v.Text == "1" {
				said = true
				p.Report("data passes while +IFC is "+s.Value+": the bytes 0x11 and 0x13 are taken out of it", p.See(x.Final, "data from here on"), p.See(s.Line, "flow control by characters"))
				return
			}
		}
	})
}
