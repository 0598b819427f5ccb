// Package textloop reports a device that answers its own texts, or a machine.
package textloop

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "textloop",
	Title:    "texts answer each other in a loop",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 23.040, 9.1.2.5 (alphanumeric senders)", "common practice, no source (a device answers people only)"},
	Doc: `
A device that answers every text answers advertisements, the operator's notices, its own words and other
devices. Two such devices keep a conversation going for ever, each text paid for. Answer nothing but known
commands from known numbers, never a sender that is a name, never a text that you sent yourself, and stop
after a number of answers an hour.`,
	Silent: `
A person who repeats a question, or sends back one text, is not a loop: it takes two rounds of the own
text coming back and being answered, or six equal rounds.`,
	Remedy: `Answer only exact commands from a list of numbers, once per message, with a limit per hour; never answer a name or your own text.`,
	Watch:  watch,
}

const (
	answers    = 60 * time.Second // an answer comes within it; our estimate
	ownRounds  = 2                // rounds in which the own text came back
	sameRounds = 6                // rounds of two equal texts
)

func watch(p *rulebook.Pass) {
	var in, out *witness.Message      // the last ones
	var lastIn, lastOut, first string // what the last full round said
	var began *witness.Message        // the first text of the loop
	own, same := 0, 0
	said := map[string]bool{} // parties; at most maxSaid
	const maxSaid = 32
	p.OnMessage(func(m *witness.Message) {
		if !m.Out {
			in = m
			return
		}
		answered := in
		in = nil
		if said[m.Party] || len(said) == maxSaid {
			return
		}
		if n := sms.ReadNumber(m.Party); n.Name && answered != nil && answered.Party == m.Party {
			said[m.Party] = true
			p.Report(fmt.Sprintf("a text was sent to the name %s, which had sent one: nobody can receive it there", m.Party), p.See(m.Head, "answers a name"), p.See(answered.Head, "what it answers"))
			return
		}
		if answered == nil || !sms.SameNumber(answered.Party, m.Party) && answered.Party != m.Party || p.TimesKnown() && m.Line.Began.Sub(answered.Line.Began) > answers {
			own, same, out, lastIn, lastOut = 0, 0, m, "", ""
			return
		}
		if out != nil && equal(answered.Body, out.Body) {
			own++
		} else {
			own = 0
		}
		if lastIn != "" && equal(answered.Body, lastIn) && equal(m.Body, lastOut) {
			same++
		} else {
			same, first = 0, ""
		}
		if first == "" || own == 1 {
			first, began = m.Body, answered
		}
		lastIn, lastOut, out = answered.Body, m.Body, m
		if own < ownRounds && same < sameRounds-1 {
			return
		}
		said[m.Party] = true
		what := fmt.Sprintf("the same two texts went to and fro %d times", same+1)
		if own >= ownRounds {
			what = fmt.Sprintf("the own text %s came back and was answered %d times", p.Quote(m.Body), own)
		}
		if p.TimesKnown() {
			what += " within " + rulebook.Span(m.Line.Began.Sub(began.Line.Began))
		}
		p.Report(what, p.See(m.Line, "answers again"), p.See(answered.Line, "what it answers"), p.See(began.Line, "how it began"))
	})
}

func equal(a, b string) bool {
	return a != "" && strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
}
