// Package deafmodule reports a module that speaks and does not hear.
package deafmodule

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "deafmodule",
	Title:    "the module speaks but does not hear",
	Severity: finding.Error,
	Cites:    []string{"V.250, 5.2 and 5.7 (every command line has a result)", "common practice, no source (levels of 1.8 and 2.8 V against 3.3 and 5 V)"},
	Doc: `
Reports and sentences come in, so the module lives and its line to the controller works; but no command is answered
and nothing is echoed. Then the other direction is broken: the controller's level is not a level for the module, its
wire is loose, its pin is set to something else, or the module listens on another port. A module that sleeps with its
receiver off looks like this too, until its wake line is pulled.`,
	Silent: `
Nothing comes at all: wentsilent or noanswer. Fewer than five commands or less than 20 s of them. A slow command is
still being worked on, as a search for operators.`,
	Remedy: `Look at the controller's line at the module's pin with a scope: does it swing from under 0.2 V to the module's own IO voltage? Then look at the wake line and the flow control.`,
	Watch:  watch,
}

const (
	enough = 5
	least  = 20 * time.Second
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() || !p.Info().DirectionsKnown {
		return
	}
	var first, last dialogue.Line // commands without an answer
	var spoke dialogue.Line
	count, said := 0, false
	hear := func(l dialogue.Line) {
		if count > 0 && spoke.IsZero() && l.From == capture.Module {
			spoke = l
		}
	}
	reset := func() { count, spoke = 0, dialogue.Line{} }
	p.OnUnsolicited(func(l, _ dialogue.Line, _ at.Answer) { hear(l) })
	p.OnSentence(func(l dialogue.Line, _ *nmea.Sentence) { hear(l) })
	p.OnPrompted(func(*dialogue.Exchange) { reset() })
	p.OnData(func(dialogue.Line) { reset() })
	p.OnRestart(func(witness.Restart) { reset() })
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Outcome == dialogue.Finished || x.Echoed || len(x.Info) > 0 || x.Ending == "" {
			reset()
			return
		}
		if p.Busy(x.AskedAt) {
			return // something slow is under way
		}
		if count == 0 {
			first = x.Command
		}
		count++
		last = x.Command
		span := last.At.Sub(first.At)
		if said || count < enough || span < least || span < rulebook.Limit(x.Parsed) || spoke.IsZero() {
			return
		}
		said = true
		p.Report(fmt.Sprintf("%d commands in %s without an answer or an echo, while the module goes on speaking", count, rulebook.Span(span)),
			p.See(first, "the first without an answer"), p.See(spoke, "the module speaks"), p.See(last, "still no answer"))
	})
}
