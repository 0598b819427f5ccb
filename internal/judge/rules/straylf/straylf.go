// Package straylf reports a line feed that becomes part of a message or follows its end.
package straylf

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "straylf",
	Title:    "LF after the CR of a command that takes text",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.005, 3.5.1 (+CMGS)", "V.250, 5.2.1", "V.250, 5.6.1 (bytes within 125 ms may be dropped)"},
	Doc: `
Print-line functions end every line with CR LF. Most commands do not mind. After AT+CMGS="…" the CR
ends the command, and the LF that follows is the first character of the text, or falls into the wait
for the prompt: the message begins with an empty line, or the first prompt is lost. After Ctrl-Z the
same CR LF is read as an empty command or aborts the sending.`,
	Silent: `
CR LF after commands that take no text. A recording that does not keep line ends.`,
	Remedy: `Send commands with CR alone, and the byte 0x1A with nothing behind it: print, not print-line.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	kind := p.Info().Kind
	if kind != "" && kind != "capture" && kind != "talk" {
		return
	}
	said := false
	p.OnAnswered(func(x *dialogue.Exchange) {
		if said || x.Ending != "\r\n" || !x.Is("+CMGS") && !x.Is("+CMGW") {
			return
		}
		said = true
		evidence := []finding.Evidence{}
		if !x.Text.IsZero() {
			evidence = append(evidence, p.See(x.Text, "may begin with an empty line"))
		}
		p.Report(rulebook.LineName(x)+" ends in CR LF: the LF belongs to the text already", p.See(x.Command, "ended with CR LF"), evidence...)
	})
}
