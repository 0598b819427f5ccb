// Package coldeverytime reports a receiver that starts cold each time.
package coldeverytime

import (
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "coldeverytime",
	Title:    "the receiver starts cold every time",
	Severity: finding.Warning,
	Cites:    []string{"IS-GPS-200, 20.3.4 (orbit data take 30 s and hold some hours; from memory)", "common practice, no source (25 s)"},
	Doc: `
A receiver that was on an hour ago still knows the time, its place and the satellites' orbits: it has a fix within some seconds. One that needs half a minute
each time has forgotten everything, because its backup supply is cut together with the main one, or because the firmware asks for a cold start.
It costs as much battery as twenty warm starts, and between houses the half minute never comes.`,
	Silent: `
One start under ten seconds; fewer than three starts; pauses of more than four hours, after which the orbits are too old anyway.`,
	Remedy: `Leave the receiver's backup supply on (some microamperes), ask for hot starts, and refresh the orbits at least every two hours.`,
	Watch:  watch,
}

const (
	cold   = 25 * time.Second
	enough = 3
	pause  = 4 * time.Hour
)

func watch(p *rulebook.Pass) {
	var first rulebook.FirstFix
	var before *epoch.Epoch
	var took []string
	said := false
	p.OnFirstFix(func(s rulebook.FirstFix) {
		long := before != nil && s.Began.Began.Sub(before.At) > pause
		before = s.Fix
		if s.Took < cold || long {
			took = took[:0]
			if !long {
				return
			}
			if s.Took < cold {
				return
			}
		}
		if len(took) == 0 {
			first = s
		}
		if len(took) < enough {
			took = append(took, rulebook.Span(s.Took.Round(time.Second)))
		}
		if len(took) < enough || said {
			return
		}
		said = true
		message := "first fixes after " + strings.Join(took, ", ") + ": each start was cold"
		if !s.Dated {
			message += ", and not even the date was known"
		}
		p.Report(message, p.SeeSource(rulebook.Origin(s.Fix), "the last first fix"), p.SeeSource(s.Began.Sources[0], "the last start"), p.SeeSource(first.Began.Sources[0], "the first start"))
	})
}
