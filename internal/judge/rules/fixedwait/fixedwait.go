// Package fixedwait reports a controller that sends on a clock instead of listening.
package fixedwait

import (
	"fmt"
	"slices"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "fixedwait",
	Title:    "fixed delays instead of waiting for answers",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 5.6 and 5.7 (a line is over with its final result)", "common practice, no source (one second per command is the trade's habit)"},
	Doc: `
Every command leaves a round time after the one before, whatever the module said: 500 ms, one
second, two. The pause is too long for commands that take 20 ms, so the set-up wastes its time and
battery, and too short for those that ask the network, so it fails when the network is slow, and only
then. Reading until the final result is both faster and safer.`,
	Silent: `
The times between an answer and the next command are steadier than those between commands: then the
controller listens and pauses. The same few commands again and again are a poll, not a script. Pauses
over three seconds are a rhythm of work, unless one of them was too short. Times are not known, or only
in whole tenths of a second.`,
	Remedy: `Replace each delay by reading lines until a final result or the command's own time limit.`,
	Watch:  watch,
}

const (
	steady     = 15 * time.Millisecond  // two intervals are equal within it: one byte at 9600 bit/s is 1 ms
	roundTo    = 100 * time.Millisecond // what people type
	shortest   = 300 * time.Millisecond // below it a pause cannot be told from the module's own time
	longest    = 3 * time.Second        // a wasteful pause is shorter; our estimate
	shortRun   = 5                      // intervals, when one of them was too short
	wasteRun   = 8                      // intervals, when all were long enough
	shortNames = 3                      // different commands: a script, not a poll
	wasteNames = 5
	maxNames   = 16
)

// run is a row of steps (commands and texts) at equal intervals.
type run struct {
	first            dialogue.Line
	last             dialogue.Line
	every            time.Duration
	intervals        int
	names            []string
	early            dialogue.Line // the first step that came before the answer
	tooShort         int
	slowest          time.Duration // the slowest answer that came in time
	restMin, restMax time.Duration // from an answer to the next step
}

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var r run
	waiting := false // the last step has no answer yet
	fine := false    // the times are finer than what is looked for: a log in whole seconds is steady by itself
	var rest time.Duration
	end := func() {
		if fine {
			report(p, &r)
		}
		r = run{first: r.last, last: r.last}
	}
	step := func(line dialogue.Line, name string) {
		if r.last.IsZero() {
			r.first = line
		} else if gap := line.Began.Sub(r.last.Began); r.intervals > 0 && gap-r.every <= steady && r.every-gap <= steady {
			r.intervals++
		} else {
			end()
			r.every, r.intervals = gap, 1
		}
		if r.intervals > 0 && waiting {
			r.tooShort++
			if r.early.IsZero() {
				r.early = line
			}
		} else if r.intervals > 0 {
			rest = line.Began.Sub(r.last.Began) - rest
			if r.restMax == 0 {
				r.restMin = rest
			}
			r.restMin, r.restMax = min(rest, r.restMin), max(rest, r.restMax)
		}
		if len(r.names) < maxNames && !slices.Contains(r.names, name) {
			r.names = append(r.names, name)
		}
		r.last, waiting = line, true
	}
	answered := func(at dialogue.Line) {
		waiting = false
		fine = fine || time.Duration(at.At)%roundTo != 0
		rest = at.At.Sub(r.last.Began)
		r.slowest = max(r.slowest, rest)
	}
	p.OnAsked(func(x *dialogue.Exchange) { step(x.Command, rulebook.LineName(x)) })
	p.OnTexted(func(x *dialogue.Exchange) {
		if !x.TextEarly {
			step(x.Text, "text")
		}
	})
	p.OnPrompted(func(x *dialogue.Exchange) { answered(x.Prompt) })
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Outcome == dialogue.Finished && (x.Command == r.last || x.Text == r.last) {
			answered(x.Final)
		}
	})
	p.OnEnd(end)
}

func report(p *rulebook.Pass, r *run) {
	off := r.every % roundTo
	if r.every < shortest || min(off, roundTo-off) > steady {
		return
	}
	steps := fmt.Sprintf("%d steps in a row sent %s apart whatever the module said", r.intervals+1, rulebook.Span(r.every.Round(roundTo)))
	switch {
	case r.tooShort > 0 && r.intervals >= shortRun && len(r.names) >= shortNames:
		p.Report(fmt.Sprintf("%s; %d of them before the answer to the one before", steps, r.tooShort),
			p.See(r.early, "too early"), p.See(r.first, "the first of them"), p.See(r.last, "the last of them"))
	case r.tooShort == 0 && r.intervals >= wasteRun && len(r.names) >= wasteNames && r.every <= longest && r.restMax-r.restMin > steady:
		p.Report(fmt.Sprintf("%s; every answer was there within %s", steps, rulebook.Span(r.slowest)),
			p.See(r.first, "the first of them"), p.See(r.last, "the last of them"))
	}
}
