// Package emergencyonly reports a network that takes emergency calls only.
package emergencyonly

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "emergencyonly",
	Title:    "the network takes emergency calls only",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 7.2 (<stat> 8), 9.2.1 (CME 32)"},
	Doc: `
The module found a network, heard it well, and may do nothing there but call for help: its own operator is not here and the
contract does not roam, the card is not active, or the network barred this device. Waiting and better antennas do not help.`,
	Silent: `
The module registered afterwards.`,
	Remedy: `Try the card in a telephone on the same spot, ask the operator for its state and for roaming, and let AT+COPS=? list who else is here.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	var line dialogue.Line
	what := ""
	p.OnRegistration(func(r *witness.Registration) {
		switch {
		case r.Registered():
			what = ""
		case r.Stat == 8 && what == "":
			line, what = r.Line, r.Command+" says 8: emergency calls only"
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if rulebook.IsCME(x.Result, 32) && what == "" {
			line, what = x.Final, rulebook.LineName(x)+" failed with "+rulebook.Failure(x.Result)
		}
	})
	p.OnEnd(func() {
		if what != "" {
			p.Report(what+", and the module never registered after it", p.See(line, "no service but emergencies"))
		}
	})
}
