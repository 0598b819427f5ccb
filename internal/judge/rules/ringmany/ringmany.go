// Package ringmany reports that one call sets off several texts.
package ringmany

import (
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "ringmany",
	Title:    "one call sets off several texts",
	Severity: finding.Error,
	Cites:    []string{"V.250, 6.3 (RING repeats while it rings)", "common practice, no source (every five or six seconds)"},
	Doc: `
RING comes again every five seconds as long as somebody lets it ring. A program that answers each RING with a text sends five texts for one
call. Act on the first one, hang up at once (ATH), which also stops the caller's ringing, and do not act again before eight seconds without
RING.`,
	Silent: `
One text for one call; a second text more than a minute after the first; texts to different numbers, which a list of people may get.`,
	Remedy: `On the first RING note the caller, send ATH, act once, and ignore calls of that number for a minute.`,
	Watch:  watch,
}

const (
	near   = 10 * time.Second // from one RING to the next; common practice, no source
	window = time.Minute
)

func watch(p *rulebook.Pass) {
	var ring, sent dialogue.Line // the first RING of the call, and the first text after it
	var last dialogue.Line
	party, said := "", false
	p.OnUnsolicited(func(l, _ dialogue.Line, a at.Answer) {
		if r, ok := at.ParseResult(l.Text); !(ok && r.Kind == at.Ring) && a.Name != "+CRING" {
			return
		}
		if ring.IsZero() || p.TimesKnown() && l.Began.Sub(last.At) > near {
			ring, sent, said = l, dialogue.Line{}, false
		}
		last = l
	})
	p.OnCommand("H", func(*dialogue.Exchange, *at.Command) { ring = dialogue.Line{} })
	p.OnCommand("+CHUP", func(*dialogue.Exchange, *at.Command) { ring = dialogue.Line{} })
	p.OnMessage(func(m *witness.Message) {
		if !m.Out {
			ring = dialogue.Line{} // somebody writes as well
			return
		}
		switch {
		case ring.IsZero() || said:
		case sent.IsZero():
			if !p.TimesKnown() || m.Head.Began.Sub(last.At) <= window {
				sent, party = m.Head, m.Party
			}
		case m.Party == party && last.Record > sent.Record && (!p.TimesKnown() || m.Head.Began.Sub(sent.Began) <= window):
			said = true
			p.Report("a second text leaves for the same call", p.See(m.Head, "the second text"), p.See(sent, "the first"), p.See(ring, "the call"))
		}
	})
}
