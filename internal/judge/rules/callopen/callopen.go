// Package callopen reports a call that nobody ends.
package callopen

import (
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "callopen",
	Title:    "a call stays open and nobody ends it",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 6.3.6 (H)", "3GPP TS 27.007, 6.5 (+CHUP), 7.18 (+CLCC; from memory)"},
	Doc: `
A call was taken or dialled, and half an hour later nothing has ended it. Some modules say nothing when the other side hangs up, so the program must
look (AT+CLCC) or hang up by itself. An open call is paid for by the minute, keeps the line busy for the next one, and stops data on many
modules.`,
	Silent: `
ATH, AT+CHUP, NO CARRIER or BUSY came; less than half an hour or fewer than three commands passed.`,
	Remedy: `End every call with ATH after a time of its own, and look with AT+CLCC whether it is really over.`,
	Watch:  watch,
}

const (
	long     = 30 * time.Minute
	commands = 3
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var call *dialogue.Exchange
	count := 0
	p.OnAnswered(func(x *dialogue.Exchange) {
		for i := range x.Parsed.Commands {
			c := &x.Parsed.Commands[i]
			switch c.Name {
			case "A", "D":
				if c.Name == "D" && !strings.HasSuffix(strings.TrimSpace(c.Text), ";") {
					continue // a session, which may stay open
				}
				call, count = nil, 0
				if x.Result.Kind == at.OK || x.Result.Kind == at.Connect {
					call = x
				}
			case "H", "+CHUP", "Z", "+CHLD", "+CFUN":
				call = nil
			}
		}
		if x.Result.Kind == at.NoCarrier || x.Result.Kind == at.Busy {
			call = nil
		}
	})
	p.OnUnsolicited(func(l, _ dialogue.Line, _ at.Answer) {
		if r, ok := at.ParseResult(l.Text); ok && (r.Kind == at.NoCarrier || r.Kind == at.Busy || r.Kind == at.NoAnswer) {
			call = nil
		}
	})
	p.OnRestart(func(witness.Restart) { call = nil })
	p.OnAsked(func(x *dialogue.Exchange) {
		if call == nil || x == call {
			return
		}
		if count++; count < commands || x.AskedAt.Sub(call.DoneAt) < long {
			return
		}
		p.Report("a call is open for "+rulebook.Span(x.AskedAt.Sub(call.DoneAt))+" and nothing has ended it", p.See(call.Command, "the call"), p.See(x.Command, "goes on with something else"))
		call = nil
	})
}
