// Package fewdigits reports positions with too few decimals.
package fewdigits

import (
	"fmt"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "fewdigits",
	Title:    "too few decimals in a position",
	Severity: finding.Warning,
	Cites:    []string{"NIMA TR8350.2 (WGS-84: a degree of latitude is 111 km)", "common practice, no source (five or six decimals of a degree)"},
	Doc: `
The second decimal of a degree is worth a kilometre, the third 111 m, the fourth 11 m, the fifth 1.1 m. A receiver
knows its place to some metres, and many programs print two decimals because that is what their print function
does by itself. Send five or six; zeros put behind a number that was cut before do not help.`,
	Silent: `
Half a step of the last digit is smaller than ten metres: four decimals of a degree, two of a minute.`,
	Remedy: `Print five or six decimals of a degree, from a whole number of ten-millionths or a 64-bit float.`,
	Watch:  watch,
}

const coarseM = 20 // half of it is about what a receiver errs by in the open; our estimate

func watch(p *rulebook.Pass) {
	p.OnSent(func(s *rulebook.Sent) {
		if !s.Point.Valid() || s.Point == (geo.Point{}) {
			return // nowhere: voidfix and swappedaxes
		}
		latM, lonM := geo.MetresPerDegree(s.Point.LatDeg)
		see := p.See(s.Line, "the position")
		m, of, ok := s.Mistake()
		if ok && !m.Is(geo.FewDigits) {
			return // wrong in another way first
		}
		if step := s.Reading.StepDeg; step*latM > coarseM {
			message := fmt.Sprintf("the last digit of %s,%s is worth %s by %s", s.LatText, s.LonText, geo.FormatMetres(step*latM), geo.FormatMetres(step*lonM))
			if ok {
				p.Report(message+": "+geo.FormatMetres(m.ErrorM)+" off", see, p.SeeSource(rulebook.Origin(of), "what the receiver said"))
				return
			}
			p.Report(message, see)
		} else if ok && m.ErrorM > coarseM/2 {
			p.Report(fmt.Sprintf("%s,%s was cut and filled up with zeros: %s off", s.LatText, s.LonText, geo.FormatMetres(m.ErrorM)),
				see, p.SeeSource(rulebook.Origin(of), "what the receiver said"))
		}
	})
}
