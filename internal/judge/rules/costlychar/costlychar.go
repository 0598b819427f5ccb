// Package costlychar reports long texts that a few characters make dearer.
package costlychar

import (
	"fmt"
	"slices"
	"unicode"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "costlychar",
	Title:    "a few characters make the text cost more messages",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 23.038, 4 and 6.2.1 (alphabets)", "3GPP TS 23.040, 9.2.3.24.1 (67 characters of UCS-2 in a part)"},
	Doc: `
One character outside the 7-bit alphabet, a curly quote or a long dash, turns the whole text into UCS-2: 70 characters in a message
instead of 160, and 67 instead of 153 in the parts of a long one. The report costs two or three messages instead of one, every time.
Plain letters say the same.`,
	Silent: `
The text fits into one message; it is in another script, or has more than four different such characters.`,
	Remedy: `Write plain quotes, dashes and letters (this text would then travel in the 7-bit alphabet), and send the degree sign as a decimal number.`,
	Watch:  watch,
}

const few = 4 // different characters that one could do without; our estimate

// otherScript: a letter that no Latin alphabet has. Then the text is in another language.
func otherScript(r rune) bool { return unicode.IsLetter(r) && !unicode.Is(unicode.Latin, r) }

func watch(p *rulebook.Pass) {
	said := false
	p.OnMessage(func(m *witness.Message) {
		if !m.Out || said || m.Body == "" {
			return
		}
		dcs, ok := m.DCS.Get()
		if !ok || sms.ReadDCS(byte(dcs)).ReadAs() != sms.UCS2 {
			return
		}
		long := len([]rune(m.Body)) > 70
		if m.PDU {
			pdu, _ := sms.Decode(m.Raw, sms.ToNetwork)
			_, long = pdu.Data.Header.Concat()
		}
		foreign := sms.Measure(m.Body).Foreign
		if !long || len(foreign) > few || slices.ContainsFunc(foreign, otherScript) {
			return
		}
		said = true
		what := "no character of this part needs it"
		if len(foreign) > 0 {
			what = fmt.Sprintf("only %d different signs need it", len(foreign))
		}
		p.Report("a text of several parts travels in UCS-2, 67 characters in each, and "+what+": the 7-bit alphabet takes 153", p.See(m.Head, "one of its parts"))
	})
}
