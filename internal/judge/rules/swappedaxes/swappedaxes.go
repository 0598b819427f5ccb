// Package swappedaxes reports latitude and longitude in the wrong order.
package swappedaxes

import (
	"fmt"
	"math"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "swappedaxes",
	Title:    "latitude and longitude are swapped",
	Severity: finding.Error,
	Cites:    []string{"RFC 5870, 3.3 (geo: latitude, then longitude)", "RFC 7946, 3.1.1 (GeoJSON: longitude, then latitude)", "IEC 61162-1, RMC"},
	Doc: `
Links, texts and geo: URIs write the latitude first; GeoJSON and most map libraries want the longitude first.
Whoever copies from one to the other swaps them. A first number beyond 90 gives it away; otherwise the place just
lies somewhere else, often in the sea.`,
	Silent: `
No sentence with a position came before and both numbers could be latitudes; longitude first with its letter or
its name is no mistake.`,
	Remedy: `Carry latitude and longitude in named fields and write them in one place only, in the order the receiver of the text expects.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	p.OnSent(func(s *rulebook.Sent) {
		if m, of, ok := s.Mistake(); ok && m.Is(geo.Swapped) {
			at, _ := of.Fix.Point.Get()
			p.Report(fmt.Sprintf("%s,%s was sent where latitude %s and longitude %s are right", s.LatText, s.LonText,
				geo.AppendDecimal(nil, at.LatDeg, max(4, s.Reading.Digits)), geo.AppendDecimal(nil, at.LonDeg, max(4, s.Reading.Digits))),
				p.See(s.Line, "what was sent"), p.SeeSource(rulebook.Origin(of), "what the receiver said"))
			return
		} else if ok || len(s.Recent) > 0 {
			return
		}
		lat, lon := math.Abs(s.Point.LatDeg), math.Abs(s.Point.LonDeg)
		if lat > 90 && lat <= 180 && lon <= 90 {
			p.Report(fmt.Sprintf("%s cannot be a latitude, but %s can: the two are swapped", s.LatText, s.LonText),
				p.See(s.Line, "what was sent"))
		}
	})
}
