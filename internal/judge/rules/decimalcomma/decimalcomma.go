// Package decimalcomma reports a coordinate with a comma where the point belongs.
package decimalcomma

import (
	"regexp"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "decimalcomma",
	Title:    "a coordinate has a comma where the point belongs",
	Severity: finding.Error,
	Cites:    []string{"RFC 5870, 3.3 (geo URI: point in numbers, comma between them)", "ISO 6709, 6 (from memory: a comma is allowed there, which links do not understand)"},
	Doc: `
In many languages the decimal sign is a comma, and the controller's print function follows the language it was built for. "51,710217,-0,307367"
is four numbers for every map, and links take the first two: a place in Africa or none. In texts for people it is a guess, in links and data it
is wrong.`,
	Silent: `
A comma between two coordinates that have points; numbers without the name of a coordinate.`,
	Remedy: `Print the point by yourself: whole degrees, ".", then six digits of the fraction with leading zeros.`,
	Watch:  watch,
}

// named is a coordinate by name, or a pair of them in a link, with a comma inside.
var named = regexp.MustCompile(`(?i)\b(?:lat|latitude|lon|lng|long|longitude)\b["':= ]{0,4}[-+]?[0-9]{1,3},[0-9]{4,}`)
var pair = regexp.MustCompile(`(?:[:=@/ ]|^)[-+]?[0-9]{1,2},[0-9]{4,8}[,;/ ] ?[-+]?[0-9]{1,3},[0-9]{4,8}\b`)

func watch(p *rulebook.Pass) {
	said := 0
	look := func(text string, l dialogue.Line) {
		if said == 3 || strings.Count(text, ",") == 0 {
			return
		}
		found := named.FindString(text)
		if found == "" {
			found = pair.FindString(text)
		}
		if found != "" {
			said++
			p.Report("a decimal comma: "+strings.TrimSpace(found), p.See(l, "the comma ends the number here"))
		}
	}
	p.OnMessage(func(m *witness.Message) {
		if m.Out {
			look(m.Body, m.Line)
		}
	})
	p.OnData(func(l dialogue.Line) {
		if l.From == capture.Controller {
			look(l.Text, l)
		}
	})
}
