// Package chainfailed reports a chain of commands of which one failed.
package chainfailed

import (
	"fmt"
	"slices"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "chainfailed",
	Title:    "one of several commands on a line failed, nobody knows which",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 5.4.5 (several commands on a line), 5.6 (the line ends at the first failure)"},
	Doc: `
A line with several commands has one result. At the first failure the rest is not carried out, and ERROR does not say
where: the first settings hold, the last do not, and next time it may be another one. Chains save a few milliseconds
at the bench and cost an evening in the field.`,
	Silent: `
The chain was carried out.`,
	Remedy: `Send one command a line and read each result.`,
	Watch:  watch,
}

const maxShown = 3

func watch(p *rulebook.Pass) {
	said := 0
	p.OnAnswered(func(x *dialogue.Exchange) {
		n := len(x.Parsed.Commands)
		if n < 2 || !x.Result.Failed() || said == maxShown {
			return
		}
		if basic := slices.IndexFunc(x.Parsed.Commands, func(c at.Command) bool { return strings.HasPrefix(c.Name, "+") }); basic < 0 {
			return // ATE0V1: such lines never fail but for a spelling
		}
		said++
		names := make([]string, n)
		for i := range names {
			names[i] = rulebook.Name(&x.Parsed.Commands[i])
		}
		p.Report(fmt.Sprintf("one of the %d commands %s failed with %s, and those behind it were not carried out", n, strings.Join(names, ", "), rulebook.Failure(x.Result)), p.See(x.Command, "several commands"), p.See(x.Final, "one result"))
	})
}
