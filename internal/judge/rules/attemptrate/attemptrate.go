// Package attemptrate reports attempts that come faster than operators allow.
package attemptrate

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "attemptrate",
	Title:    "the network is asked again and again after it refused",
	Severity: finding.Warning,
	Cites:    []string{"GSMA TS.34 (back-off after refusals)", "3GPP TS 24.301, 5.5.1.2.6 (timers after refused attempts; from memory)"},
	Doc: `
After a refusal the network expects a device to wait, minutes first, then hours. One that asks again every ten seconds is
refused harder, and operators block cards for it. Restarting the module does not reset what the network remembers. Worse:
a hundred devices with the same firmware do so at once.`,
	Silent: `
An attempt worked in between; fewer than six refused ones within ten minutes. Searches and questions are no attempts.`,
	Remedy: `Double the pause after each refusal (1, 2, 4 … 60 min) with some chance in it, cap the attempts of a day, and stop for good where the cause is permanent.`,
	Watch:  watch,
}

const (
	within = 10 * time.Minute
	often  = 6
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var tries [often]*dialogue.Exchange // the last refused ones, oldest first
	count, said := 0, false
	p.OnAnswered(func(x *dialogue.Exchange) {
		for i := range x.Parsed.Commands {
			c := &x.Parsed.Commands[i]
			attempt := c.Form == at.Set && (c.Name == "+CGATT" || c.Name == "+CGACT") && rulebook.Text(c.Params, 0) == "1" ||
				c.Name == "+COPS" && c.Form == at.Set && rulebook.Text(c.Params, 0) != "3" && rulebook.Text(c.Params, 0) != "2" ||
				c.Name == "+CGDATA" && c.Form == at.Set || c.Name == "D" && strings.HasPrefix(c.Value, "*99")
			switch {
			case !attempt:
			case x.Result.Kind == at.OK || x.Result.Kind == at.Connect:
				count, said = 0, false
			case x.Result.Failed():
				copy(tries[:], tries[1:])
				tries[often-1] = x
				if count++; count < often || said {
					continue
				}
				if span := x.AskedAt.Sub(tries[0].AskedAt); span <= within {
					said = true
					p.Report(fmt.Sprintf("%d refused attempts within %s, the last %s with %s", often, rulebook.Span(span), rulebook.Name(c), rulebook.Failure(x.Result)), p.See(x.Command, "again"), p.See(tries[0].Command, "the first of them"), p.See(x.Final, "refused"))
				}
			}
		}
	})
}
