// Package unprinted reports texts in which a coordinate was to stand and a placeholder stands.
package unprinted

import (
	"regexp"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "unprinted",
	Title:    "the number of a coordinate was not printed",
	Severity: finding.Error,
	Cites:    []string{"ISO C99, 7.19.6.1 (conversion f)", "common practice, no source (small print functions leave out floats)"},
	Doc: `
The print functions of small controllers often leave out floating point to save room: "%f" then prints "?" or
itself, or nothing. A number that was never set prints "nan". The text leaves with "Lat: ? Lon: ?" and costs as
much as a good one.`,
	Silent: `
A question mark or a percent sign that does not stand where a coordinate should.`,
	Remedy: `Print coordinates from whole numbers (degrees, then six digits of the fraction with leading zeros), or link the float version of the print function.`,
	Watch:  watch,
}

// placeholder is a name of a coordinate with something else than a number behind it.
var placeholder = regexp.MustCompile(`(?i)\b(lat|latitude|lon|lng|long|longitude)\b["':= ]{0,4}(\?|%[0-9.]*l?[fgd]|nan\b|[-+]?inf\b|\*{2,}|ovf\b)`)

func watch(p *rulebook.Pass) {
	p.OnMessage(func(m *witness.Message) {
		if !m.Out {
			return
		}
		if found := placeholder.FindString(m.Body); found != "" {
			p.Report("a text says \""+strings.TrimSpace(found)+"\" where a coordinate belongs", p.See(m.Line, "the text"))
		}
	})
}
