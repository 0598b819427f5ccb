// Package codingunset notes texts that are sent with whatever coding the module happens to have.
package codingunset

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "codingunset",
	Title:    "text sent without setting or reading its coding",
	Severity: finding.Note,
	Cites:    []string{"3GPP TS 27.005, 3.3.2 (+CSMP, defaults 17,167,0,0)", "3GPP TS 27.007, 5.5 (+CSCS)"},
	Doc: `
AT+CSMP and AT+CSCS decide how the typed letters are meant. The standard's defaults are right for plain
text, but a module keeps what an earlier program stored, and some come with other values. Two commands
in the set-up make a text independent of what was before.`,
	Silent: `
+CSMP was set or read before the text, since the last restart. Only the first such text is noted.`,
	Remedy: `Send AT+CSCS="GSM" and AT+CSMP=17,167,0,0 in the set-up, before the first text.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	said := false
	p.OnMessage(func(m *witness.Message) {
		if !m.Out || m.PDU || said {
			return
		}
		if s, ok := p.Known().Setting("+CSMP"); ok && !s.Lost || m.DCS.IsKnown() {
			return
		}
		said = true
		p.Report("+CSMP was neither set nor read before this text: its coding is whatever the module has", p.See(m.Head, "sent with unknown coding"), p.See(m.Line, "the text"))
	})
	p.OnRestart(func(r witness.Restart) { said = said && r.Asked })
}
