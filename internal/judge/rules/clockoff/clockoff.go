// Package clockoff reports a module clock that disagrees with the receiver.
package clockoff

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
	Name:     "clockoff",
	Title:    "the module's clock and the receiver's disagree",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.15 (+CCLK: local time with the zone in quarters of an hour)", "IEC 61162-1, RMC (UTC)"},
	Doc: `
+CCLK is local time, with the zone behind it in quarters of an hour: +04 is one hour ahead of UTC, +08 two. The receiver says UTC.
Taken together they must be the same instant. When they differ by whole hours, the clock was set from local time with a zone of
+00, or the network sent no zone; other differences are a clock that nobody sets.`,
	Silent: `
Less than two minutes apart; more than a day, which is the business of clockunset and weekrollover; no valid fix with a date.`,
	Remedy: `Keep everything in UTC, let the network set clock and zone (AT+CTZU=1), or set AT+CCLK from the receiver with zone +00.`,
	Watch:  watch,
}

const (
	slack = 2 * time.Minute
	most  = 25 * time.Hour
	fresh = time.Minute
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	said := false
	p.OnInfo("+CCLK", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		clock, ok := rulebook.ReadClock(a)
		e := p.Known().LastValid()
		if said || !ok || e == nil || l.Began.Sub(e.At) > fresh {
			return
		}
		utc, ok := e.Fix.UTC.Get()
		if !ok {
			return
		}
		off := clock.Sub(utc.Add(l.Began.Sub(e.At)))
		if off.Abs() < slack || off.Abs() > most {
			return
		}
		said = true
		direction := "ahead of"
		if off < 0 {
			direction = "behind"
		}
		message := fmt.Sprintf("+CCLK is %s %s the receiver", rulebook.Span(off.Abs().Round(time.Second)), direction)
		if rest := off.Abs() % time.Hour; min(rest, time.Hour-rest) < slack {
			message += ": whole hours, so its zone is wrong"
		}
		p.Report(message, p.See(l, "the module's clock"), p.SeeSource(rulebook.Origin(e), "the receiver's"))
	})
}
