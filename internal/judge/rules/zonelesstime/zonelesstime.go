// Package zonelesstime reports a time in a text that differs from UTC and names no zone.
package zonelesstime

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "zonelesstime",
	Title:    "a time is sent that is not UTC and names no zone",
	Severity: finding.Warning,
	Cites:    []string{"RFC 3339, 4 (times with their offset)", "IEC 61162-1, RMC (UTC)"},
	Doc: `
The receiver says UTC. A text with 11:15 while the receiver says 10:15 was moved by an hour, and nothing in it says so: the reader, or the server,
moves it again, and in spring and autumn all of it is off by one hour more. Send UTC with a Z behind it and let the reader's side convert.`,
	Silent: `
The time agrees with UTC; the text holds no position, or names a zone (Z, UTC, GMT, +01); the difference is not whole hours, so it is another time; no fix
with a time in the last minute.`,
	Remedy: `Send the receiver's own UTC with a Z (10:15:30Z) and convert where a person reads.`,
	Watch:  watch,
}

var clockTime = regexp.MustCompile(`\b([01][0-9]|2[0-3]):([0-5][0-9])(?::([0-5][0-9]))?\b`)
var zone = regexp.MustCompile(`(?i)[0-9]\s?z\b|utc|gmt|[0-9]\s?[+-][01]?[0-9](:?[0-5][0-9])?\b`)

const (
	slack = 100 * time.Second // minutes without seconds, and a little age
	fresh = time.Minute
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	said := false
	p.OnPosition(func(s *witness.SentPosition) {
		m, e := s.Message, p.Known().LastEpoch()
		if said || m == nil || e == nil || m.Line.Began.Sub(e.At) > fresh || !strings.Contains(m.Body, ":") {
			return
		}
		utc, ok := e.Fix.TimeOfDay.Get()
		found := clockTime.FindStringSubmatch(m.Body)
		if !ok || found == nil || zone.MatchString(m.Body) {
			return
		}
		var hms [3]int
		for i := range hms {
			hms[i], _ = strconv.Atoi(found[i+1]) // seconds may be missing
		}
		sent := time.Duration(hms[0])*time.Hour + time.Duration(hms[1])*time.Minute + time.Duration(hms[2])*time.Second
		off := sent - utc - m.Line.Began.Sub(e.At)
		for off > 12*time.Hour {
			off -= 24 * time.Hour
		}
		for off < -12*time.Hour {
			off += 24 * time.Hour
		}
		whole := off.Round(time.Hour)
		if whole.Abs() < time.Hour || (off-whole).Abs() > slack {
			return
		}
		said = true
		direction := "ahead of"
		if whole < 0 {
			direction = "behind"
		}
		p.Report(fmt.Sprintf("the text says %s, %s %s UTC, and names no zone", found[0], rulebook.Span(whole.Abs()), direction), p.See(m.Line, "the time sent"), p.SeeSource(rulebook.Origin(e), "UTC"))
	})
}
