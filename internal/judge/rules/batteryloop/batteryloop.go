// Package batteryloop reports a module that starts, sends and falls, again and again.
package batteryloop

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "batteryloop",
	Title:    "starts, sends, falls: the same round again and again",
	Severity: finding.Error,
	Cites:    []string{"common practice, no source (three rounds, at most two minutes each)"},
	Doc: `
A tired or cold cell recovers while the module is down, lets it start, and gives way at the first moment in which the
radio sends. The round takes as long as the start does, so it is short and even, and it goes on until the cell is flat
or the module's memory is damaged by the cuts. A module that was fed from a good source would fall now and then, at
weak signal, and not each time.`,
	Silent: `
Fewer than three rounds in a row; a round in which something was sent without a fall; more than two minutes from
start to start. Times are not known.`,
	Remedy: `Measure the cell under load, hold the firmware back until the voltage has recovered by 0.3 V, and double the pause after every failed start.`,
	Watch:  watch,
}

const (
	rounds  = 3
	longest = 2 * time.Minute
	window  = 10 * time.Second // see the rule restartload
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var first, last witness.Restart
	var sender dialogue.Line // the first sending command since the last start
	count, said := 0, false
	p.OnAsked(func(x *dialogue.Exchange) {
		for i := range x.Parsed.Commands {
			if sender.IsZero() && rulebook.Transmits(&x.Parsed.Commands[i]) {
				sender = x.Command
			}
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Command == sender && x.Result.Kind == at.OK && x.DoneAt.Sub(x.AskedAt) > time.Second {
			count, said = 0, false // it held while it sent
		}
	})
	p.OnRestart(func(r witness.Restart) {
		by := sender
		sender = dialogue.Line{}
		fell := !by.IsZero() && r.At.Sub(by.At) <= window && !r.Asked
		if !fell || count > 0 && r.At.Sub(last.At) > longest {
			count, said = 0, false
		}
		if fell {
			if count == 0 {
				first = r
			}
			count++
		}
		last = r
		if count < rounds || said {
			return
		}
		said = true
		each := r.At.Sub(first.At) / time.Duration(count-1)
		p.Report(fmt.Sprintf("%d rounds, one every %s: the module starts, is told to send, and starts anew", count, rulebook.Span(each.Round(time.Second))),
			p.See(r.Line, r.Why), p.See(by, "the first sending command of the round"), p.See(first.Line, "the first round ended here"))
	})
}
