// Package noaddress reports a data session that is used without an address.
package noaddress

import (
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "noaddress",
	Title:    "attached, but without an address there is no session",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 10.1.9 (+CGATT), 10.1.10 (+CGACT), 10.1.14 (+CGPADDR)"},
	Doc: `
Attached means that the network knows the module for packets. It is not connected yet: that takes a session (AT+CGACT=1,1 or the
maker's own command), and a session has an address, which AT+CGPADDR shows. 0.0.0.0 or nothing means that there is none, and
whatever opens a connection then fails. The order is: registered, attached, session with address, name, connection, answer.`,
	Silent: `
A session was opened between the question and the failure; nothing failed.`,
	Remedy: `Open the session and wait until AT+CGPADDR shows an address, before anything that needs it; start there again when a connection fails.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	var none dialogue.Line
	p.OnInfo("+CGPADDR", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		address := strings.Trim(rulebook.Text(a.Params, 1), " ")
		none = dialogue.Line{}
		if address == "" || strings.Trim(address, "0.:") == "" {
			none = l
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if none.IsZero() || len(x.Parsed.Commands) == 0 {
			return
		}
		c := &x.Parsed.Commands[len(x.Parsed.Commands)-1]
		_, known := at.Lookup(c.Name)
		switch {
		case c.Name == "+CGACT" && c.Form == at.Set || c.Name == "+CGATT" && c.Form == at.Set || c.Name == "+CFUN" && c.Form == at.Set:
			none = dialogue.Line{}
		case !x.Result.Failed() || c.Form == at.Read || c.Form == at.Test:
		case c.Name == "+CGDATA", c.Name == "D" && strings.HasPrefix(c.Value, "*99"), !known && strings.HasPrefix(c.Name, "+"):
			p.Report(rulebook.Name(c)+" failed with "+rulebook.Failure(x.Result)+", and +CGPADDR had shown no address", p.See(none, "no address, so no session"), p.See(x.Command, "needs one"), p.See(x.Final, "the failure"))
			none = dialogue.Line{}
		}
	})
}
