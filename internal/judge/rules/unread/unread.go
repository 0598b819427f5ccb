// Package unread reports an announced message that nobody reads.
package unread

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
	Name:     "unread",
	Title:    "a message is announced and nobody reads it",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.005, 3.4.1 (+CMTI), 3.4.3 (+CMGR)", "common practice, no source (five minutes)"},
	Doc: `
+CMTI came, the program goes on with other commands, and five minutes later nobody has read the message. Mostly the report fell into the
answer of another command and the program's reader threw it away: it looks only for what it asked. Every line has to pass the table of
reports first, and the list of messages should be read now and then all the same.`,
	Silent: `
It was read, listed or deleted; less than five minutes or fewer than five commands passed. Times are not known: then ten commands.`,
	Remedy: `Let every line pass a table of reports before it is taken for an answer, and list the store (AT+CMGL) every few minutes.`,
	Watch:  watch,
}

const (
	patience = 5 * time.Minute
	commands = 5
	untimed  = 10
)

func watch(p *rulebook.Pass) {
	var arrived dialogue.Line
	var place int
	var inside *dialogue.Exchange
	count := 0
	p.OnReport("+CMTI", func(l, _ dialogue.Line, a at.Answer) {
		if n, ok := rulebook.Int(a.Params, 1); ok && arrived.IsZero() {
			arrived, place, count, inside = l, n, 0, nil
			if open := p.Open(); len(open) > 0 {
				inside = open[len(open)-1]
			}
		}
	})
	seen := func(*dialogue.Exchange, *at.Command) { arrived = dialogue.Line{} }
	p.OnCommand("+CMGR", seen)
	p.OnCommand("+CMGL", seen)
	p.OnCommand("+CMGD", seen)
	p.OnRestart(func(witness.Restart) { arrived = dialogue.Line{} })
	p.OnAsked(func(x *dialogue.Exchange) {
		if arrived.IsZero() {
			return
		}
		count++
		if p.TimesKnown() && (count < commands || x.AskedAt.Sub(arrived.Began) < patience) || !p.TimesKnown() && count < untimed {
			return
		}
		message := fmt.Sprintf("message %d was announced, and %d commands later nobody has read it", place, count)
		if inside != nil {
			message += "; the report came inside the answer to " + rulebook.LineName(inside)
		}
		p.Report(message, p.See(arrived, "announced"), p.See(x.Command, "goes on with something else"))
		arrived = dialogue.Line{}
	})
}
