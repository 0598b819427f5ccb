// Package lostforlong reports a lost network that nobody does anything about.
package lostforlong

import (
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "lostforlong",
	Title:    "the network is lost and nothing is done about it",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 7.2, 7.3 (+COPS), 8.2 (+CFUN)", "GSMA TS.34 (recovery step by step)", "common practice, no source (10 min)"},
	Doc: `
The module was registered, lost its network, and ten minutes later the program still does what it always does. Mostly a
module finds its way back by itself; sometimes it gives up, or waits for a timer of hours. Then it needs a push: choose the
operator anew, the radio off and on, a restart, each after a longer pause. Without it a device stays silent until somebody
drives there.`,
	Silent: `
The network came back within ten minutes; the program tried something (+COPS, +CFUN, +CGATT, a restart); it says nothing at
all any more, or the recording ends. Times are not known.`,
	Remedy: `Watch the registration; after five minutes without it send AT+COPS=0, after ten AT+CFUN=4 and AT+CFUN=1, then restart, with growing pauses.`,
	Watch:  watch,
}

const long = 10 * time.Minute

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var lost dialogue.Line
	was, tried, said := false, false, false
	p.OnRegistration(func(r *witness.Registration) {
		_, now := p.Known().Registered()
		switch {
		case now:
			was, said, lost = true, false, dialogue.Line{}
		case was && lost.IsZero():
			lost, tried = r.Line, false
		}
	})
	p.OnRestart(func(witness.Restart) { lost, was = dialogue.Line{}, false })
	p.OnAsked(func(x *dialogue.Exchange) {
		for i := range x.Parsed.Commands {
			if c := &x.Parsed.Commands[i]; c.Form == at.Set && (c.Name == "+COPS" || c.Name == "+CFUN" || c.Name == "+CGATT") {
				tried = true
			}
		}
		if lost.IsZero() || tried || said || x.AskedAt.Sub(lost.Began) < long {
			return
		}
		said = true
		p.Report("no network for "+rulebook.Span(x.AskedAt.Sub(lost.Began))+" and nothing was tried", p.See(x.Command, "goes on as always"), p.See(lost, "lost here"))
	})
}
