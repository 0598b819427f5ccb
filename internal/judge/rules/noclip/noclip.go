// Package noclip reports calls that are acted on without knowing who calls.
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
	Title:    "calls are acted on without knowing who calls",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 7.6 (+CLIP)"},
	Doc: `
RING alone tells that somebody calls, not who. With AT+CLIP=1 the number follows each RING, where the caller shows it and the operator
passes it on. The setting is lost in a restart. A device that acts on every call acts on wrong numbers and on advertising; one that
waits for the number waits for ever. An empty number with type 128 is a caller who hides it.`,
	Silent: `
A number came with a call, even an empty one; a single RING, which a caller may have cut short; a call that the
controller lets ring.`,
	Remedy: `Send AT+CLIP=1 in the set-up after every start, and refuse calls without a number.`,
	Watch:  watch,
}

const (
	near   = 10 * time.Second // from one RING to the next; common practice, no source
	acting = time.Minute      // what is done later has another reason
)

func watch(p *rulebook.Pass) {
	var first, second, last dialogue.Line
	rings, said := 0, false
	p.OnReport("+CLIP", func(dialogue.Line, dialogue.Line, at.Answer) { rings = -1 })
	p.OnUnsolicited(func(l, _ dialogue.Line, a at.Answer) {
		if r, ok := at.ParseResult(l.Text); !(ok && r.Kind == at.Ring) && a.Name != "+CRING" {
			return
		}
		if rings <= 0 || p.TimesKnown() && l.Began.Sub(last.At) > near {
			first, rings = l, 0
		}
		last = l
		if rings++; rings == 2 {
			second = l
		}
	})
	p.OnAsked(func(x *dialogue.Exchange) {
		acts := x.Is("H") || x.Is("A") || x.Is("+CHUP") || x.Is("+CMGS")
		if said || rings < 2 || !acts || p.TimesKnown() && x.AskedAt.Sub(last.At) > acting {
			return
		}
		said = true
		why, more := "+CLIP was never set", []finding.Evidence{p.See(second, "the second RING"), p.See(x.Command, "acts on the call")}
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
		p.Report("the controller acts on a call and was not told who calls: "+why, p.See(first, "rings"), more...)
	})
}
