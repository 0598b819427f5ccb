// Package cutcommand reports commands of the controller that are cut off.
package cutcommand

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
	Name:     "cutcommand",
	Title:    "the controller's own commands are cut off",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (strings built in small memories)", "V.250, 5.4.1 (names of commands)"},
	Doc: `
A command that was whole a hundred times leaves as "AT+CMG" or "AT+CRE": the string could not be built to its end, for the
controller's memory is full or in pieces. Building texts by joining strings does that after hours or days. The next thing to
happen is a restart of the controller, or silence.`,
	Silent: `
A name that this module or this controller knows; a person's slip, which comes once.`,
	Remedy: `Build commands in a fixed buffer with a length limit, keep constant texts out of the working memory, and report the least free memory.`,
	Watch:  watch,
}

const (
	enough = 2
	least  = 3  // letters that a cut name must have
	kept   = 48 // whole command lines remembered
)

func watch(p *rulebook.Pass) {
	var whole []string // command lines that were accepted, the first ones
	var first dialogue.Line
	count := 0
	p.OnAnswered(func(x *dialogue.Exchange) {
		text := x.Command.Text
		if x.Result.Kind == at.OK {
			if len(whole) < kept && !slices.Contains(whole, text) {
				whole = append(whole, text)
			}
			return
		}
		if len(x.Parsed.Commands) != 1 || count >= enough {
			return
		}
		c := &x.Parsed.Commands[0]
		if _, known := at.Lookup(c.Name); known || len(c.Name) < least || c.Name[0] != '+' {
			return
		}
		i := slices.IndexFunc(whole, func(w string) bool { return len(w) > len(text) && strings.HasPrefix(w, text) })
		if i < 0 {
			return
		}
		if count++; count == 1 {
			first = x.Command
			return
		}
		name, _, _ := strings.Cut(whole[i], "=") // its values are nobody's business
		p.Report(fmt.Sprintf("%q was sent, the beginning of %q; before it %q", text, name, first.Text), p.See(x.Command, "cut off"), p.See(first, "cut off before"))
	})
}
