// Package resetimpatience reports a controller that restarts the module before it can register.
package resetimpatience

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "resetimpatience",
	Title:    "module restarted before it could register",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.2 (+CFUN)", "GSMA TS.34 (back off before trying again)", "common practice, no source (3 min)"},
	Doc: `
A module looks for its network for seconds, sometimes for minutes, the very first time of a narrow-band
LTE module for a quarter of an hour. A controller that restarts it after one minute makes it begin from
nothing each time: it never registers, and after some rounds the network makes it wait on purpose.`,
	Silent: `
The module was registered in between; three minutes were given; or it happened once only.`,
	Remedy: `Give the first search 15 minutes and later ones 3, and make the pause longer after each failure.`,
	Watch:  watch,
}

const (
	patience = 3 * time.Minute
	rounds   = 2 // restarts without a registration between them
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var first *dialogue.Exchange
	var began when.Instant
	count, words, said := 0, 0, false
	p.OnRegistration(func(r *witness.Registration) {
		words++
		if r.Registered() {
			first, count, said = nil, 0, false
		}
	})
	p.OnCommand("+CFUN", func(x *dialogue.Exchange, c *at.Command) {
		reset := c.Form == at.Set && (rulebook.Text(c.Params, 1) == "1" || rulebook.Text(c.Params, 0) == "1")
		if !reset || said {
			return
		}
		if first == nil || x.AskedAt.Sub(began) > patience {
			first, count = x, 0
		} else if words > 0 {
			count++
		}
		if count >= rounds {
			said = true
			p.Report(fmt.Sprintf("started anew %d times within %s, and never registered in between", count+1, rulebook.Span(x.AskedAt.Sub(first.AskedAt))), p.See(x.Command, "again, "+rulebook.Span(x.AskedAt.Sub(began))+" after the last"), p.See(first.Command, "the first time"))
		}
		began, words = x.AskedAt, 0
	})
}
