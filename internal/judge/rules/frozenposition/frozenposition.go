// Package frozenposition reports a position that stands while the speed says that it moves.
package frozenposition

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "frozenposition",
	Title:    "the position stands still while the speed says that it moves",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1, RMC (position and speed)"},
	Doc: `
Every fix gives the same place to the last digit, the time goes on, and the speed says ten metres a second. Even a parked receiver changes its last digit. Position
and speed do not come from the same measurement: a program between holds the position back (to calm a parked map), or fills in the last one when
a field is empty.`,
	Silent: `
A speed under three metres a second; less than twenty seconds; the last digit changes.`,
	Remedy: `Take position, time and speed from the same sentence, and let a hold end as soon as the speed is above 1 m/s.`,
	Watch:  watch,
}

const (
	moves = 3.0
	least = 20 * time.Second
	fixes = 10
)

func watch(p *rulebook.Pass) {
	var first *epoch.Epoch
	count, said := 0, false
	p.OnEpoch(func(e *epoch.Epoch) {
		here, ok := e.Fix.Point.Get()
		if !ok || !e.Fix.Valid || e.Fix.SpeedMPS.Or(0) < moves {
			first = nil
			return
		}
		if first != nil {
			if was, _ := first.Fix.Point.Get(); was == here {
				count++
				then, ok1 := first.Fix.TimeOfDay.Get()
				now, ok2 := e.Fix.TimeOfDay.Get()
				if said || count < fixes || !ok1 || !ok2 || now-then < least {
					return
				}
				said = true
				p.Report(fmt.Sprintf("%d fixes within %s give the same place while the speed is %.0f m/s", count, rulebook.Span(now-then), e.Fix.SpeedMPS.Or(0)), p.SeeSource(rulebook.Origin(e), "the same place"), p.SeeSource(rulebook.Origin(first), "since here"))
				return
			}
		}
		first, count, said = e, 1, false
	})
}
