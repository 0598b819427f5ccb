// Package voidfix reports a position that was sent although the receiver had none.
package voidfix

import (
	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "voidfix",
	Title:    "a position was sent although the receiver had no fix",
	Severity: finding.Error,
	Cites: []string{
		"IEC 61162-1, RMC (status V: navigation receiver warning; mode N: data not valid)",
		"IEC 61162-1, GGA (quality 0: fix not available)",
	},
	Doc: `
A receiver that has no fix still speaks: RMC says V, GGA says quality 0, and the position fields are empty or
hold what was true earlier. A program that does not look at the status sends zeros, which lie in the sea south of
Ghana, or a place where nothing is any more. Send a position only when RMC says A and GGA quality is 1 or more,
with at least four satellites and an HDOP below 5; otherwise say "no fix" and give the last one with its age.`,
	Silent: `
No sentence says that the fix is void and the position is not 0,0: an earlier fix that is sent again is the
business of stalefix.`,
	Remedy:    `Before sending check RMC status A, GGA quality 1 or more and the age of the sentence; without a fix send "no fix" and the last position with its time.`,
	Watch:     watch,
	OneDevice: true,
}

const (
	zeroM   = 1     // nobody stands within a metre of 0,0: it is what an empty field becomes
	degreeM = 112e3 // no degree is longer (WGS-84)
)

func watch(p *rulebook.Pass) {
	p.OnSent(func(s *rulebook.Sent) {
		switch {
		case s.Point.Valid() && geo.DistanceM(s.Point, geo.Point{}) <= zeroM:
			if s.Right() != nil {
				return // the receiver says so itself
			}
			message := s.LatText + "," + s.LonText + " was sent: that is what empty fields become"
			if s.Last == nil {
				p.Report(message, p.See(s.Line, "zeros as a position"))
				return
			}
			if !s.Last.Fix.Valid {
				message += ", and the receiver said " + s.Last.Fix.Void
			}
			p.Report(message, p.See(s.Line, "zeros as a position"), p.SeeSource(rulebook.Origin(s.Last), "what the receiver had said"))
		case s.Last != nil && !s.Last.Fix.Valid && s.Point.Valid():
			at, ok := s.Last.Fix.Point.Get()
			if !ok || geo.DistanceM(at, s.Point) > max(zeroM, s.Reading.StepDeg*degreeM) {
				return
			}
			p.Report("a position was sent that the receiver itself called void ("+s.Last.Fix.Void+")",
				p.See(s.Line, "the position"), p.SeeSource(rulebook.Origin(s.Last), "where it comes from"))
		}
	})
}
