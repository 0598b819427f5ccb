// Package lostzeros reports fractions that lost their leading zeros.
package lostzeros

import (
	"fmt"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "lostzeros",
	Title:    "leading zeros behind the point were lost",
	Severity: finding.Error,
	Cites:    []string{"IEC 61162-1, RMC and GGA (latitude and longitude)", "common practice, no source (a whole number printed without its width)"},
	Doc: `
Small controllers print a coordinate as two whole numbers with a point between. 3.084600 has the fraction 84600
millionths; printed without its width of six digits it becomes 3.84600, which is 50 km away. It happens only where
the fraction is below one tenth, so a test at home may never show it.`,
	Silent: `
No sentence with a position came before; the position agrees with it.`,
	Remedy: `Print the fraction with its full width and leading zeros (%06ld for six decimals); test with a fraction below one tenth.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	p.OnSent(func(s *rulebook.Sent) {
		m, of, ok := s.Mistake()
		if !ok || !m.Is(geo.ZerosLost) {
			return
		}
		at, _ := of.Fix.Point.Get()
		message := fmt.Sprintf("%s,%s was sent where %s is right: zeros behind the point are missing", s.LatText, s.LonText,
			geo.FormatDecimal(at, max(4, s.Reading.Digits)))
		if m.ErrorKnown {
			message += ", " + geo.FormatMetres(m.ErrorM) + " off"
		}
		p.Report(message, p.See(s.Line, "what was sent"), p.SeeSource(rulebook.Origin(of), "what the receiver said"))
	})
}
