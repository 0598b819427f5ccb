// Package wentsilent reports a module that answered once and does so no more.
package wentsilent

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "wentsilent",
	Title:    "the module answered before and is silent now",
	Severity: finding.Error,
	Cites:    []string{"V.250, 5.7 (every command line has a result)", "GSMA TS.34 (devices recover step by step)", "common practice, no source (five commands, 20 s)"},
	Doc: `
It worked, and from some moment on nothing comes back any more, not even an echo. A module can hang, be switched off by
its own supply or temperature, sleep, or wait for the end of a text. Or it answers, and the controller's receiver is
stuck after an overrun: a second listener on the module's line tells. Repeating AT for ever helps in none of these.`,
	Silent: `
The module still speaks by itself: then it does not hear, and deafmodule says so. A command that only its maker knows was
the last to be answered: it may have been the way to switch off. Less than 20 s, or less than the first command's own
limit; a slow command is still being worked on. Times are not known.`,
	Remedy: `Climb a ladder: ESC and AT, then AT+CFUN=1,1, then the reset line, then the supply off for 10 s, each once, with growing pauses; count every step.`,
	Watch:  watch,
}

const (
	enough = 5
	least  = 20 * time.Second
)

func watch(p *rulebook.Pass) {
	p.OnSilence(enough, least, func(s *rulebook.Silence) {
		if !s.Spoke.IsZero() {
			return
		}
		for i := range s.Before.Parsed.Commands {
			c := &s.Before.Parsed.Commands[i]
			if _, known := at.Lookup(c.Name); !known || c.Name == "+CFUN" && c.Form == at.Set {
				return
			}
		}
		p.Report(fmt.Sprintf("%d commands without an answer in %s; the last answer came %s before", s.Count, rulebook.Span(s.Last.AskedAt.Sub(s.First.AskedAt)), rulebook.Span(s.First.AskedAt.Sub(s.Before.DoneAt))),
			p.See(s.First.Command, "the first without an answer"), p.See(s.Before.Final, "the last answer"), p.See(s.Last.Command, "still nothing"))
	})
}
