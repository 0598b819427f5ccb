// Package weaksky reports satellites that are all weak though there is a fix.
package weaksky

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "weaksky",
	Title:    "there is a fix, but every satellite is weak",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1, GSV (C/N0 in dB-Hz)", "common practice, no source (best four above 40 outdoors, below 33 is marginal)"},
	Doc: `
The best four satellites say how well the antenna hears: above 42 dB-Hz under open sky it is in its element, below 33 it holds a fix and no more. A
lorry beside it, leaves, the next cold start, and the fix is gone. Usual reasons: the patch looks sideways or down, metal or a body covers it, its ground
plate is missing, the lead is long and thin, or it stands at a window.`,
	Silent: `
No fix: noheard and heardnotused look. Less than a minute; four satellites or more above 33 on average.`,
	Remedy: `Turn the patch to the sky on a plate of 40 to 70 mm, away from metal, shorten the lead, and compare the best four with a second antenna beside it: 3 dB matter.`,
	Watch:  watch,
}

const (
	marginal = 33.0
	least    = time.Minute
	fixes    = 30
)

func watch(p *rulebook.Pass) {
	var began, last *epoch.Epoch
	count := 0
	sum := 0.0
	said := false
	p.OnEpoch(func(e *epoch.Epoch) {
		if !e.SkyKnown {
			return
		}
		heard, mean := p.Strength(e)
		if !e.Fix.Valid || heard < 4 || mean >= marginal {
			began, count, sum = nil, 0, 0
			return
		}
		if began == nil {
			began = e
		}
		last = e
		count++
		sum += mean
		if said || count < fixes || p.TimesKnown() && last.At.Sub(began.Began) < least {
			return
		}
		said = true
		p.Report(fmt.Sprintf("the best four satellites reach %.0f dB-Hz on average over %d fixes", sum/float64(count), count), p.SeeSource(sky(began), "from here on"), p.SeeSource(sky(last), "to here"))
	})
}

// sky is the sentence that tells of satellites.
func sky(e *epoch.Epoch) epoch.Source {
	if s, ok := e.Find("GSV"); ok {
		return s
	}
	return e.Sources[0]
}
