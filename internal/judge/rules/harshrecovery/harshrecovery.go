// Package harshrecovery reports a module that is restarted after every failure.
package harshrecovery

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
	Name:     "harshrecovery",
	Title:    "the module is restarted after every failure",
	Severity: finding.Warning,
	Cites:    []string{"GSMA TS.34 (recovery step by step)", "common practice, no source (three within ten minutes)"},
	Doc: `
One failed text, one restart. A restart throws away the registration that took a minute, begins a search, wears the module's memory and counts
as an attempt with the operator; and what failed for the network's sake fails again. Restart last: repeat, wait, ask why, choose the operator
anew, switch the radio off and on, and only then restart, with growing pauses.`,
	Silent: `
Fewer than three restarts within ten minutes; restarts that do not follow a failure.`,
	Remedy: `Climb a ladder: repeat, wait longer, AT+COPS=0, AT+CFUN=4 and 1, restart, supply off; one step at a time, the pauses growing.`,
	Watch:  watch,
}

const (
	within = 10 * time.Minute
	often  = 3
	soon   = 30 * time.Second // from the failure to the restart
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var failed *dialogue.Exchange
	var resets [often]*dialogue.Exchange // the newest at the end
	count := 0
	p.OnAnswered(func(x *dialogue.Exchange) {
		c, ok := x.Parsed.Find("+CFUN")
		reset := ok && c.Form == at.Set && rulebook.Text(c.Params, 1) == "1"
		if !reset {
			if x.Result.Failed() || x.Outcome != dialogue.Finished {
				failed = x
			}
			return
		}
		if failed == nil || x.AskedAt.Sub(failed.DoneAt) > soon {
			failed = nil
			return
		}
		copy(resets[:], resets[1:])
		resets[often-1] = x
		why := failed
		failed = nil
		if count++; count < often || x.AskedAt.Sub(resets[0].AskedAt) > within {
			return
		}
		count = 0
		more := []finding.Evidence{p.See(why.Command, "what had failed"), p.See(resets[0].Command, "the first of them")}
		p.Report(fmt.Sprintf("%d restarts within %s, each after a failure", often, rulebook.Span(x.AskedAt.Sub(resets[0].AskedAt))), p.See(x.Command, "restarts again"), more...)
	})
}
