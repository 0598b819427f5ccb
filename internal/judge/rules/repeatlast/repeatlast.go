// Package repeatlast reports A/ behind a command that costs.
package repeatlast

import (
	"slices"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "repeatlast",
	Title:    "A/ repeats a command that costs or deletes",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 5.2.4 (A/ repeats the line before)"},
	Doc: `
A/ runs the last command line again, without CR, at once. As a quick way to see whether the module lives it is a trap: if
the last line sent a text, dialled or deleted, it does so again. And a lone A followed by a slash may be made by noise.`,
	Silent: `
A/ behind a question or a setting.`,
	Remedy: `Use AT, with its CR, to see whether the module lives; never A/ in a program.`,
	Watch:  watch,
}

// costly are commands that one does not want twice.
var costly = []string{"+CMGS", "+CMSS", "+CMGC", "D", "+CMGD", "+CUSD", "+CPIN"}

func watch(p *rulebook.Pass) {
	var last *dialogue.Exchange
	p.OnAsked(func(x *dialogue.Exchange) {
		if !x.Parsed.Repeat {
			last = x
			return
		}
		if last == nil {
			return
		}
		for i := range last.Parsed.Commands {
			if c := &last.Parsed.Commands[i]; slices.Contains(costly, c.Name) && c.Form != at.Read && c.Form != at.Test {
				p.Report("A/ runs "+rulebook.Name(c)+" again", p.See(x.Command, "repeats"), p.See(last.Command, "what it repeats"))
				return
			}
		}
	})
}
