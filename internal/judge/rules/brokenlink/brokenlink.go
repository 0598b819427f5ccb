// Package brokenlink reports a link in a text that a telephone cuts short.
package brokenlink

import (
	"fmt"
	"regexp"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "brokenlink",
	Title:    "the link in the text is cut short by a character inside it",
	Severity: finding.Warning,
	Cites:    []string{"RFC 3986, 2 (characters of a link)", "RFC 5870, 3.3 (geo:<lat>,<lon>)"},
	Doc: `
A telephone makes a link of everything up to the first blank, bracket or sign that may not stand in one. "…q=51.71021 , -0.30737" ends behind the
first number and points nowhere; a degree sign or a line break does the same. Write the two numbers with a comma between and nothing else, and
look at the text on two different telephones.`,
	Silent: `
No link; blanks before and behind it; text that follows the position.`,
	Remedy: `Write latitude, comma, longitude with no blank between: geo:51.710217,-0.307367 or …?q=51.710217,-0.307367`,
	Watch:  watch,
}

// broken is a link whose first number is followed by something that cuts it, and then by the second number.
var broken = regexp.MustCompile(`(?i)(?:https?://[^\s<>"]*[=/@]|geo:)[-+]?[0-9]{1,3}\.[0-9]{3,}(°|'| ?, | ,|\s+[-+]?[0-9]{1,3}\.|[NS] |\r|\n)\s*[-+]?[0-9]?`)

func watch(p *rulebook.Pass) {
	said := 0
	p.OnMessage(func(m *witness.Message) {
		if !m.Out || said == 3 || !strings.Contains(m.Body, ":") {
			return
		}
		i := broken.FindStringSubmatchIndex(m.Body)
		if i == nil {
			return
		}
		said++
		p.Report(fmt.Sprintf("the link ends at byte %d, where %q follows the first number", i[2], m.Body[i[2]:i[3]]), p.See(m.Line, "the link"))
	})
}
