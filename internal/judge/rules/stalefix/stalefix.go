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
The fix is at most two minutes old; the text itself says that it is old ("last", "ago", "age", "old"); the
receiver still says the same place; times are not known and nothing newer was said.`,
	Remedy: `Send the fix's own time or its age with each position, and refuse one older than two minutes unless the text says so.`,
	Watch:  watch,
}

const (
	fresh = 2 * time.Minute // a report every minute may carry the fix before; our estimate
	moved = 50.0            // metres: a standing receiver wanders less; our estimate

	degreeM = 112e3 // no degree is longer (WGS-84)
)

// admits are words with which a text says by itself that the position is old.
var admits = []string{"last", "ago", "age", "old", "stale", "since"}

func watch(p *rulebook.Pass) {
	p.OnSent(func(s *rulebook.Sent) {
		of := source(s)
		if of == nil || s.Last == nil || of == s.Last || honest(s) {
			return
		}
		age, timed := p.Age(of, s.Line)
		if timed && age <= fresh {
			return
		}
		why := ""
		if at, ok := s.Last.Fix.Point.Get(); !s.Last.Fix.Valid {
			why = "since then the receiver said " + s.Last.Fix.Void
		} else if ok && geo.DistanceM(at, s.Point) > moved {
			why = fmt.Sprintf("by then the receiver was %s further on", geo.FormatMetres(geo.DistanceM(at, s.Point)))
		} else {
			return
		}
		message := "the position sent is an old fix: " + why
		if timed {
			message = fmt.Sprintf("the position sent is %s old: %s", rulebook.Span(age), why)
		}
		p.Report(message, p.See(s.Line, "the position"), p.SeeSource(rulebook.Origin(of), "the fix it was taken from"),
			p.SeeSource(rulebook.Origin(s.Last), "what the receiver said last before it"))
	})
	p.OnSent(func(s *rulebook.Sent) { // the sentences have stopped altogether
		of := source(s)
		if of == nil || of != s.Last || honest(s) {
			return
		}
		if age, timed := p.Age(of, s.Line); timed && age > fresh {
			p.Report(fmt.Sprintf("the position sent is %s old: since then no sentence came at all", rulebook.Span(age)),
				p.See(s.Line, "the position"), p.SeeSource(rulebook.Origin(of), "the last sentence"))
		}
	})
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
