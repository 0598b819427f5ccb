// Package answersservice reports a device that answers a service number which wrote to it first.
package answersservice

import (
	"fmt"
	"slices"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "answersservice",
	Title:    "a service number is answered as if it were a person",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (numbers of three to six digits are services; some are dear)"},
	Doc: `
A number of three to six digits belongs to a service: the operator, a vote, an advertiser. Texts to such numbers can cost many times a usual
one, an answer can take out a subscription, and a service that answers by itself keeps the exchange going. Nobody who lends a trailer
writes from such a number.`,
	Silent: `
The device wrote to that number first, as when it asks for its credit.`,
	Remedy: `Obey only whole numbers of a list, and pass over senders that are short numbers or names.`,
	Watch:  watch,
}

const (
	answers  = 60 * time.Second // see the rule textloop
	maxAsked = 16               // service numbers remembered: a device asks one or two
)

func watch(p *rulebook.Pass) {
	var text *witness.Message
	var own []string // service numbers that the device wrote to of itself, or that were reported
	p.OnMessage(func(m *witness.Message) {
		asked := text
		text = nil
		if !sms.ReadNumber(m.Party).Short {
			return
		}
		if !m.Out {
			text = m
			return
		}
		if slices.Contains(own, m.Party) || len(own) == maxAsked {
			return
		}
		own = append(own, m.Party)
		if asked == nil || asked.Party != m.Party || p.TimesKnown() && m.Line.Began.Sub(asked.Line.At) > answers {
			return
		}
		p.Report(fmt.Sprintf("a text of the service number %s was answered, and nothing had been asked of it", m.Party), p.See(m.Head, "the answer"), p.See(asked.Head, "the text"))
	})
}
