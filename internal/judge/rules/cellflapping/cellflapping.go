// Package cellflapping reports a module that changes between the same cells.
package cellflapping

import (
	"fmt"
	"slices"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "cellflapping",
	Title:    "the module changes to and fro between the same cells",
	Severity: finding.Note,
	Cites:    []string{"3GPP TS 27.007, 7.2 (+CREG=2: area and cell)", "common practice, no source (8 changes in 10 min)"},
	Doc: `
With AT+CREG=2 each report names the cell. A module that changes between the same two or three cells every minute stands where
they are equally strong, or its antenna hears all of them badly. Each change costs energy and a moment without service.
A moving module changes to new cells; one that stands still should not.`,
	Silent: `
More than three different cells, as on the road; fewer than eight changes within ten minutes; reports without a cell.`,
	Remedy: `Turn or move the antenna by half a metre, look at its plug, and compare the signal over ten minutes.`,
	Watch:  watch,
}

const (
	changes = 8
	within  = 10 * time.Minute
	cells   = 3
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	type stay struct {
		cell string
		line dialogue.Line
	}
	var last [changes + 1]stay // the newest at the end
	count, said := 0, false
	p.OnRegistration(func(r *witness.Registration) {
		a, _ := at.ParseAnswer(r.Line.Text)
		reg, ok := at.ParseRegistration(a)
		if !ok || reg.Cell == "" || last[changes].cell == reg.Cell {
			return
		}
		copy(last[:], last[1:])
		last[changes] = stay{reg.Cell, r.Line}
		count++
		if said || count <= changes || r.Line.Began.Sub(last[0].line.Began) > within {
			return
		}
		var different []string
		for _, s := range last {
			if !slices.Contains(different, s.cell) {
				different = append(different, s.cell)
			}
		}
		if len(different) > cells {
			return
		}
		said = true
		p.Report(fmt.Sprintf("%d changes between %d cells within %s", changes, len(different), rulebook.Span(r.Line.Began.Sub(last[0].line.Began))), p.See(r.Line, "changed again"), p.See(last[0].line, "the first of them"))
	})
}
