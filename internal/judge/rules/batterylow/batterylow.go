// Package batterylow reports a battery that is nearly empty.
package batterylow

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "batterylow",
	Title:    "the battery is nearly empty",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.4 (+CBC: <bcs>,<bcl>)", "common practice, no source (below 15 % a cell cannot give the peak)"},
	Doc: `
The second number of +CBC is the charge in percent; the first says what feeds the module (0 the battery, 3 a
fault of the supply). A cell that is nearly empty, or cold, still holds its voltage while nothing happens and
gives way when the radio sends: the module restarts then. After the load is gone the cell recovers, so a meter
shows nothing.`,
	Silent: `
The module is not fed by its battery; 0, which also means that there is none. The charge went up again in between:
then it is reported anew.`,
	Remedy: `Charge or change the cell; let the firmware stop sending below 15 % and start again only above 30 %.`,
	Watch:  watch,
}

const (
	low      = 15 // percent; common practice, no source
	recharge = 30 // percent: above it a new fall is news
)

func watch(p *rulebook.Pass) {
	said := false
	p.OnInfo("+CBC", func(x *dialogue.Exchange, line dialogue.Line, a at.Answer) {
		source, ok1 := rulebook.Int(a.Params, 0)
		percent, ok2 := rulebook.Int(a.Params, 1)
		switch {
		case !ok1 || !ok2:
		case percent > recharge:
			said = false
		case said:
		case source == 3:
			said = true
			p.Report("the module reports a fault of its supply (+CBC: 3)", p.See(line, "fault"), p.See(x.Command, "the question"))
		case source == 0 && percent > 0 && percent <= low:
			said = true
			p.Report(fmt.Sprintf("the battery is at %d %%", percent), p.See(line, "nearly empty"), p.See(x.Command, "the question"))
		}
	})
}
