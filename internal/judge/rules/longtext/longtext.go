// Package longtext reports a text that does not fit into one message.
package longtext

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
	Name:     "longtext",
	Title:    "text too long for one message",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.16 (160 septets, 140 octets)", "3GPP TS 23.040, 9.2.3.24.1 (long messages)"},
	Doc: `
One message carries 140 octets: 160 characters of the 7-bit alphabet or 70 of UCS-2; the signs of the
extension count double. Text mode sends single messages. What is longer is refused, cut, or on some
modules sent in several parts, each of which is paid for and holds 153 or 67 characters only. Worst cases
count: minus signs, three digits of longitude, a full battery line.`,
	Silent: `
The text fits. Messages in PDU mode say their own length.`,
	Remedy: `Shorten the text to 160 septets in its worst case (70 characters in UCS-2), or send the parts of a long message in PDU mode.`,
	Watch:  watch,
}

// Units in one message, 23.040 9.2.3.16.
const (
	septets = 160
	units   = 70
)

func watch(p *rulebook.Pass) {
	var held *witness.Message // too long; what the network says about it is still to come
	var why string
	p.OnMessage(func(m *witness.Message) {
		held = nil
		if m.Out && !m.PDU {
			if why = tooLong(m); why != "" {
				held = m
			}
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if held == nil || held.X != x {
			return
		}
		message := why
		switch {
		case x.Result.Failed():
			message += "; it was refused: " + rulebook.Failure(x.Result)
		case x.Result.Kind == at.OK:
			message += "; the module took it, so it is cut or paid for twice"
		}
		p.Report(message, p.See(held.Line, "too long"), p.See(held.Head, "the command"))
		held = nil
	})
}

// tooLong says how long a text is, if it is too long for one message.
func tooLong(m *witness.Message) string {
	fit := sms.Measure(m.Body)
	count, limit, what := fit.Septets, septets, "septets"
	switch {
	case sms.ReadDCS(byte(m.DCS.Or(0))).ReadAs() == sms.UCS2:
		count, limit, what = len([]rune(m.Body)), units, "characters of UCS-2"
	case len(fit.Foreign) > 0: // the module takes every byte for a septet
		count, what = len(m.Body), "bytes"
	}
	if count <= limit {
		return ""
	}
	return fmt.Sprintf("the text has %d %s, one message holds %d", count, what, limit)
}
