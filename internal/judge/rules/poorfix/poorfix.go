// Package poorfix reports a position sent on the strength of a poor fix.
package poorfix

import (
	"firstfix/internal/earth/fix"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "poorfix",
	Title:    "a position was sent on the strength of a poor fix",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1, GGA (satellites used, HDOP)", "common practice, no source (four satellites, HDOP up to 5)"},
	Doc: `
The receiver called the fix valid and said in the same breath how weak it is: three satellites, or an HDOP of eight, which multiplies every error of the
ranges by eight. Such a position may be hundreds of metres off and looks like any other. Ask for four satellites and an HDOP of five at most, or
send the figures along.`,
	Silent: `
The sentences do not give satellites or HDOP; the position was not taken from a fix that the recording shows; the fix is void, which is voidfix.`,
	Remedy: `Send a position only with four satellites or more and an HDOP of 5 or less; otherwise wait, or say so in the text.`,
	Watch:  watch,
}

var gate = fix.Gate{MinSatellites: fix.Usual.MinSatellites, MaxHDOP: fix.Usual.MaxHDOP}

func watch(p *rulebook.Pass) {
	said := 0
	p.OnSent(func(s *rulebook.Sent) {
		e := s.Right()
		if e == nil || said == 3 || !e.Fix.Valid || gate.Passes(&e.Fix, e.At) {
			return
		}
		for _, r := range gate.Check(&e.Fix, e.At) {
			if r.Name == "satellites" || r.Name == "hdop" {
				said++
				p.Report("the fix behind the position is poor: "+r.Text, p.See(s.Line, "the position"), p.SeeSource(quality(e), "the fix"))
				return
			}
		}
	})
}

func quality(e *epoch.Epoch) epoch.Source {
	if s, ok := e.Find("GGA"); ok {
		return s
	}
	return rulebook.Origin(e)
}
