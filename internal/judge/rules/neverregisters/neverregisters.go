// Package neverregisters reports a module that looks for a network and never finds one.
package neverregisters

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "neverregisters",
	Title:    "the module never finds its network",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 7.2 (+CREG), 10.1.20, 10.1.22", "common practice, no source (2 min)"},
	Doc: `
Registration usually takes less than a minute, the very first search of a narrow-band LTE module up
to 15 minutes. Status 2 means that the module searches, 0 that it does not even search: then the
radio is off (AT+CFUN?) or the operator choice was set to none (AT+COPS?). If it searches and never
finds: the antenna, its socket, the bands, a network of the needed kind that exists here. Restarting
the module makes it begin again from nothing.`,
	Silent: `
The module registered in any domain; or it was refused (3), the card is missing or locked, or the
radio was switched off: those say more, and other rules say it. Less than two minutes are not long.`,
	Remedy: `Check antenna and socket, then AT+CSQ, AT+CFUN?, AT+COPS? and, with three minutes of patience, AT+COPS=?; let the first search run for 15 min.`,
	Watch:  watch,
}

// long is when a search has taken too long; words is the same where times are
// not known. Common practice, no source: half of all registrations take under a
// minute.
const (
	long  = 2 * time.Minute
	words = 10
)

func watch(p *rulebook.Pass) {
	var first, last witness.Registration
	count, settled := 0, false // settled: there is a better explanation, or it registered
	p.OnRegistration(func(r *witness.Registration) {
		if r.Registered() || r.Stat == 3 {
			settled = true
			return
		}
		if count == 0 {
			first = *r
		}
		count++
		last = *r
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if rulebook.IsCME(x.Result, 10, 11, 12, 13, 15) || rulebook.IsCMS(x.Result, 310, 311, 313, 315, 316) {
			settled = true
		}
	})
	p.OnInfo("+CFUN", func(_ *dialogue.Exchange, _ dialogue.Line, a at.Answer) {
		if n, ok := rulebook.Int(a.Params, 0); ok && n != 1 {
			settled = true
		}
	})
	p.OnResult("+CFUN", func(x *dialogue.Exchange, c *at.Command) {
		n, ok := rulebook.Int(c.Params, 0)
		if c.Form == at.Set && ok && x.Result.Kind == at.OK {
			count, settled = 0, n != 1 // the search begins anew, or the radio is off on purpose
		}
	})
	p.OnEnd(func() {
		if settled || count == 0 {
			return
		}
		span := last.Line.Began.Sub(first.Line.Began)
		if p.TimesKnown() && span < long || !p.TimesKnown() && count < words {
			return
		}
		doing := "it searches"
		if last.Stat == 0 {
			doing = "it does not search"
		}
		message := fmt.Sprintf("not registered in %d answers", count)
		if p.TimesKnown() {
			message += " over " + rulebook.Span(span)
		}
		message += fmt.Sprintf(": %s says %d, %s", last.Command, last.Stat, doing)
		more := []finding.Evidence{p.See(first.Line, "the first one")}
		if s, ok := p.Known().Signal(); ok {
			level := "signal not known (99)"
			if dBm, ok := s.DBm(); ok {
				level = fmt.Sprintf("signal %d (%d dBm)", s.RSSI, dBm)
			}
			message += "; " + level
			more = append(more, p.See(s.Line, level))
		}
		p.Report(message, p.See(last.Line, "still not registered"), more...)
	})
}
