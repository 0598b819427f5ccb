// Package altitude reports an altitude sent from another reference.
package altitude

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "altitude",
	Title:    "the altitude sent is off by the height of the geoid",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1, GGA fields 9 (above mean sea level) and 11 (geoid above ellipsoid)"},
	Doc: `
GGA gives two heights: the antenna above the sea, and, two fields on, how high the sea's level itself lies above the ellipsoid, 45 m in middle Europe. The altitude
of maps is the first. Adding the two gives the height above the ellipsoid, subtracting them gives nothing, and the second alone is no altitude. Up
to a hundred metres are at stake.`,
	Silent: `
The number agrees with field 9 within two metres; the geoid lies under five metres; no number with the name of an altitude.`,
	Remedy: `Send GGA field 9 as it is; add field 11 only where a height above the ellipsoid is asked for, and say so.`,
	Watch:  watch,
}

var told = regexp.MustCompile(`(?i)\b(?:alt|altitude|elev|height|hoehe)\b["':= ]{0,3}(-?[0-9]{1,4}(?:\.[0-9]+)?)\b`)

const (
	slackM = 1.0
	leastM = 5.0
	fresh  = 10 * time.Second
)

func watch(p *rulebook.Pass) {
	said := false
	p.OnMessage(func(m *witness.Message) {
		e := p.Known().LastValid()
		if !m.Out || e == nil || said {
			return
		}
		if age, timed := p.Age(e, m.Line); timed && age > fresh {
			return
		}
		sea, ok1 := e.Fix.AltitudeM.Get()
		geoid, ok2 := e.Fix.GeoidM.Get()
		found := told.FindStringSubmatch(m.Body)
		if !ok1 || !ok2 || found == nil || math.Abs(geoid) < leastM {
			return
		}
		value, _ := strconv.ParseFloat(found[1], 64)
		what := ""
		switch {
		case math.Abs(value-sea) <= 2*slackM:
			return
		case math.Abs(value-(sea+geoid)) <= slackM:
			what = "the height above the ellipsoid"
		case math.Abs(value-(sea-geoid)) <= slackM:
			what = "the geoid was taken off once more"
		case math.Abs(value-geoid) <= slackM:
			what = "the height of the geoid itself"
		default:
			return
		}
		said = true
		source := rulebook.Origin(e)
		if s, ok := e.Find("GGA"); ok {
			source = s
		}
		p.Report(fmt.Sprintf("%s was sent, and the antenna stands at %.1f m above the sea: it is %s", found[0], sea, what), p.See(m.Line, "the altitude sent"), p.SeeSource(source, "the receiver's"))
	})
}
