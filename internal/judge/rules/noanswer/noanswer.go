// Package noanswer reports a module from which not one byte ever came.
package noanswer

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "noanswer",
	Title:    "not one byte ever came back",
	Severity: finding.Error,
	Cites:    []string{"V.250, 5.2.4 and 5.7 (every command line has a result)", "common practice, no source (three tries)"},
	Doc: `
Commands leave and nothing at all comes back: no echo, no garbage, no report. Then the bytes do not arrive or the
module is not on. Wrong speed would give garbage. In order of likelihood: the module is off, or its power key was not
pulsed long enough; the two data wires are not crossed; the ground is missing; the wrong port is open; another
program holds it.`,
	Silent: `
Fewer than three commands, or less than three seconds of them. The directions of the recording were guessed: then the
answers may only not have been copied. The commands go on to more than three different things, or send texts, as if
they had been answered: then only one side was recorded. Lines without a CR, which lineend reports. The line was lost.`,
	Remedy: `Measure the module's status pin or its current, then the idle level of both data lines (each must be high and come from one side), then try a loop from TX to RX at the adapter.`,
	Watch:  watch,
}

const (
	enough = 3
	probes = 3 // different commands that one tries on a module that may be dead; our estimate
	least  = 3 * time.Second
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() || !p.Info().DirectionsKnown {
		return
	}
	var first, last dialogue.Line
	var names []string
	count, heard := 0, false
	hear := func(l dialogue.Line) { heard = heard || l.From != capture.Controller }
	p.OnAsked(func(x *dialogue.Exchange) {
		if count == 0 {
			first = x.Command
		}
		last = x.Command
		if strings.HasPrefix(x.Ending, "\r") {
			count++
		}
		if name := rulebook.LineName(x); len(names) <= probes && !slices.Contains(names, name) {
			names = append(names, name)
		}
	})
	p.OnTexted(func(*dialogue.Exchange) { heard = true })
	p.OnAnswered(func(x *dialogue.Exchange) {
		heard = heard || x.Outcome == dialogue.Finished || x.Echoed || len(x.Info) > 0 || !x.Prompt.IsZero()
	})
	p.OnUnsolicited(func(l, _ dialogue.Line, _ at.Answer) { hear(l) })
	p.OnSentence(func(l dialogue.Line, _ *nmea.Sentence) { hear(l) })
	p.OnGarbled(hear)
	p.OnData(hear)
	p.OnNoted(func(_ dialogue.Line, note string) { heard = heard || note == "line-lost" })
	p.OnEnd(func() {
		if span := last.At.Sub(first.At); count >= enough && !heard && len(names) <= probes && span >= least {
			p.Report(fmt.Sprintf("%d commands in %s, and not one byte came back", count, rulebook.Span(span)), p.See(first, "the first"), p.See(last, "the last"))
		}
	})
}
