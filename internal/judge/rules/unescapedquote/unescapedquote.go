// Package unescapedquote reports a quote inside a quoted value.
package unescapedquote

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
	Name:     "unescapedquote",
	Title:    "a quote inside a quoted value ends it too early",
	Severity: finding.Error,
	Cites:    []string{"V.250, 5.4.2.2 (string constants: \\22 is a quote)"},
	Doc: `
A value in quotes ends at the next quote. Data that has quotes of its own, as JSON does, is cut in the middle and the line is
refused, or half of it is taken. Standard commands take \22 for a quote; makers' data commands mostly have a form with a
length and a prompt, or with hex digits, which takes every byte.`,
	Silent: `
The line was accepted. Quotes that were written as \22.`,
	Remedy: `Use the command's form with length and prompt, or its hex form; else write \22 for each quote inside the value.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	p.OnAnswered(func(x *dialogue.Exchange) {
		if !x.Result.Failed() {
			return
		}
		for i := range x.Parsed.Commands {
			c := &x.Parsed.Commands[i]
			if c.Form != at.Set || strings.Contains(c.Value, `\22`) || strings.Contains(c.Value, `\x22`) {
				continue
			}
			for _, v := range c.Params {
				inner := strings.IndexByte(v.Text, '"')
				if !v.Quoted || inner < 0 {
					continue
				}
				p.Report("AT"+c.Name+" was refused: the value in quotes has a quote inside, where it ends", p.See(x.Command, fmt.Sprintf("the inner quote follows %q", v.Text[:min(inner, 12)])), p.See(x.Final, "refused"))
				return
			}
		}
	})
}
