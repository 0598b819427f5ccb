// Package bothdeaf reports a module both of whose antennas hear nothing.
package bothdeaf

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "bothdeaf",
	Title:    "neither network nor satellites are heard",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.5 (+CSQ)", "IEC 61162-1, GSV (C/N0)", "common practice, no source (the two antennas are swapped)"},
	Doc: `
The cellular side hears next to nothing and the receiver hears no satellite. Two faults at once are rare; one fault that makes
both is not: the two antennas are in each other's sockets. The plugs are equal, the printing beside them is small, and neither
antenna works at the other's frequencies. (A metal lid or a cellar does it too.)`,
	Silent: `
One of the two hears; less than a minute of it; nothing was said about one of them.`,
	Remedy: `Swap the two antenna plugs, with the module switched off; then open the lid or go outdoors.`,
	Watch:  watch,
}

const (
	enough = time.Minute
	weak   = 5 // +CSQ: -103 dBm
	recent = 3 * time.Minute
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var began *epoch.Epoch // no satellite heard from here on
	said := false
	p.OnEpoch(func(e *epoch.Epoch) {
		if !e.SkyKnown {
			return
		}
		for i := range e.Satellites {
			if e.Satellites[i].CN0DBHz.IsKnown() {
				began = nil
				return
			}
		}
		if e.Fix.Valid {
			began = nil
			return
		}
		if began == nil {
			began = e
		}
		s, ok := p.Known().Signal()
		_, registered := p.Known().Registered()
		if said || !ok || registered || e.At.Sub(began.Began) < enough || e.At.Sub(s.Line.Began) > recent || s.Line.Began < began.Began || s.RSSI > weak && s.RSSI != 99 {
			return
		}
		said = true
		p.Report(fmt.Sprintf("no satellite is heard for %s, and +CSQ says %d: are the two antennas in each other's sockets?", rulebook.Span(e.At.Sub(began.Began)), s.RSSI),
			p.See(s.Line, "next to nothing"), p.SeeSource(began.Sources[0], "no satellite from here on"))
	})
}
