// Package apnunset reports a data session without an access point name.
package apnunset

import (
	"fmt"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "apnunset",
	Title:    "no access point name was set, and the session fails",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 10.1.1 (+CGDCONT)", "3GPP TS 24.008, 10.5.6.6 (causes 27, 33; from memory)"},
	Doc: `
A data session needs the access point name of the card's contract, in AT+CGDCONT. Without one the module uses what is stored:
nothing, or the name from the card before. Some networks fill in their own; where they do not, the session is refused, and on
LTE even the registration. The name belongs into the set-up, before the radio is switched on.`,
	Silent: `
The session works. A name was set, or read and found.`,
	Remedy: `Send AT+CGDCONT=1,"IP","<name from the contract>" before AT+CFUN=1 in every set-up and read it back.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	named := false
	var empty dialogue.Line // an answer that shows an empty name
	name := func(params []at.Param) string { return strings.TrimSpace(rulebook.Text(params, 2)) }
	p.OnInfo("+CGDCONT", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		if name(a.Params) != "" {
			named = true
		} else if empty.IsZero() {
			empty = l
		}
	})
	p.OnCommand("+CGDCONT", func(_ *dialogue.Exchange, c *at.Command) {
		named = named || c.Form == at.Set && name(c.Params) != ""
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if named || !x.Result.Failed() {
			return
		}
		for i := range x.Parsed.Commands {
			c := &x.Parsed.Commands[i]
			opens := c.Name == "+CGACT" && c.Form == at.Set && rulebook.Text(c.Params, 0) == "1" || c.Name == "+CGDATA" && c.Form == at.Set || c.Name == "D" && strings.HasPrefix(c.Value, "*99")
			if !opens {
				continue
			}
			named = true // said
			message := fmt.Sprintf("%s failed with %s and this recording never sets or reads an access point name", rulebook.Name(c), rulebook.Failure(x.Result))
			more := []finding.Evidence{p.See(x.Final, "refused")}
			if !empty.IsZero() {
				message = fmt.Sprintf("%s failed with %s and the access point name is empty", rulebook.Name(c), rulebook.Failure(x.Result))
				more = append(more, p.See(empty, "an empty name"))
			}
			p.Report(message, p.See(x.Command, "opens a session"), more...)
			return
		}
	})
}
