// Package supplyvoltage reports a module that complains about its supply.
package supplyvoltage

import (
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "supplyvoltage",
	Title:    "the module warns about its supply",
	Severity: finding.Error,
	Cites:    []string{"common practice, no source (makers word it differently)", "3GPP TS 27.007, 8.4 (+CBC)"},
	Doc: `
Many modules watch their supply and say a word about it before they switch themselves off: under voltage,
over voltage, low battery. They live between about 3.4 and 4.4 V; 3.3 V and 5 V are both outside. A warning
only while the radio sends means that the source or the leads cannot deliver the peak.`,
	Silent: `
The word stands in the text of a message, or in an answer that was asked for.`,
	Remedy: `Measure the voltage at the module's pins, at rest and while it sends; set the converter to the middle of the module's range.`,
	Watch:  watch,
}

// longest warning line; texts are longer. Our estimate.
const longest = 48

func watch(p *rulebook.Pass) {
	said := 0
	p.OnUnsolicited(func(line, body dialogue.Line, a at.Answer) {
		if len(line.Text) > longest || !body.IsZero() || a.Name == "+CMT" {
			return
		}
		text := strings.ToUpper(line.Text)
		volt := strings.Contains(text, "VOLT")
		batt := strings.Contains(text, "BATT")
		if !volt && !batt || !strings.Contains(text, "UNDER") && !strings.Contains(text, "OVER") && !strings.Contains(text, "LOW") && !strings.Contains(text, "HIGH") {
			return
		}
		if said++; said == 1 {
			p.Report("the module says "+strings.TrimSpace(line.Text), p.See(line, "warns about its supply"))
		}
	})
}
