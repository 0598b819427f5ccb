// Package clockunset reports a session that is used while the clock was never set.
package clockunset

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "clockunset",
	Title:    "the module's clock was never set",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.15 (+CCLK), 8.40 (+CTZU)", "RFC 5280, 4.1.2.5 (validity of certificates; from memory)"},
	Doc: `
A module whose clock was never set believes in 1980, 2000 or 2004. Secure connections fail then, for every certificate is "not yet
valid"; stamps of reports are wrong; alarms at a time of day never come. The plain connection to the same server works, which
leads people to doubt their certificates.`,
	Silent: `
The clock shows a year from 2020 on; it was set before the session was opened; no session was opened.`,
	Remedy: `Let the network set the clock (AT+CTZU=1), or set it from the receiver with AT+CCLK, and read it before a secure connection.`,
	Watch:  watch,
}

const oldest = 2020 // our estimate: nothing this is written for is older

func watch(p *rulebook.Pass) {
	var wrong dialogue.Line
	year, session, said := 0, dialogue.Line{}, false
	look := func() {
		if said || wrong.IsZero() || session.IsZero() {
			return
		}
		said = true
		p.Report(fmt.Sprintf("a session is open and the clock says %d", year), p.See(wrong, "never set"), p.See(session, "a session"))
	}
	p.OnInfo("+CCLK", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		if t, ok := rulebook.ReadClock(a); ok {
			wrong, year = dialogue.Line{}, t.Year()
			if year < oldest {
				wrong = l
				look()
			}
		}
	})
	p.OnResult("+CCLK", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set && x.Result.Kind == at.OK {
			wrong = dialogue.Line{}
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		c, ok := x.Parsed.Find("+CGACT")
		switch {
		case x.Result.Kind == at.Connect, ok && c.Form == at.Set && x.Result.Kind == at.OK && rulebook.Text(c.Params, 0) == "1":
			session = x.Command
			look()
		case ok && c.Form == at.Set:
			session = dialogue.Line{}
		}
	})
}
