// Package degreesminutes reports degrees and minutes that were read as decimal degrees.
package degreesminutes

import (
	"fmt"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "degreesminutes",
	Title:    "degrees and minutes were read as decimal degrees",
	Severity: finding.Error,
	Cites:    []string{"IEC 61162-1, RMC and GGA (latitude ddmm.mm, longitude dddmm.mm)", "ISO 6709 (degrees, minutes)"},
	Doc: `
A sentence writes 5142.6130: 51 degrees and 42.6130 minutes. There are sixty minutes in a degree, so this is
51 + 42.6130/60 = 51.710217 degrees. Dividing by 100 gives 51.426130, which looks right, lies some 30 km away, and
is never more than .60 behind the point. Related slips: the minutes are sent as they are, the fraction of the
minute is taken for seconds, or it is dropped.`,
	Silent: `
No sentence with a position came before; the numbers agree with the sentence, or no known slip explains them.`,
	Remedy: `Cut the field two digits before its point: whole degrees to the left, minutes to the right; then degrees + minutes/60. Test with minutes above 30 and below 10.`,
	Watch:  watch,
}

var kinds = []geo.Kind{geo.MinutesAsDecimals, geo.NotConverted, geo.FractionAsSeconds, geo.MinutesCut}

func watch(p *rulebook.Pass) {
	p.OnSent(func(s *rulebook.Sent) {
		m, of, ok := s.Mistake()
		if !ok {
			return
		}
		for _, k := range kinds {
			if !m.Is(k) {
				continue
			}
			at, _ := of.Fix.Point.Get()
			message := fmt.Sprintf("%s,%s was sent where %s is right (%s)", s.LatText, s.LonText, geo.FormatDecimal(at, max(4, s.Reading.Digits)), k)
			if m.ErrorKnown {
				message += ": " + geo.FormatMetres(m.ErrorM) + " off"
			}
			p.Report(message, p.See(s.Line, "what was sent"), p.SeeSource(rulebook.Origin(of), "what the receiver said: "+geo.FormatDM(at, 4, geo.Blanks)))
			return
		}
	})
}
