// Package notready reports commands that were sent before module and card had finished starting.
package notready

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "notready",
	Title:    "command sent before the module or its card was ready",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.3 (+CPIN), 9.2 (CME 14)", "3GPP TS 27.005, 3.2.5 (CMS 314)"},
	Doc: `
After it starts, a module needs seconds to read the card and to open its message store. Commands
that need them fail meanwhile: +CME ERROR: 14 or +CMS ERROR: 314 (busy), or even 10 or 310 (no
card). The same command works a little later. A set-up that ignores the failure goes on with half
of its settings. Ask AT+CPIN? once a second until it answers READY, and only then go on.`,
	Silent: `
The question AT+CPIN? itself, which is how one waits. An error that never went away, or that
came after READY: then the card is missing or loose, which is another rule's business. Without "busy" the error must come within 20 s of a
start that the dialogue shows, and the same command must be taken later.`,
	Remedy: `After every start ask AT+CPIN? once a second until READY, at most 30 s, before any other command.`,
	Watch:  watch,
}

// early is how long after a start a card is still being read. Common practice, no source.
const early = 20 * time.Second

// maxHeld bounds the refused commands that wait for their success.
const maxHeld = 8

func watch(p *rulebook.Pass) {
	var start witness.Restart
	started, said, ready := false, false, false
	var held []*dialogue.Exchange
	p.OnRestart(func(r witness.Restart) { start, started, said, ready, held = r, true, false, false, held[:0] })
	p.OnInfo("+CPIN", func(_ *dialogue.Exchange, _ dialogue.Line, a at.Answer) {
		ready = ready || rulebook.Text(a.Params, 0) == "READY"
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		n := len(x.Parsed.Commands)
		if n == 0 || said {
			return
		}
		c := &x.Parsed.Commands[n-1]
		switch {
		case x.Result.Kind == at.OK:
			for _, h := range held {
				if h.Parsed.Commands[len(h.Parsed.Commands)-1].Name == c.Name {
					said = true
					report(p, h, start, started, x)
					return
				}
			}
		case c.Name == "+CPIN" && c.Form == at.Read, len(held) == maxHeld:
		case rulebook.IsCME(x.Result, 14), rulebook.IsCMS(x.Result, 314):
			held = append(held, x)
		case rulebook.IsCME(x.Result, 10, 13), rulebook.IsCMS(x.Result, 302, 310, 313):
			if started && !ready && p.TimesKnown() && x.DoneAt.Sub(start.At) <= early {
				held = append(held, x)
			}
		}
	})
}

func report(p *rulebook.Pass, x *dialogue.Exchange, start witness.Restart, started bool, later *dialogue.Exchange) {
	message := rulebook.LineName(x) + " was sent too early: " + rulebook.Failure(x.Result)
	if p.TimesKnown() {
		if started {
			message += fmt.Sprintf(" %s after the module started", rulebook.Span(x.DoneAt.Sub(start.At)))
		}
		message += fmt.Sprintf("; it was taken %s later", rulebook.Span(later.DoneAt.Sub(x.DoneAt)))
	} else {
		message += "; it was taken later"
	}
	p.Report(message, p.See(x.Command, "sent too early"), p.See(x.Final, "the refusal"), p.See(later.Final, "taken now"))
}
