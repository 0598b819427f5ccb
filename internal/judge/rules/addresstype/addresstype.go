// Package addresstype reports a number whose type contradicts it.
package addresstype

import (
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "addresstype",
	Title:    "the type of the number contradicts the number",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.005, 3.1 (<toda>: 145 international, 129 as dialled)", "3GPP TS 23.040, 9.1.2.5 (type of number)"},
	Doc: `
Behind the number may stand its type: 145 for an international one, 129 for one as dialled. "+447700900123",129 says both at once. Some
modules look at the plus, some at the type, and send to a number that begins with 44 in the own country. Without a type the module takes
it from the plus.`,
	Silent: `
No type; 145 with a country code; 129 without a plus.`,
	Remedy: `Leave the type away and write the number with its plus, or use 145.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	said := 0
	p.OnResult("+CMGS", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form != at.Set || len(c.Params) < 2 || said == 3 {
			return
		}
		if number, kind := c.Params[0].Text, c.Params[1].Text; strings.HasPrefix(number, "+") && (kind == "129" || kind == "161") {
			said++
			message := "the number begins with + and its type is " + kind
			var more []finding.Evidence
			if x.Result.Failed() {
				message += "; the text failed with " + rulebook.Failure(x.Result)
				more = append(more, p.See(x.Final, "the failure"))
			}
			p.Report(message, p.See(x.Command, "contradicts itself"), more...)
		}
	})
}
