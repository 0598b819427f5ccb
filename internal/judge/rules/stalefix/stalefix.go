// Package stalefix reports an old fix that was sent as if it were the present place.
package stalefix

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "stalefix",
	Title:    "an old fix was sent as the present place",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1, RMC (time, status and mode of every fix)", "common practice, no source (an age with every position)"},
	Doc: `
Programs keep the last good position in a variable. When the receiver loses the sky, or its sentences stop, the
variable stays, and every report says the same place with a fresh time. The reader sees a trailer that stands
still while it is on the road. Let a position expire: note the time of its sentence, send its age with it, and
after a minute or two say so in the text.`,
	Silent: `
The fix is at most two minutes old and not sent a third time since the receiver lost it; the text itself says that
it is old ("last", "ago", "age", "old"); the receiver still says the same place.`,
	Remedy:    `Send the fix's own time or its age with each position, and refuse one older than two minutes unless the text says so.`,
	Watch:     watch,
	OneDevice: true,
}

const (
	fresh = 2 * time.Minute // a report every minute may carry the fix before; our estimate
	often = 3               // times the same fix is sent after it was lost
	moved = 50.0            // metres: a standing receiver wanders less; our estimate

	degreeM = 112e3 // no degree is longer (WGS-84)
)

// admits are words with which a text says by itself that the position is old.
var admits = []string{"last", "ago", "age", "old", "stale", "since"}

func watch(p *rulebook.Pass) {
	var sentBefore *epoch.Epoch
	again := 0
	p.OnSent(func(s *rulebook.Sent) {
		of := source(s)
		if of == nil || s.Last == nil || honest(s) {
			return
		}
		why := ""
		age, timed := p.Age(of, s.Line)
		old := timed && age > fresh
		if of == s.Last {
			if old {
				p.Report(fmt.Sprintf("the position sent is %s old: since then no sentence came at all", rulebook.Span(age)),
					p.See(s.Line, "the position"), p.SeeSource(rulebook.Origin(of), "the last sentence"))
			}
			return
		}
		if at, ok := s.Last.Fix.Point.Get(); !s.Last.Fix.Valid {
			why = "since then the receiver said " + s.Last.Fix.Void
		} else if ok && geo.DistanceM(at, s.Point) > moved {
			why = fmt.Sprintf("by then the receiver was %s further on", geo.FormatMetres(geo.DistanceM(at, s.Point)))
		} else {
			return
		}
		if of != sentBefore {
			sentBefore, again = of, 0
		}
		if again++; !old && again != often && (timed || again > 1) {
			return
		}
		message := "the position sent is an old fix"
		if timed {
			message = fmt.Sprintf("the position sent is %s old", rulebook.Span(age))
		}
		if again > 1 {
			message += fmt.Sprintf(" and is sent for the %s time", ordinal(again))
		}
		p.Report(message+": "+why, p.See(s.Line, "the position"), p.SeeSource(rulebook.Origin(of), "the fix it was taken from"),
			p.SeeSource(rulebook.Origin(s.Last), "what the receiver said last before it"))
	})
}

func ordinal(n int) string {
	suffix := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			suffix = "st"
		case 2:
			suffix = "nd"
		case 3:
			suffix = "rd"
		}
	}
	return fmt.Sprint(n, suffix)
}

// source is the newest valid fix that the position can be, to its last digit.
func source(s *rulebook.Sent) *epoch.Epoch {
	for i := len(s.Recent) - 1; i >= 0; i-- {
		at, _ := s.Recent[i].Fix.Point.Get()
		if s.Recent[i].Fix.Valid && s.Point.Valid() && geo.DistanceM(at, s.Point) <= max(1, s.Reading.StepDeg*degreeM) {
			return s.Recent[i]
		}
	}
	return nil
}

func honest(s *rulebook.Sent) bool {
	if s.Message == nil {
		return false
	}
	for _, word := range strings.FieldsFunc(strings.ToLower(s.Message.Body), func(r rune) bool { return r < 'a' || r > 'z' }) {
		for _, a := range admits {
			if word == a {
				return true
			}
		}
	}
	return false
}
