// Package blanktext reports texts whose coding does not fit what was typed.
package blanktext

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "blanktext",
	Title:    "text arrives blank, garbled or not at all",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.3.2 (+CSMP), 3.1 <data>", "3GPP TS 23.038, 4 (data coding)", "3GPP TS 23.040, 9.2.3.9, 9.2.3.10"},
	Doc: `
In text mode the module takes the coding of a text from AT+CSMP=<fo>,<vp>,<pid>,<dcs>. The last number
says how the typed characters are meant: 0 is plain text, 8 is UCS-2 and wants four hex digits for each
character, 4 is data that no telephone shows, 16 pops up and is not kept. If the number and the text do
not fit, the network still says OK, and the other side sees nothing, or foreign signs. The number stays
from the last experiment, or from the factory: read AT+CSMP? and AT+CSCS? before the first text.`,
	Silent: `
Letters that only change their look in the 7-bit alphabet: another rule says that. Messages in PDU mode
carry their own coding. When +CSMP was never shown, its usual values are believed.`,
	Remedy: `For plain text send AT+CSCS="GSM" and AT+CSMP=17,167,0,0; for other alphabets AT+CSCS="UCS2", AT+CSMP=17,167,0,8 and hex digits.`,
	Watch:  watch,
}

// words put the ways a text can end into a sentence.
var words = map[string]string{
	sms.HowFlash:      "pops up and is usually not kept",
	sms.HowBlank:      "arrives blank",
	sms.HowGarbled:    "arrives garbled",
	sms.HowIconOnly:   "only sets an icon",
	sms.HowReplaces:   "replaces the text before it",
	sms.HowNeverShown: "is never shown",
	sms.HowRefused:    "is refused, or sent as nobody knows what",
}

func watch(p *rulebook.Pass) {
	p.OnMessage(func(m *witness.Message) {
		if !m.Out || m.PDU || m.Effect.How == sms.HowPlain || m.Effect.How == "" || looksOnly(m) {
			return
		}
		evidence := []finding.Evidence{p.See(m.Head, "the command")}
		for _, name := range [...]string{"+CSMP", "+CSCS"} {
			if s, ok := p.Known().Setting(name); ok && !s.Lost {
				evidence = append(evidence, p.See(s.Line, name+" in force: "+s.Value))
			}
		}
		if q := m.Effect.Quotes; q != "" {
			p.Quote(q) // Why holds it
		}
		p.Report("the text "+words[m.Effect.How]+": "+m.Effect.Why, p.See(m.Line, "the text as typed"), evidence...)
	})
}

// looksOnly says that the coding fits and only some characters change on the way.
func looksOnly(m *witness.Message) bool {
	coding := sms.ReadDCS(byte(m.DCS.Or(0)))
	header := m.FirstOctet.Or(0)&0x40 != 0
	_, hex := sms.LooksUCS2Hex(m.Raw)
	set := m.CharacterSet == "UCS2" || m.CharacterSet == "HEX"
	return m.Effect.How == sms.HowGarbled && coding.ReadAs() == sms.Default7 && !coding.Compressed && !header && !hex && !set
}
