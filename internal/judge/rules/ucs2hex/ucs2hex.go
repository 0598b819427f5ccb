// Package ucs2hex reports a received text that the module shows as hex digits.
package ucs2hex

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "ucs2hex",
	Title:    "received text comes as hex digits",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.005, 3.1 <data>, 3.3.3 (+CSDH)", "3GPP TS 23.038, 4 and 6.2.3 (UCS2)"},
	Doc: `
If the sender's text holds one character outside the 7-bit alphabet (a curly quote, an accent, a
smiling face), the whole text travels as UCS-2, and text mode shows it as hex digits, four for each
character: 00480065006C… is "Hel…". A program that compares with "STATUS" never matches. AT+CSDH=1 adds the
coding to the header (8 is UCS-2), so that the program need not guess.`,
	Silent: `
The character set is UCS2 or HEX: then the controller asked for hex digits.`,
	Remedy: `Decode a text of hex digits in groups of four as UTF-16, set AT+CSDH=1 to know the coding, and accept commands in both forms.`,
	Watch:  watch,
}

// shown is how much of the text a message repeats.
const shown = 20

func watch(p *rulebook.Pass) {
	p.OnMessage(func(m *witness.Message) {
		if m.Out || m.PDU || m.Problem == "" || m.CharacterSet == "UCS2" || m.CharacterSet == "HEX" {
			return
		}
		text := []rune(m.Body)
		more := ""
		if len(text) > shown {
			text, more = text[:shown], "…"
		}
		p.Report(fmt.Sprintf("the text came as %d hex digits; in UCS-2 it says %s", len(m.Raw), p.Quote(string(text)+more)), p.See(m.Line, "hex digits"), p.See(m.Head, "its header"))
	})
}
