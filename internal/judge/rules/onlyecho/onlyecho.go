// Package onlyecho reports a line on which the controller only ever hears itself.
package onlyecho

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "onlyecho",
	Title:    "nothing but the echo ever comes back",
	Severity: finding.Error,
	Cites:    []string{"V.250, 5.2.3 and 6.2.4 (echo)", "V.250, 5.2.1 (no CR, no execution)"},
	Doc: `
Each command comes back letter for letter and no OK follows. Either the module hears the letters but
never the CR that ends a line, or the two data wires touch and the controller hears itself: that "echo"
comes even when the module is off. Take the module's supply away: an echo that stays is the wiring.`,
	Silent: `
Anything else was heard, one answer or one sentence; or fewer than three commands were sent.`,
	Remedy: `Switch the module off and send AT: if the echo stays, find the short between the two data wires; if it goes, end commands with CR (0x0D).`,
	Watch:  watch,
}

// enough commands for the picture to be sure. Our estimate.
const enough = 3

func watch(p *rulebook.Pass) {
	var first *dialogue.Exchange
	count, other := 0, false
	heard := func() { other = true }
	p.OnUnsolicited(func(dialogue.Line, dialogue.Line, at.Answer) { heard() })
	p.OnGarbled(func(l dialogue.Line) { heard() })
	p.OnSentence(func(dialogue.Line, *nmea.Sentence) { heard() })
	p.OnPrompted(func(*dialogue.Exchange) { heard() })
	p.OnAnswered(func(x *dialogue.Exchange) {
		switch {
		case x.Outcome == dialogue.Finished || len(x.Info) > 0 || !x.Echoed:
			heard()
		case count == 0:
			first = x
			count++
		default:
			count++
		}
	})
	p.OnEnd(func() {
		if !other && count >= enough {
			p.Report(fmt.Sprintf("%d commands came back as echo and nothing else ever came", count), p.See(first.Command, "echoed, not answered"))
		}
	})
}
