// Package keptlong reports positions that are kept for a long time.
package keptlong

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "keptlong",
	Title:    "the recording holds positions of more than a month",
	Severity: finding.Note,
	Cites:    []string{"GDPR, Art. 5(1)(e) (from memory; or the law of your place)", "common practice, no source (30 days)"},
	Doc: `
Where a thing is tells where the person who drives it is. Positions of more than a month say where somebody lives, works and worships. Whoever keeps
them needs a reason and, in many places, a consent and a date by which they are deleted. For finding a fault the last hours are enough.`,
	Silent: `
Less than thirty days between the first and the last fix; no dates.`,
	Remedy: `Say who may read the positions, delete them after a set time, tell the people concerned, and keep only the part of a log that shows the fault.`,
	Watch:  watch,
}

const month = 30 * 24 * time.Hour

func watch(p *rulebook.Pass) {
	var first *epoch.Epoch
	var began time.Time
	said := false
	p.OnEpoch(func(e *epoch.Epoch) {
		utc, ok := e.Fix.UTC.Get()
		if !ok || !e.Fix.Valid || said {
			return
		}
		span := utc.Sub(began)
		switch {
		case first == nil || span < 0:
			first, began = e, utc
		case span >= month && span < 400*24*time.Hour: // a jump of years is a clock, not a recording
			said = true
			p.Report(fmt.Sprintf("positions from %s to %s", began.Format(time.DateOnly), utc.Format(time.DateOnly)), p.SeeSource(rulebook.Origin(e), "the last"), p.SeeSource(rulebook.Origin(first), "the first"))
		}
	})
}
