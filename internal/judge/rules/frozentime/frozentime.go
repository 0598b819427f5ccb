// Package frozentime reports a receiver whose time stands still.
package frozentime

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "frozentime",
	Title:    "the receiver's time stands still",
	Severity: finding.Error,
	Cites:    []string{"IEC 61162-1, RMC (UTC of position)"},
	Doc: `
Valid fixes come, second after second, and all say the same time: somebody sends an old sentence again and again, a buffer that is never emptied, a
program between receiver and line that holds its last value, or a receiver that hangs. The position is as old as the time.`,
	Silent: `
Less than ten seconds; sentences without a fix, whose time may stand before the first satellite is heard. Times of the recording are not known.`,
	Remedy: `Compare the time in each sentence with the one before; treat ten seconds of the same time as no fix, and restart the receiver.`,
	Watch:  watch,
}

const (
	stands = 10 * time.Second
	enough = 5
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var first *epoch.Epoch
	count, said := 0, false
	p.OnEpoch(func(e *epoch.Epoch) {
		now, ok := e.Fix.TimeOfDay.Get()
		if !ok || !e.Fix.Valid {
			first = nil
			return
		}
		if first != nil {
			if was, _ := first.Fix.TimeOfDay.Get(); was == now {
				count++
				if span := e.Began.Sub(first.Began); count >= enough && span >= stands && !said {
					said = true
					p.Report(fmt.Sprintf("%d fixes within %s say the same time", count, rulebook.Span(span)), p.SeeSource(rulebook.Origin(e), "the same time"), p.SeeSource(rulebook.Origin(first), "since here"))
				}
				return
			}
		}
		first, count, said = e, 1, false
	})
}
