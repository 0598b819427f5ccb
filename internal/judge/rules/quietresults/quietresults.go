// Package quietresults reports a module that was told to keep its results to itself.
package quietresults

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "quietresults",
	Title:    "results are switched off and the program waits for them",
	Severity: finding.Error,
	Cites:    []string{"V.250, 6.2.5 (Q)"},
	Doc: `
After ATQ1 the module carries out commands and says neither OK nor ERROR. Answers with values still come, so it looks
alive and broken at once. Every wait runs to its end, and what failed is never known. It may come from a stored profile.`,
	Silent: `
Results came after it; the setting was taken back.`,
	Remedy: `Send ATQ0 (or ATE0Q0V1) as the first command after every start, and store it with AT&W.`,
	Watch:  watch,
}

const enough = 3

func watch(p *rulebook.Pass) {
	var quiet *dialogue.Exchange
	var first *dialogue.Exchange
	count := 0
	p.OnCommand("Q", func(x *dialogue.Exchange, c *at.Command) {
		quiet, count = nil, 0
		if c.Number == 1 {
			quiet = x
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		switch {
		case quiet == nil || x == quiet:
		case x.Outcome == dialogue.Finished:
			quiet = nil
		case x.Number > quiet.Number:
			if count == 0 {
				first = x
			}
			if count++; count == enough {
				p.Report(fmt.Sprintf("%d commands without a result since ATQ1 switched results off", count), p.See(quiet.Command, "switches results off"), p.See(first.Command, "waits in vain"))
				quiet = nil
			}
		}
	})
}
