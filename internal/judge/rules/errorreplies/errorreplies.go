// Package errorreplies notes a device that answers texts which it does not understand.
package errorreplies

import (
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "errorreplies",
	Title:    "a text that is no command is answered with an error text",
	Severity: finding.Note,
	Cites:    []string{"common practice, no source (unknown words are passed over)"},
	Doc: `
The device tells whoever writes to it that it did not understand. Each such answer is paid for, advertisements and the operator's notices
included, and when the other side is a machine that does the same, the two never stop: the rule textloop reports that when it
happens. An answer to an unknown word also tells strangers that a device lives at this number.`,
	Silent: `
Answers that refuse a command they understood, such as one with a wrong code. Said once.`,
	Remedy: `Pass over every text that is no command without a word; answer commands only, to numbers of a list, a few times an hour.`,
	Watch:  watch,
}

const answers = 60 * time.Second // see the rule textloop

// errors are words of answers to what was not understood: our choice.
var errors = []string{
	"unknown command", "unknown text", "unknown message", "unknown request", "not understood", "not understand", "no such command", "invalid command", "invalid message",
	"bad command", "wrong command", "command error", "syntax error", "command not found", "not recognised", "not recognized", "unrecognised", "unrecognized",
}

func watch(p *rulebook.Pass) {
	var text *witness.Message
	said := false
	p.OnMessage(func(m *witness.Message) {
		asked := text
		text = nil
		if !m.Out {
			text = m
			return
		}
		if said || asked == nil || !sms.SameNumber(asked.Party, m.Party) || p.TimesKnown() && m.Line.Began.Sub(asked.Line.At) > answers {
			return
		}
		answer := strings.ToLower(m.Body)
		for _, e := range errors {
			if strings.Contains(answer, e) {
				said = true
				p.Report("a text that is no command was answered with "+p.Quote(m.Body), p.See(asked.Head, "the text"), p.See(m.Head, "the answer"))
				return
			}
		}
	})
}
