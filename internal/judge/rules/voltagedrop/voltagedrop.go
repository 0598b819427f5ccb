// Package voltagedrop reports a supply that falls when the radio sends.
package voltagedrop

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "voltagedrop",
	Title:    "the supply falls while the radio sends",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (a third number of +CBC in millivolts; a fall of 0.3 V at most)", "3GPP TS 27.007, 8.4 (+CBC)"},
	Doc: `
Many modules put the voltage at their pins, in millivolts, behind the two numbers of +CBC that the standard knows.
Asked right after a text it is lower than at rest: that is the mean over some moments, and the burst itself goes
deeper. A fall of 0.3 V in the mean tells of leads that are too thin or too long, a plug that is loose, a source or a
cell that cannot give the peak.`,
	Silent: `
No third number, or one that is no voltage in millivolts. A single low reading without one at rest. A reading that is
low at rest too is the battery's charge.`,
	Remedy: `Measure the drop along each lead while a text is sent, shorten and thicken the leads (ground too), and put a low-ESR capacitor at the module's pins.`,
	Watch:  watch,
}

const (
	fallMV  = 300
	leastMV = 1800 // no module runs on less,
	mostMV  = 6000 // and none on more
	fresh   = 10 * time.Minute
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	radio := p.WatchTransmissions()
	var rest dialogue.Line // the last reading at rest
	restMV, said := 0, false
	p.OnInfo("+CBC", func(x *dialogue.Exchange, line dialogue.Line, a at.Answer) {
		mV, ok := rulebook.Int(a.Params, 2)
		if !ok || mV < leastMV || mV > mostMV {
			return
		}
		what, sending := radio.At(line.Began)
		if !sending {
			rest, restMV = line, mV
			return
		}
		if said || rest.IsZero() || line.Began.Sub(rest.Began) > fresh || restMV-mV < fallMV {
			return
		}
		said = true
		p.Report(fmt.Sprintf("%d mV after %s, %d mV less than at rest", mV, what, restMV-mV), p.See(line, "while the radio sends"), p.See(rest, "at rest"))
	})
}
