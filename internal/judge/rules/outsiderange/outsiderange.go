// Package outsiderange reports a value that the module said it does not take.
package outsiderange

import (
	"fmt"
	"strconv"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "outsiderange",
	Title:    "a value outside the range that the module had listed",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 5.4.4.4 (the test form lists the values)"},
	Doc: `
The test form of a command (AT+CNMI=?) lists the values that this module takes, one bracket a parameter. Here the module was
asked, answered, and then given something else. The refusal is no surprise, and no failure of the module: read its list.`,
	Silent: `
The module took the value all the same; values in quotes; lists that hold words or that the module did not give.`,
	Remedy: `Choose each value from the list that the test form gives, bracket by bracket.`,
	Watch:  watch,
}

const maxLists = 32

func watch(p *rulebook.Pass) {
	type list struct {
		line   dialogue.Line
		params []at.Param
	}
	lists := map[string]list{}
	p.OnAnswered(func(x *dialogue.Exchange) {
		if len(x.Parsed.Commands) != 1 {
			return
		}
		c := &x.Parsed.Commands[0]
		switch {
		case c.Form == at.Test && x.Result.Kind == at.OK && len(x.Info) == 1 && len(lists) < maxLists:
			if a, ok := at.ParseAnswer(x.Info[0].Text); ok && a.Name == c.Name {
				lists[c.Name] = list{x.Info[0], a.Params}
			}
		case c.Form == at.Set && x.Result.Failed():
			known, ok := lists[c.Name]
			if !ok {
				return
			}
			for i, v := range c.Params {
				n, err := strconv.Atoi(v.Text)
				if err != nil || v.Quoted || i >= len(known.params) || !excludes(known.params[i], n) {
					continue
				}
				p.Report(fmt.Sprintf("%s has %d in place %d, and the module takes %s there", rulebook.Name(c), n, i+1, known.params[i].Text), p.See(x.Command, "not in the list"), p.See(known.line, "the list"), p.See(x.Final, "refused"))
				return
			}
		}
	})
}

// excludes says that a bracket of numbers and ranges, and nothing else, does not hold n.
func excludes(bracket at.Param, n int) bool {
	items, ok := bracket.Items()
	if !ok || len(items) == 0 {
		return false
	}
	for _, item := range items {
		low, high, ranged := strings.Cut(item.Text, "-")
		from, err1 := strconv.Atoi(low)
		to, err2 := from, error(nil)
		if ranged {
			to, err2 = strconv.Atoi(high)
		}
		if err1 != nil || err2 != nil || n >= from && n <= to {
			return false
		}
	}
	return true
}
