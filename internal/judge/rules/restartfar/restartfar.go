// Package restartfar reports restarts that come only where the signal is weak.
package restartfar

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "restartfar",
	Title:    "the module restarts only where the signal is weak",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.5 (+CSQ)", "3GPP TS 45.005, 4.1 (the network sets the sending power; from memory)", "common practice, no source (weak below 12, strong from 15)"},
	Doc: `
Near a mast the network tells the radio to whisper, far away to shout: the current in a burst then is several times
as high. A supply that holds at the bench, beside the window, gives way in the field. When restarts follow the
sending only at weak signal and never at strong, firmware and module are sound and the supply is not.`,
	Silent: `
Fewer than two restarts at weak signal, or fewer than two sends that went well at strong signal; any restart at
strong signal. The signal was not asked for.`,
	Remedy: `Treat it as a supply fault: shorter and thicker leads, a capacitor at the pins, a source for the peak; then prove it where the signal is weakest.`,
	Watch:  watch,
}

const (
	window = 10 * time.Second // see the rule restartload
	weak   = 12
	strong = 15
	enough = 2
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var sent dialogue.Line // the last sending command
	level, pending, said := 0, false, false
	weakFell, strongFell, strongHeld := 0, 0, 0
	var fell witness.Restart
	held := func() {
		if pending && level >= strong {
			strongHeld++
		}
		pending = false
	}
	look := func() {
		if said || weakFell < enough || strongHeld < enough || strongFell > 0 {
			return
		}
		said = true
		p.Report(fmt.Sprintf("%d restarts after sending at a signal below %d, none after %d sends at %d or more", weakFell, weak, strongHeld, strong),
			p.See(fell.Line, fell.Why), p.See(sent, "a sending command"))
	}
	p.OnAsked(func(x *dialogue.Exchange) {
		for i := range x.Parsed.Commands {
			if rulebook.Transmits(&x.Parsed.Commands[i]) {
				held()
				if s, ok := p.Known().Signal(); ok && s.RSSI <= 31 {
					level, pending, sent = s.RSSI, true, x.Command
				}
				look()
			}
		}
	})
	p.OnRestart(func(r witness.Restart) {
		switch {
		case r.Asked || !pending:
		case r.At.Sub(sent.At) > window:
			held()
		case level < weak:
			weakFell++
			fell, pending = r, false
		case level >= strong:
			strongFell++
			pending = false
		}
		look()
	})
	p.OnEnd(func() { held(); look() })
}
