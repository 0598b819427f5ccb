// Package heardnotused reports satellites that are heard but give no fix.
package heardnotused

import (
	"fmt"
	"slices"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "heardnotused",
	Title:    "satellites are heard but give no fix",
	Severity: finding.Warning,
	Cites: []string{"IEC 61162-1, GSV (C/N0 00 to 99 dB-Hz) and GSA (satellites used)", "IS-GPS-200, 20.3.4 (orbit data take 30 s to send)",
		"common practice, no source (four satellites above 35 dB-Hz)"},
	Doc: `
A fix needs four satellites whose orbit data were read; reading them takes thirty seconds without a break at 28
dB-Hz or more. Below that a receiver hears satellites and never uses them: it stands under a roof or at a window,
its antenna looks sideways or is covered, or something close by disturbs it. Four above 35 dB-Hz give a fix within
a minute.`,
	Silent: `
A fix came within three minutes (five with strong signals, as a cold start may take); no satellite is heard at all,
which is noheard; no GSV sentence.`,
	Remedy:    `Go outdoors, antenna up and at least 20 cm from metal, displays and the cellular antenna; aim at four satellites above 35 dB-Hz.`,
	Watch:     watch,
	OneDevice: true,
}

const (
	weakDBHz     = 30              // mean of the best four below which orbit data can hardly be read; our estimate
	enoughWeak   = 3 * time.Minute // a cold start under open sky takes 30 to 40 s
	enoughStrong = 5 * time.Minute
	enoughFixes  = 180 // where times are not known: three minutes at one a second
	bestOf       = 4
)

func watch(p *rulebook.Pass) {
	var began, last *epoch.Epoch
	count, most, best := 0, 0, 0.0
	over := func() {
		defer func() { began, count, most, best = nil, 0, 0, 0 }()
		if began == nil {
			return
		}
		span, wait := last.At.Sub(began.Began), enoughWeak
		if best >= weakDBHz {
			wait = enoughStrong
		}
		if p.TimesKnown() && span < wait || !p.TimesKnown() && count < enoughFixes {
			return
		}
		message := fmt.Sprintf("up to %d satellites heard, no fix in %d tries", most, count)
		if p.TimesKnown() {
			message = fmt.Sprintf("up to %d satellites heard, but no fix for %s", most, rulebook.Span(span))
		}
		if best < weakDBHz {
			message += fmt.Sprintf(": too weak, the best reach %.0f dB-Hz on average", best)
		} else {
			message += fmt.Sprintf(", with the best at %.0f dB-Hz on average: strong enough, so look for disturbance, or restart the receiver cold", best)
		}
		p.Report(message, p.SeeSource(sky(began), "from here on"), p.SeeSource(sky(last), "to here"))
	}
	p.OnEpoch(func(e *epoch.Epoch) {
		if e.Fix.Valid {
			over()
			return
		}
		if !e.SkyKnown {
			return
		}
		heard, mean := strength(e)
		if heard == 0 {
			return
		}
		if began == nil {
			began = e
		}
		last = e
		count++
		most, best = max(most, heard), max(best, mean)
	})
	p.OnEnd(over)
}

// strength counts the satellites heard and takes the mean of the best four.
func strength(e *epoch.Epoch) (heard int, mean float64) {
	var levels []float64
	for i := range e.Satellites {
		if v, ok := e.Satellites[i].CN0DBHz.Get(); ok {
			levels = append(levels, v)
		}
	}
	if len(levels) == 0 {
		return 0, 0
	}
	slices.Sort(levels)
	best := levels[max(0, len(levels)-bestOf):]
	for _, v := range best {
		mean += v / float64(len(best))
	}
	return len(levels), mean
}

// sky is the sentence that tells of satellites.
func sky(e *epoch.Epoch) epoch.Source {
	if s, ok := e.Find("GSV"); ok {
		return s
	}
	return e.Sources[0]
}
