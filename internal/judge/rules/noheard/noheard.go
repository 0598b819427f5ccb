// Package noheard reports a receiver that runs and hears no satellite at all.
package noheard

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "noheard",
	Title:    "the receiver hears no satellite",
	Severity: finding.Error,
	Cites:    []string{"IEC 61162-1, GSV (satellites in view, C/N0 empty when not tracked)", "common practice, no source (two minutes)"},
	Doc: `
Sentences come, so the receiver has power and its line works; but GSV names no satellite with a signal. Outdoors
this is the antenna: not plugged in, in the socket of the cellular radio, an active one without its supply, a
crushed lead. Indoors it may be only the roof. A receiver without fix may still list satellites that it expects:
without a C/N0 they are not heard.`,
	Silent: `
Less than two minutes (or sixty fixes where times are not known); no GSV sentence, so nobody knows; some satellite
is heard, however weak: then heardnotused looks.`,
	Remedy:    `Take it outdoors with open sky for ten minutes; then check that the antenna sits in the GNSS socket and, for an active one, that the socket gives 3 to 5 V.`,
	Watch:     watch,
	OneDevice: true,
}

const (
	enough     = 2 * time.Minute // a receiver under open sky hears something within seconds
	enoughFixs = 60
)

func watch(p *rulebook.Pass) {
	var began, last *epoch.Epoch
	count := 0
	var antenna dialogue.Line
	over := func() {
		if began == nil {
			return
		}
		span := last.At.Sub(began.Began)
		if p.TimesKnown() && span < enough || !p.TimesKnown() && count < enoughFixs {
			began, count = nil, 0
			return
		}
		message := fmt.Sprintf("no satellite heard in %d fixes", count)
		if p.TimesKnown() {
			message = "no satellite heard for " + rulebook.Span(span) + ", though the receiver speaks"
		}
		more := []finding.Evidence{p.SeeSource(sky(last), "nor here")}
		if !antenna.IsZero() {
			more = append(more, p.See(antenna, "what it says about its antenna"))
		}
		p.Report(message, p.SeeSource(sky(began), "nothing heard from here on"), more...)
		began, count = nil, 0
	}
	p.OnSentence(func(line dialogue.Line, s *nmea.Sentence) {
		if s.Type != "TXT" {
			return
		}
		if text := strings.ToUpper(s.Text); strings.Contains(text, "ANT") && (strings.Contains(text, "OPEN") || strings.Contains(text, "SHORT")) {
			antenna = line
		}
	})
	p.OnEpoch(func(e *epoch.Epoch) {
		if !e.SkyKnown {
			return
		}
		for i := range e.Satellites {
			if e.Satellites[i].CN0DBHz.IsKnown() {
				over()
				return
			}
		}
		if e.Fix.Valid {
			over() // it hears something that it does not list
			return
		}
		if began == nil {
			began = e
		}
		last = e
		count++
	})
	p.OnEnd(over)
}

// sky is the sentence that tells of satellites.
func sky(e *epoch.Epoch) epoch.Source {
	if s, ok := e.Find("GSV"); ok {
		return s
	}
	return e.Sources[0]
}
