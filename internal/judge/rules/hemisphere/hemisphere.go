// Package hemisphere reports positions on the wrong side of the equator or of Greenwich.
package hemisphere

import (
	"fmt"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "hemisphere",
	Title:    "the side of the equator or of Greenwich was lost",
	Severity: finding.Error,
	Cites:    []string{"IEC 61162-1, RMC and GGA (fields N/S and E/W)", "ISO 6709 (south and west are negative)", "RFC 5870, 3.4.2"},
	Doc: `
A sentence writes the size of a coordinate and its side in two fields: 00018.4420,W. Decimal degrees write the
side as a sign: -0.307367. Lost are signs where the letter is ignored, where the test knows only the letters of
home, and where the degrees are kept in a whole number: -0 is 0, so the places just west of Greenwich jump east.`,
	Silent: `
No sentence with a position came before; the position agrees with it; a coordinate of zero has no side.`,
	Remedy: `Work out the size first and apply the sign last, to the whole value; test in all four quarters and at 0 degrees.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	p.OnSent(func(s *rulebook.Sent) {
		m, of, ok := s.Mistake()
		if !ok || !m.Is(geo.LatSign) && !m.Is(geo.LonSign) {
			return
		}
		at, _ := of.Fix.Point.Get()
		side := ""
		if m.Is(geo.LatSign) {
			side = letter(at.LatDeg, "NS")
		}
		if m.Is(geo.LonSign) {
			if side != "" {
				side += " and "
			}
			side += letter(at.LonDeg, "EW")
		}
		message := fmt.Sprintf("the %s of the sentence was lost: %s,%s was sent", side, s.LatText, s.LonText)
		if m.ErrorKnown {
			message += ", " + geo.FormatMetres(m.ErrorM) + " off"
		}
		p.Report(message, p.See(s.Line, "what was sent"), p.SeeSource(rulebook.Origin(of), "what the receiver said"))
	})
}

func letter(deg float64, letters string) string {
	if deg < 0 {
		return letters[1:]
	}
	return letters[:1]
}
