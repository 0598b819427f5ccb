// Package parkeddrift reports a parked receiver whose position wanders far.
package parkeddrift

import (
	"fmt"
	"math"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "parkeddrift",
	Title:    "the position of a parked receiver wanders far",
	Severity: finding.Note,
	Cites:    []string{"common practice, no source (reflections between buildings)", "IEC 61162-1, RMC (speed over ground)"},
	Doc: `
The speed says that nothing moves, and the positions of five minutes lie sixty metres and more apart. Signals come by way of walls and roofs, from few
satellites, and the sum of the errors wanders. Fences narrower than that alarm for nothing, and the distance driven grows by kilometres a day in
the yard.`,
	Silent: `
Less than five minutes; a speed above half a metre a second, or none given; a spread below sixty metres; one jump, which is impossiblejump.`,
	Remedy: `Move the antenna to where it sees more sky, ask for an HDOP below 3, hold the position while the speed is under 1 m/s, and make fences wider than twice the spread.`,
	Watch:  watch,
}

const (
	still  = 0.5
	least  = 5 * time.Minute
	fixes  = 30
	spread = 60.0  // metres
	jump   = 100.0 // metres from one fix to the next: another rule's business
)

// atMostM is never less than so many degrees are in metres, and costs next to nothing.
func atMostM(latDeg, lonDeg float64) float64 {
	const degreeM = 111_700 // no degree on the ellipsoid is longer (WGS-84, from memory)
	return degreeM * (math.Abs(latDeg) + math.Abs(lonDeg))
}

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var first, last *epoch.Epoch
	var north, south, east, west float64
	count, said := 0, false
	p.OnEpoch(func(e *epoch.Epoch) {
		here, ok := e.Fix.Point.Get()
		speed, told := e.Fix.SpeedMPS.Get()
		if !ok || !e.Fix.Valid || !told || speed > still {
			first = nil
			return
		}
		if first != nil {
			was, _ := last.Fix.Point.Get()
			if atMostM(here.LatDeg-was.LatDeg, here.LonDeg-was.LonDeg) > jump && geo.DistanceM(here, was) > jump {
				first = nil
			}
		}
		last = e
		if first == nil {
			first, count, said = e, 0, false
			north, south, east, west = here.LatDeg, here.LatDeg, here.LonDeg, here.LonDeg
		}
		count++
		north, south, east, west = max(north, here.LatDeg), min(south, here.LatDeg), max(east, here.LonDeg), min(west, here.LonDeg)
		if said || count < fixes || e.At.Sub(first.Began) < least || atMostM(north-south, east-west) < spread {
			return
		}
		latM, lonM := geo.MetresPerDegree(here.LatDeg)
		if wide := math.Hypot((north-south)*latM, (east-west)*lonM); wide >= spread {
			said = true
			p.Report(fmt.Sprintf("%s across in %s, while the speed says that nothing moves", geo.FormatMetres(wide), rulebook.Span(e.At.Sub(first.Began))), p.SeeSource(rulebook.Origin(e), "here now"), p.SeeSource(rulebook.Origin(first), "here at first"))
		}
	})
}
