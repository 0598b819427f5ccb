// Package hastyfix reports a position taken from the first moment of a fix.
package hastyfix

import (
	"fmt"
	"time"

	"firstfix/internal/earth/fix"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "hastyfix",
	Title:    "the position was taken from the first moment of the fix",
	Severity: finding.Note,
	Cites:    []string{"common practice, no source (leave out the first five fixes after a gap)", "IEC 61162-1, GGA (HDOP)"},
	Doc: `
The first fixes after a start or a tunnel are the worst: few satellites, orbits just read, the filter not yet settled. A program that waits for the first A
and sends at once sends one of them. Waiting five seconds more costs little and often halves the error.`,
	Silent: `
More than five seconds after the first fix; six satellites or more, or an HDOP up to 2.5, right away; the fix was never gone for ten seconds.`,
	Remedy: `Take the sixth fix after a gap, or wait until the HDOP is below 2.5.`,
	Watch:  watch,
}

const (
	early = 5 * time.Second
	gap   = 10 * time.Second
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var void, first *epoch.Epoch // since when there was none, and the first one after it
	p.OnEpoch(func(e *epoch.Epoch) {
		switch {
		case !e.Fix.Valid:
			if void == nil {
				void = e
			}
			first = nil
		case void != nil && first == nil:
			if e.Began.Sub(void.Began) >= gap {
				first = e
			}
			void = nil
		case first != nil && e.Began.Sub(first.Began) > early:
			first = nil
		}
	})
	said := 0
	p.OnSent(func(s *rulebook.Sent) {
		e := s.Right()
		if e == nil || first == nil || said == 3 || !e.Fix.Valid || e.Began < first.Began || e.Began.Sub(first.Began) > early || s.Line.Began.Sub(first.Began) > early {
			return
		}
		satellites, ok1 := e.Fix.SatellitesUsed.Get()
		hdop, ok2 := e.Fix.HDOP.Get()
		if !ok1 || !ok2 || satellites >= 6 || hdop <= 2.5 || satellites < fix.Usual.MinSatellites || hdop > fix.Usual.MaxHDOP {
			return // good already, or the business of poorfix
		}
		said++
		p.Report(fmt.Sprintf("the position left %s after the first fix, with %d satellites and an HDOP of %.1f", rulebook.Span(s.Line.Began.Sub(first.Began)), satellites, hdop), p.See(s.Line, "the position"), p.SeeSource(rulebook.Origin(first), "the first fix"))
	})
}
