// Package gsmalphabet reports characters that change on their way through the 7-bit alphabet.
package gsmalphabet

import (
	"fmt"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "gsmalphabet",
	Title:    "characters that do not survive the 7-bit alphabet",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 23.038, 6.2.1 (default alphabet)", "3GPP TS 27.005, annex A; 3GPP TS 27.007, 5.5 (+CSCS)"},
	Doc: `
The 7-bit alphabet of texts is not ASCII. Letters, digits and most marks are in the same place, but @ is
0, $ is 2, _ is 17, and [ ] { } ^ ~ \ | stand in an extension. With AT+CSCS="GSM" the module takes the
typed bytes as they are, so @ arrives as another sign and a link with _ in it is broken. Bytes above 127
(the degree sign, accents, anything in UTF-8) arrive as two wrong signs or none. AT+CSCS="IRA" lets the
module convert, where it can.`,
	Silent: `
The character set was never shown: then only bytes above 127 are sure to change. Texts in PDU mode and in
UCS-2 carry what they say.`,
	Remedy: `Keep to letters, digits and . , : ; - + / ? = & in texts; write degrees as decimal numbers; or send in UCS-2.`,
	Watch:  watch,
}

// shown is how many characters a message names.
const shown = 4

func watch(p *rulebook.Pass) {
	p.OnMessage(func(m *witness.Message) {
		if !m.Out || m.PDU || m.CharacterSet == "UCS2" || m.CharacterSet == "HEX" || sms.ReadDCS(byte(m.DCS.Or(0))).ReadAs() != sms.Default7 {
			return
		}
		var changed []string
		count, at := 0, -1
		seen := ""
		for _, c := range sms.OnTheWay(m.Raw, m.CharacterSet) {
			if m.CharacterSet == "" && c.Rune < 0x80 || strings.ContainsRune(seen, c.Rune) || c.Becomes == string(c.Rune) {
				continue
			}
			seen += string(c.Rune)
			count++
			if at < 0 {
				at = c.At
			}
			if count <= shown {
				became := fmt.Sprintf("%q", c.Becomes)
				if !c.Sure || c.Becomes == "" {
					became = "something else"
				}
				changed = append(changed, fmt.Sprintf("%q as %s", c.Rune, became))
			}
		}
		if count == 0 {
			return
		}
		text := strings.Join(changed, ", ")
		if count > shown {
			text += fmt.Sprintf(" and %d more", count-shown)
		}
		evidence := []finding.Evidence{p.See(m.Head, "the command")}
		if s, ok := p.Known().Setting("+CSCS"); ok && !s.Lost {
			evidence = append(evidence, p.See(s.Line, "+CSCS in force: "+s.Value))
		}
		p.Report(fmt.Sprintf("%s: %s", arrives(count), text), p.See(m.Line, fmt.Sprintf("the first stands at byte %d", at)), evidence...)
	})
}

func arrives(n int) string {
	if n == 1 {
		return "a character does not arrive as typed"
	}
	return fmt.Sprintf("%d characters do not arrive as typed", n)
}
