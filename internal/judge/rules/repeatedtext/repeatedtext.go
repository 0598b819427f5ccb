// Package repeatedtext reports the same text sent again and again.
package repeatedtext

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "repeatedtext",
	Title:    "the same text is sent again and again",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (a text that was accepted is paid for)", "3GPP TS 27.005, 3.5.1 (+CMGS: <mr> and OK: accepted)"},
	Doc: `
Word for word the same text leaves three times within half an hour, each accepted and paid for, and nobody had asked. Mostly the program
does not see the "+CMGS:" and OK, believes that the text failed and repeats it; or an alarm is sent in every turn of the loop while its
cause lasts.`,
	Silent: `
Somebody asked in between, or another text went to the same number; the text failed before, so that it was rightly
repeated; texts with changing figures.`,
	Remedy: `Take +CMGS: and OK for the end of it, note that the alarm was sent, and send it again only when its cause has gone and come back.`,
	Watch:  watch,
}

const (
	within = 30 * time.Minute
	often  = 3
	kept   = 8
)

type repeated struct {
	party, raw string
	first      dialogue.Line
	at         when.Instant
	count      int
}

func watch(p *rulebook.Pass) {
	var texts [kept]repeated
	next := 0
	var last *witness.Message
	p.OnMessage(func(m *witness.Message) {
		if !m.Out {
			clear(texts[:]) // somebody asks
			return
		}
		last = m
	})
	p.OnResult("+CMGS", func(x *dialogue.Exchange, _ *at.Command) {
		m := last
		if m == nil || m.X != x || !witness.Accepted(x).Or(false) || m.Raw == "" {
			return
		}
		for i := range texts {
			t := &texts[i]
			if t.party != m.Party || t.first.IsZero() {
				continue
			}
			if t.raw != m.Raw || p.TimesKnown() && x.AskedAt.Sub(t.at) > within {
				*t = repeated{m.Party, m.Raw, x.Command, x.AskedAt, 1}
				return
			}
			if t.count++; t.count == often {
				message := fmt.Sprintf("the same text was sent and accepted %d times", t.count)
				if p.TimesKnown() {
					message += " within " + rulebook.Span(x.AskedAt.Sub(t.at))
				}
				p.Report(message+", and nobody had asked", p.See(x.Command, "again"), p.See(t.first, "the first time"), p.See(x.Final, "accepted and paid for"))
			}
			return
		}
		texts[next] = repeated{m.Party, m.Raw, x.Command, x.AskedAt, 1}
		next = (next + 1) % kept
	})
}
