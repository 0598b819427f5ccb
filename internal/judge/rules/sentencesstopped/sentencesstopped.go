// Package sentencesstopped reports a receiver that falls silent while the module goes on.
package sentencesstopped

import (
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "sentencesstopped",
	Title:    "the sentences have stopped and nobody switches them on again",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1 (a receiver speaks by itself)", "common practice, no source (its engine is off after each start of the module)"},
	Doc: `
Sentences came, and then no more, while commands are answered as before. After a restart of the module its receiver is off until the maker's
command switches it on; some modules stop it while data passes, and a full line can stop it too. Positions that the program still sends are
old from here on.`,
	Silent: `
A command that only the maker knows was sent shortly before they stopped, or the radio was switched off: then it was meant. They came
again later, as where a log leaves some out, and the module had not started anew. Less than a minute, or fewer than three commands.`,
	Remedy: `Switch the receiver on again after every start of the module, and let the program notice when no sentence came for five seconds.`,
	Watch:  watch,
}

const (
	least   = time.Minute
	stream  = 5 * time.Second // fixes of a stream are not further apart
	enough  = 3               // fixes, valid or not, that make one
	meant   = 30 * time.Second
	command = 3
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var last epoch.Source
	var order when.Instant = -when.Never
	var again *dialogue.Exchange // the last command after they stopped
	row, asked, said := 0, 0, false
	tell := func() {
		if said || again == nil || asked < command || again.AskedAt.Sub(last.At) < least {
			return
		}
		said = true
		message := "no sentence for " + rulebook.Span(again.AskedAt.Sub(last.At)) + ", while commands are answered"
		more := []finding.Evidence{p.See(again.Command, "goes on")}
		if r, ok := p.Known().LastRestart(); ok && r.Line.Record > last.Record {
			message += "; the module started anew in between"
			more = append(more, p.See(r.Line, r.Why))
		}
		p.Report(message, p.SeeSource(last, "the last sentence"), more...)
	}
	p.OnEpoch(func(e *epoch.Epoch) {
		if e.Began.Sub(last.At) > stream {
			row = 0
		}
		row++
		last, asked, said, again = e.Sources[len(e.Sources)-1], 0, false, nil
	})
	p.OnAsked(func(x *dialogue.Exchange) {
		for i := range x.Parsed.Commands {
			c := &x.Parsed.Commands[i]
			if _, known := at.Lookup(c.Name); !known || c.Name == "+CFUN" && c.Form == at.Set {
				order = x.AskedAt
			}
		}
		if row < enough || x.AskedAt.Sub(last.At) <= stream {
			return
		}
		if order >= last.At.Add(-meant) {
			again, asked = nil, 0
			return
		}
		asked++
		again = x
		if r, ok := p.Known().LastRestart(); ok && r.Line.Record > last.Record {
			tell()
		}
	})
	p.OnEnd(tell)
}
