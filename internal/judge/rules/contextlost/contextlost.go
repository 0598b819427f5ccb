// Package contextlost reports a session that the network ended and nobody opened again.
package contextlost

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "contextlost",
	Title:    "the network ended the session and nobody opens it again",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 10.1.19 (+CGEREP, +CGEV)", "3GPP TS 24.008, 10.5.6.6 (cause 36: regular end; from memory)"},
	Doc: `
Networks end sessions: after hours without traffic, once a day, at a change of cell. The module says so (+CGEV: NW DEACT, NW PDN
DEACT) and its address is gone. A program that goes on opening connections, without opening the session first, fails for ever.
After two failures on one level go one level down: connection, session, attach, radio.`,
	Silent: `
The session was opened again, by the program or by the module (+CGEV: … ACT), or the program signed off. Fewer than two commands
that need it failed: a session that is opened only when it is wanted may well be closed. Fewer than five commands or less
than five minutes after the end.`,
	Remedy: `Switch the reports on (AT+CGEREP=2), and on a lost session run AT+CGACT=1,1 and AT+CGPADDR before the next connection.`,
	Watch:  watch,
}

const (
	patience = 5 * time.Minute
	commands = 5
	fails    = 2
)

func watch(p *rulebook.Pass) {
	var ended dialogue.Line
	count, failed := 0, 0
	p.OnReport("+CGEV", func(l, _ dialogue.Line, _ at.Answer) {
		text := l.Text
		switch {
		case strings.Contains(text, "DEACT"), strings.Contains(text, "DETACH"):
			if strings.Contains(text, "NW ") {
				ended, count, failed = l, 0, 0
			}
		case strings.Contains(text, "ACT"):
			ended = dialogue.Line{}
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if ended.IsZero() {
			return
		}
		for i := range x.Parsed.Commands {
			switch c := &x.Parsed.Commands[i]; c.Name {
			case "+CGACT", "+CGATT", "+CFUN", "+COPS", "+CGDATA", "D":
				if c.Form != at.Read && c.Form != at.Test {
					ended = dialogue.Line{}
					return
				}
			}
		}
		count++
		if n := len(x.Parsed.Commands); n > 0 && x.Result.Failed() {
			if _, known := at.Lookup(x.Parsed.Commands[n-1].Name); !known { // a maker's way to use the session
				failed++
			}
		}
		if failed < fails || count < commands || p.TimesKnown() && x.AskedAt.Sub(ended.Began) < patience {
			return
		}
		message := fmt.Sprintf("%d commands since the network ended the session, and none opens it again", count)
		if p.TimesKnown() {
			message = fmt.Sprintf("%s and %d commands since the network ended the session, and none opens it again", rulebook.Span(x.AskedAt.Sub(ended.Began)), count)
		}
		p.Report(message, p.See(ended, "the session is over"), p.See(x.Command, "goes on without one"))
		ended = dialogue.Line{}
	})
}
