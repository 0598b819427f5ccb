// Package impossiblejump reports fixes that lie farther apart than anything on wheels can go.
package impossiblejump

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
	Name:     "impossiblejump",
	Title:    "the position jumped farther than it can have gone",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1, RMC (position, speed over ground)", "common practice, no source (compare distance and time with the speed)"},
	Doc: `
Two fixes a second apart that lie 200 m apart, while the speed says 0.3 knots: one of them is wrong. Between
walls the signal comes by way of reflections; the first fixes after a gap are poor; a damaged sentence may pass
for a good one where nobody checks sums; and rarely somebody transmits false signals. Positions that are used
without such a test draw wild tracks and set off fences.`,
	Silent: `
The speed in the sentences explains the way (a plane, a boat on a lorry); more than a minute between the two; a
standing receiver that wanders by less than 100 m.`,
	Remedy:    `Drop a fix that is farther from the last than (its speed + 20 m/s) × time + 100 m, and the first five after a gap; ask for four satellites and an HDOP below 3.`,
	Watch:     watch,
	OneDevice: true,
}

const (
	wanders   = 100.0       // metres: reflections between houses; common practice, no source
	headroom  = 20.0        // m/s over the speed reported
	roadMPS   = 60.0        // where no speed is reported: no trailer goes faster
	tooLong   = time.Minute // after that the way may be anything
	forgotten = 5.0         // after so many jumps in a row the new place is believed
)

func watch(p *rulebook.Pass) {
	var before *epoch.Epoch
	jumps := 0.0
	p.OnEpoch(func(e *epoch.Epoch) {
		at, ok := e.Fix.Point.Get()
		if !ok || !e.Fix.Valid {
			return
		}
		was := before
		before = e
		if was == nil {
			return
		}
		span, timed := between(p, was, e)
		if !timed || span <= 0 || span > tooLong {
			return
		}
		from, _ := was.Fix.Point.Get()
		speed, told := roadMPS, e.Fix.SpeedMPS.IsKnown()
		if told {
			speed = max(e.Fix.SpeedMPS.Or(0), was.Fix.SpeedMPS.Or(0)) + headroom
		}
		seconds := span.Seconds()
		mayM := wanders + speed*seconds
		if atMostM(from, at) <= mayM {
			jumps = 0
			return
		}
		wayM := geo.DistanceM(from, at)
		if wayM <= mayM {
			jumps = 0
			return
		}
		if jumps++; jumps > forgotten {
			return
		}
		message := fmt.Sprintf("%s in %s: %.0f m/s", geo.FormatMetres(wayM), rulebook.Span(span), wayM/seconds)
		if told {
			message += fmt.Sprintf(", while the speed says %.1f m/s", e.Fix.SpeedMPS.Or(0))
		}
		p.Report(message,
			p.SeeSource(rulebook.Origin(e), "the position after the jump"), p.SeeSource(rulebook.Origin(was), "the one before"))
	})
}

// degreeM: no degree on the ellipsoid is longer (WGS-84, from memory).
const degreeM = 111_700.0

// atMostM is never less than the way between two points, and costs next to
// nothing: it is asked at every fix.
func atMostM(a, b geo.Point) float64 {
	return degreeM * (math.Abs(a.LatDeg-b.LatDeg) + math.Abs(a.LonDeg-b.LonDeg))
}

// between is the time between two fixes: by the receiver's own clock where it
// tells, else by the capture's.
func between(p *rulebook.Pass, a, b *epoch.Epoch) (span time.Duration, ok bool) {
	ta, okA := a.Fix.UTC.Get()
	tb, okB := b.Fix.UTC.Get()
	if okA && okB {
		return tb.Sub(ta), true
	}
	da, okA := a.Fix.TimeOfDay.Get()
	db, okB := b.Fix.TimeOfDay.Get()
	if okA && okB && db > da {
		return db - da, true
	}
	return b.At.Sub(a.At), p.TimesKnown()
}
