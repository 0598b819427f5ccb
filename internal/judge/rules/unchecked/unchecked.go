// Package unchecked reports a controller that goes on after a failure as if it had worked.
package unchecked

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
	Name:     "unchecked",
	Title:    "goes on after a failure as if it had worked",
	Severity: finding.Error,
	Cites:    []string{"V.250, 5.7.1 (result codes)", "3GPP TS 27.005, 3.2.5 and 3.5.1", "3GPP TS 27.007, 9.2"},
	Doc: `
Every command ends in OK or in a failure, and only OK means that it was done. A text is on its way
when "+CMGS: number" and OK have come, and never otherwise. A program that does not look goes on: it
sends a text to a module that refused the command, uses text mode although AT+CMGF=1 failed, deletes
a message it never sent, and writes "sent" into its log.`,
	Silent: `
The failed command was sent again, or its setting was read back. A failed text that is not repeated
may have been given up on purpose; only what follows at once shows that nobody looked.`,
	Remedy: `Read every final result; after a failure repeat the command or stop, and take a text as sent only after +CMGS: and OK.`,
	Watch:  watch,
}

// needs says which command makes no sense after which failed setting.
var needs = []struct{ command, setting string }{
	{"+CMGS", "+CMGF"},
	{"+CMGS", "+CSCS"},
	{"+CMGS", "+CSMP"},
	{"+CMGS", "+CSCA"},
	{"+CGACT", "+CGDCONT"},
	{"+CGACT", "+CGATT"},
}

// atOnce: what follows a failure within it was not decided on the strength of
// the result. Our estimate.
const atOnce = 2 * time.Second

func watch(p *rulebook.Pass) {
	failed := map[string]*dialogue.Exchange{} // by command; at most those named in needs
	for _, need := range needs {
		p.OnResult(need.setting, func(x *dialogue.Exchange, c *at.Command) {
			switch {
			case c.Form == at.Set && x.Result.Failed() && len(x.Parsed.Commands) == 1:
				failed[need.setting] = x
			case c.Form == at.Set || c.Form == at.Read:
				delete(failed, need.setting)
			}
		})
	}
	var unsent *dialogue.Exchange // the last exchange, if it was a text that failed
	p.OnAsked(func(x *dialogue.Exchange) {
		for _, need := range needs {
			if f := failed[need.setting]; f != nil && x.Is(need.command) {
				delete(failed, need.setting)
				p.Report(fmt.Sprintf("%s sent although %s had failed with %s", rulebook.LineName(x), rulebook.LineName(f), rulebook.Failure(f.Result)),
					p.See(x.Command, "goes on"), p.See(f.Final, "the failure"), p.See(f.Command, "what failed"))
			}
		}
		if u := unsent; u != nil && !u.Text.IsZero() && x.Is("+CMGD") && (!p.TimesKnown() || x.AskedAt.Sub(u.DoneAt) <= atOnce) {
			p.Report(fmt.Sprintf("%s sent at once after the text had failed with %s", rulebook.LineName(x), rulebook.Failure(u.Result)),
				p.See(x.Command, "deletes"), p.See(u.Final, "the failure"), p.See(u.Command, "what failed"))
		}
		unsent = nil
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Is("+CMGS") && x.Result.Failed() {
			unsent = x
		}
	})
	p.OnStray(func(line dialogue.Line) {
		if u := unsent; u != nil && u.Text.IsZero() && len(line.Text) > 1 {
			unsent = nil
			p.Report(fmt.Sprintf("text sent although %s had failed with %s", rulebook.LineName(u), rulebook.Failure(u.Result)),
				p.See(line, "the text, which nobody asked for"), p.See(u.Final, "the failure"), p.See(u.Command, "what failed"))
		}
	})
}
