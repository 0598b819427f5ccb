// Package backfed reports a module that does not start after its supply was cut for a moment.
package backfed

import (
	"fmt"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "backfed",
	Title:    "the module does not start after its supply was cut",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (more than 0.3 V is left at the pins)"},
	Doc: `
The supply was taken away and given back, and the module that had worked says nothing any more. Often it was never really off: the
controller's data and handshake lines, still high, feed it through its input diodes, its voltage stays between on and off, and it never
comes to a clean start. It starts when the serial wires are pulled, or after a minute without supply.`,
	Silent: `
Anything came from the module after the supply was back; fewer than three commands; nobody noted that the supply was cut. It had not
answered before either.`,
	Remedy: `Set the controller's lines to the module low or to inputs before cutting its supply, leave it off for ten seconds, and measure at its pins: under 0.3 V is off.`,
	Watch:  watch,
}

const enough = 3

func watch(p *rulebook.Pass) {
	var cut dialogue.Line
	var first *dialogue.Exchange
	worked, count := false, 0
	heard := func() { cut, count = dialogue.Line{}, 0 }
	p.OnNoted(func(l dialogue.Line, note string) {
		n := strings.ToLower(note)
		if worked && strings.Contains(n, "supply") && (strings.Contains(n, "off") || strings.Contains(n, "cut")) {
			cut, count = l, 0
			cut.Text = note
		}
	})
	p.OnUnsolicited(func(l, _ dialogue.Line, _ at.Answer) { heard() })
	p.OnSentence(func(dialogue.Line, *nmea.Sentence) {
		if !cut.IsZero() {
			heard()
		}
	})
	p.OnGarbled(func(dialogue.Line) { heard() })
	p.OnAnswered(func(x *dialogue.Exchange) {
		switch {
		case x.Outcome == dialogue.Finished || x.Echoed || len(x.Info) > 0:
			worked = worked || x.Outcome == dialogue.Finished
			heard()
		case cut.IsZero() || x.Command.Record < cut.Record:
		default:
			if count == 0 {
				first = x
			}
			if count++; count == enough {
				p.Report(fmt.Sprintf("%d commands since the supply came back, and not one byte: is it fed through its serial lines?", count), p.See(cut, "the supply was cut"), p.See(first.Command, "no answer since"))
				cut = dialogue.Line{}
			}
		}
	})
}
