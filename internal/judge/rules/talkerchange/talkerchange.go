// Package talkerchange reports sentences whose talker changes in the middle of a stream.
package talkerchange

import (
	"fmt"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "talkerchange",
	Title:    "the sentences change their first two letters",
	Severity: finding.Note,
	Cites:    []string{"IEC 61162-1 (talker identifiers: GP is GPS alone, GN several systems)", "common practice, no source"},
	Doc: `
A receiver that hears GPS alone begins its sentences with $GP; when other systems join, it says $GN. A program that looks for $GPRMC works at the bench, where one
system is heard, and hears nothing in the open. Compare the last three letters of the name only, and take fields by their commas.`,
	Silent: `
One talker for each kind of sentence throughout; GSV and GSA, which have one for each system by design.`,
	Remedy: `Look for RMC behind any two letters, and test with GP, GN, GL and GA in front.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	var rmc, gga string // the talkers so far
	said := false
	p.OnSentence(func(l dialogue.Line, s *nmea.Sentence) {
		if said || len(s.Type) != 3 || s.IsMakers() || !s.SumOK() {
			return
		}
		was := &rmc
		switch s.Type {
		case "GGA":
			was = &gga
		case "RMC":
		default:
			return
		}
		switch {
		case *was == s.Talker:
		case *was == "":
			*was = strings.Clone(s.Talker)
		default:
			said = true
			p.Report(fmt.Sprintf("%s%s becomes %s%s in the middle of the stream", *was, s.Type, s.Talker, s.Type), p.See(l, "the other talker"))
		}
	})
}
