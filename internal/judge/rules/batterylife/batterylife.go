// Package batterylife reports a battery that empties within a day.
package batterylife

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
	Name:     "batterylife",
	Title:    "the battery empties within a day",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.4 (+CBC)", "common practice, no source (a tracker is meant to last for weeks)"},
	Doc: `
What a battery lasts is decided by the time spent in each state: sleeping, listening, looking for satellites, sending.
A cold start of the receiver costs as much as twenty warm ones, and a module that never sleeps draws some
milliamperes for ever. Two readings of +CBC an hour apart say more than any data sheet: this rule draws the line
through them and says how long a full battery would last.`,
	Silent: `
Less than half an hour or less than ten percent between two readings; a battery that would last longer than a day;
a charge that went up in between. Times are not known.`,
	Remedy: `Count the seconds in each state, shorten the longest, let module and receiver sleep between reports, and measure the sleeping current.`,
	Watch:  watch,
}

const (
	least = 30 * time.Minute
	drop  = 10             // percent: a step of one says nothing
	short = 24 * time.Hour // for a full battery; our estimate of what nobody wants
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var first dialogue.Line
	full, before, said := 0, 0, false
	p.OnInfo("+CBC", func(_ *dialogue.Exchange, line dialogue.Line, a at.Answer) {
		source, ok1 := rulebook.Int(a.Params, 0)
		percent, ok2 := rulebook.Int(a.Params, 1)
		if !ok1 || !ok2 || source != 0 || percent == 0 || first.IsZero() || percent > before {
			first, full, before, said = line, percent, percent, false
			if source != 0 || percent == 0 {
				first = dialogue.Line{}
			}
			return
		}
		before = percent
		span := line.Began.Sub(first.Began)
		if said || span < least || full-percent < drop {
			return
		}
		life := span / time.Duration(full-percent) * 100
		if life >= short {
			return
		}
		said = true
		p.Report(fmt.Sprintf("the battery lost %d percent in %s: a full one lasts %s like this", full-percent, rulebook.Span(span), rulebook.Span(life.Round(time.Minute))),
			p.See(line, "now"), p.See(first, "before"))
	})
}
