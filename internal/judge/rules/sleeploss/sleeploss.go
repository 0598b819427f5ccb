// Package sleeploss reports a module that loses the first command after a pause.
package sleeploss

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "sleeploss",
	Title:    "the first command after a pause is always lost",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (a sleeping receiver wakes with the first edge)", "3GPP TS 27.007, 7.38 (+CPSMS)"},
	Doc: `
After a few seconds without traffic the module's serial receiver sleeps. The first bytes wake it and are lost; the next
command is heard. A program that takes the missing answer for a dead module restarts it for nothing. Wake it on
purpose: its wake line, or an AT whose answer does not matter, a tenth of a second, and then the command.`,
	Silent: `
The lost command is AT alone, which is how one wakes a module. Fewer than three times; first commands that were
answered after pauses as long. Times are not known.`,
	Remedy: `Before the first command after a pause pull the wake line, or send AT and wait 100 ms; repeat a command once before believing that the module is dead.`,
	Watch:  watch,
}

const (
	pause  = 5 * time.Second
	soon   = 3 * time.Second
	enough = 3
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var quiet when.Instant = -when.Never // when the last byte passed
	var lost *dialogue.Exchange          // a first command that was not answered
	var first *dialogue.Exchange
	var woke when.Instant
	count, fine, said := 0, 0, false
	stir := func(l dialogue.Line) { quiet = max(quiet, l.At) }
	after := map[*dialogue.Exchange]bool{} // open first commands: at most those the dialogue keeps open
	p.OnAsked(func(x *dialogue.Exchange) {
		if quiet > -when.Never && x.Command.Began.Sub(quiet) >= pause && len(x.Parsed.Commands) > 0 && len(p.Open()) == 0 {
			after[x] = true
		}
		stir(x.Command)
	})
	p.OnUnsolicited(func(l, _ dialogue.Line, _ at.Answer) { stir(l) })
	p.OnSentence(func(l dialogue.Line, _ *nmea.Sentence) { stir(l) })
	p.OnData(stir)
	p.OnAnswered(func(x *dialogue.Exchange) {
		stir(x.Final)
		answered := x.Outcome == dialogue.Finished
		if after[x] {
			delete(after, x)
			lost = nil
			if answered {
				fine++
			} else if !x.Echoed && len(x.Info) == 0 {
				lost, woke = x, x.AskedAt.Add(soon)
			}
			return
		}
		if lost == nil {
			return
		}
		if answered && x.AskedAt <= woke {
			if count == 0 {
				first = lost
			}
			if count++; count >= enough && fine == 0 && !said {
				said = true
				p.Report(fmt.Sprintf("the first command after a pause was not answered, and the next one was: %d times of %d", count, count),
					p.See(lost.Command, "lost"), p.See(x.Final, "the next one is answered"), p.See(first.Command, "the first one lost"))
			}
		}
		lost = nil
	})
}
