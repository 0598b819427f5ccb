// Package deafwhilewaiting reports sentences that are lost while the program waits for an answer.
package deafwhilewaiting

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "deafwhilewaiting",
	Title:    "sentences are lost while the program waits for an answer",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (a wait that serves nothing else)", "IEC 61162-1 (a receiver speaks whether anybody listens)"},
	Doc: `
The sentences come every second, stop when a slow command is sent and go on when its answer is there: the program stands in a loop and reads nothing else.
What the receiver said meanwhile overflowed a buffer and is gone, and so is a RING or a text that came in that minute. (On a module that shares one
radio the receiver itself may stop: sharedradio.)`,
	Silent: `
A gap that does not begin and end with a command; fewer than two; a stream that is slower than one in two seconds. Sentences without fix before
or after, as where the receiver starts.`,
	Remedy: `Never stand and wait: go round a loop that reads every input in each turn, and keep the waiting in a state with a time limit.`,
	Watch:  watch,
}

const (
	regular = 2 * time.Second
	gap     = 5 * time.Second
	near    = 1500 * time.Millisecond
	row     = 5
	enough  = 2
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var last when.Instant
	var lost *dialogue.Exchange // the last one with a gap
	var x *dialogue.Exchange
	steady, count, said := 0, 0, false
	var longest time.Duration
	p.OnAsked(func(a *dialogue.Exchange) {
		if x == nil || x.Outcome != dialogue.Open {
			x = a
		}
	})
	p.OnRestart(func(witness.Restart) { steady = 0 })
	p.OnSentence(func(l dialogue.Line, s *nmea.Sentence) {
		pause := l.Began.Sub(last)
		before := last
		last = l.At
		if pause <= regular {
			steady++
			return
		}
		was := steady
		steady = 0
		if pause < gap || was < row || x == nil || said {
			return
		}
		begins := x.AskedAt >= before.Add(-near) && x.AskedAt <= before.Add(near)
		ends := x.Outcome == dialogue.Open || x.DoneAt >= l.Began.Add(-near) && x.DoneAt <= l.Began.Add(near)
		if !begins || !ends || x == lost {
			return
		}
		lost = x
		longest = max(longest, pause)
		if count++; count < enough {
			return
		}
		said = true
		p.Report(fmt.Sprintf("sentences are missing for %s, as long as %s is waited for; it is number %d of such gaps", rulebook.Span(longest), rulebook.LineName(x), count), p.See(l, "the first one after the gap"), p.See(x.Command, "waited for"))
	})
}
