// Package shortwait reports a controller that gave up on a command before its answer came.
package shortwait

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
	Name:     "shortwait",
	Title:    "gave up waiting before the answer came",
	Severity: finding.Error,
	Cites:    []string{"V.250 states no limits", "3GPP TS 24.011, 10.1 (a text may take 45 s and repeats)", "common practice, no source (other limits)"},
	Doc: `
A controller that waits a few seconds for everything gives up on the commands that ask the network:
sending a text may take a minute, choosing an operator or attaching two or three. The answer comes
all the same, falls into the next command's wait and is taken for that one's. From then on every
answer is one command late. Give each command its own limit, and after it has passed, do not go on
as if nothing were open: wait for silence, send AT, and only then the next command.`,
	Silent: `
The answer never came: then waiting longer would not have helped. Less than a second was waited: that
is haste, another rule's business. The controller waited as long as the command's usual limit.`,
	Remedy: `Give every command its own limit: 60 s and more for +CMGS, 180 s for +COPS, 150 s for +CGATT and +CGACT, 15 s for +CFUN, 5 s for the rest.`,
	Watch:  watch,
}

// giveUp is the least wait that counts as a time limit; see the rule overlap.
const giveUp = time.Second

// maxHeld bounds the commands given up whose answers may still come.
const maxHeld = 16

type given struct {
	first, next *dialogue.Exchange
	waited      time.Duration
}

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var held []given
	p.OnAsked(func(x *dialogue.Exchange) {
		open := p.Open()
		if len(open) == 0 || len(held) == maxHeld {
			return
		}
		before := open[len(open)-1]
		if c, ok := before.Parsed.Find("+COPS"); ok && c.Form == at.Test {
			return
		}
		since := before.AskedAt
		if !before.Text.IsZero() {
			since = before.Text.At
		}
		waited := x.Command.Began.Sub(since)
		if waited >= giveUp && waited < rulebook.Limit(before.Parsed) {
			held = append(held, given{before, x, waited})
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		for i, g := range held {
			if g.first != x {
				continue
			}
			held = append(held[:i], held[i+1:]...)
			if x.Outcome == dialogue.Finished {
				took := x.DoneAt.Sub(g.next.Command.Began.Add(-g.waited))
				p.Report(fmt.Sprintf("gave up on %s after %s; its answer came after %s and fell into the wait for %s", rulebook.LineName(x), rulebook.Span(g.waited), rulebook.Span(took), rulebook.LineName(g.next)),
					p.See(g.next.Command, "sent while the answer was still to come"), p.See(x.Final, "the late answer"), p.See(x.Command, "the command"))
			}
			return
		}
	})
}
