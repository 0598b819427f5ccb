// Package noclip reports calls whose caller is not told.
package noclip

import (
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "noclip",
	Title:    "the module rings and does not say who calls",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 7.6 (+CLIP)"},
	Doc: `
RING alone tells that somebody calls, not who. With AT+CLIP=1 the number follows each RING, where the caller shows it and the operator
passes it on. The setting is lost in a restart. A device that acts on every call acts on wrong numbers and on advertising; one that
waits for the number waits for ever. An empty number with type 128 is a caller who hides it.`,
	Silent: `
A number came with a call, even an empty one; a single RING, which a caller may have cut short.`,
	Remedy: `Send AT+CLIP=1 in the set-up after every start, and refuse calls without a number.`,
	Watch:  watch,
}

const near = 10 * time.Second // from one RING to the next; common practice, no source

func watch(p *rulebook.Pass) {
	var first, last dialogue.Line
	rings, said := 0, false
	p.OnReport("+CLIP", func(dialogue.Line, dialogue.Line, at.Answer) { rings = -1 })
	ring := func(l dialogue.Line) {
		if rings <= 0 || p.TimesKnown() && l.Began.Sub(last.At) > near {
			first, rings = l, 0
		}
		last = l
		if rings++; rings != 2 || said {
			return
		}
		said = true
		why, more := "+CLIP was never set", []finding.Evidence{p.See(l, "the second RING")}
		if s, ok := p.Known().Setting("+CLIP"); ok {
			switch {
			case s.Lost:
				why = "+CLIP was set before the module restarted, and not again"
			case s.First() == "1":
				why = "+CLIP is on, so the caller or the network hides the number"
			default:
				why = "+CLIP is " + s.Value
			}
			more = append(more, p.See(s.Line, "the setting"))
		}
		p.Report("two RINGs and no number between them: "+why, p.See(first, "rings"), more...)
	}
	p.OnUnsolicited(func(l, _ dialogue.Line, a at.Answer) {
		if r, ok := at.ParseResult(l.Text); ok && r.Kind == at.Ring || a.Name == "+CRING" {
			ring(l)
		}
	})
}
