// Package datacall reports a voice call that was dialled without its semicolon.
package datacall

import (
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "datacall",
	Title:    "a number is dialled without the semicolon of a voice call",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 6.2 (D: \";\" makes a voice call)"},
	Doc: `
ATD+447700900123 without ";" asks for a data call over circuits, which hardly any network offers any more: NO CARRIER, at once or after
a while. ATD+447700900123; with the semicolon is a voice call. The semicolon is easily lost, for in other places it only parts
commands.`,
	Silent: `
The call went through; strings that are no telephone number, such as *99#.`,
	Remedy: `Put a semicolon behind the number: ATD+447700900123;`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	p.OnResult("D", func(x *dialogue.Exchange, c *at.Command) {
		number := strings.TrimSpace(c.Value)
		if !x.Result.Failed() || strings.HasSuffix(strings.TrimSpace(c.Text), ";") || len(number) < 3 || strings.Trim(number, "+0123456789TtPp, -") != "" {
			return
		}
		p.Report("a number was dialled without its semicolon, which is a data call, and failed with "+rulebook.Failure(x.Result), p.See(x.Command, "no semicolon"), p.See(x.Final, "the failure"))
	})
}
