// Package overlap reports a command that was sent before the one before it was over.
package overlap

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "overlap",
	Title:    "next command sent before the final result",
	Severity: finding.Error,
	Cites:    []string{"V.250, 5.6 and 5.6.1 (a byte may abort the command under way)", "V.250, 5.5 (0.1 s after the result)"},
	Doc: `
One command line at a time: a module works on a line until it has said OK, ERROR or another final
result. A byte that comes earlier may abort the command, be dropped, or begin a line that is then
misread; which of these happens changes with the module and the moment. Programs made of "send,
pause, send, pause" do this whenever the network is slower than on the bench. Wait for the final
result, each command with a limit of its own, then a tenth of a second more.`,
	Silent: `
The controller had waited a second or longer: then it gave up, which is another rule's business. A
bare AT that gets no answer, as one sends it to a module that is still starting; a module that never
said anything; a search for operators; a restart of the module in between. In a
window without times, a result that never came: people leave lines out when they copy.`,
	Remedy: `Keep one command in flight: send the next one only after OK, ERROR, +CME ERROR, +CMS ERROR or a time limit of that command's own.`,
	Watch:  watch,
}

// giveUp is how long a controller must have waited for it to count as a time
// limit and not as haste. Our estimate: no limit in use is shorter.
const giveUp = time.Second

// maxHeld bounds the hasty commands that wait for a sign of life.
const maxHeld = 16

type haste struct {
	first, next *dialogue.Exchange
	text        string
}

func watch(p *rulebook.Pass) {
	var held []haste
	p.OnAsked(func(x *dialogue.Exchange) {
		open := p.Open()
		if len(open) == 0 || len(held) == maxHeld {
			return
		}
		before := open[len(open)-1]
		if len(before.Parsed.Commands) == 0 {
			return
		}
		if c, ok := before.Parsed.Find("+COPS"); ok && c.Form == at.Test {
			return
		}
		if r, ok := p.Known().LastRestart(); ok && r.Line.Record > before.Command.Record {
			return
		}
		text := fmt.Sprintf("%s sent before the final result of %s", rulebook.LineName(x), rulebook.LineName(before))
		if p.TimesKnown() {
			since := before.AskedAt
			what := ""
			if !before.Text.IsZero() {
				since, what = before.Text.At, "the text of "
			}
			gap := x.Command.Began.Sub(since)
			if gap >= giveUp {
				return
			}
			text = fmt.Sprintf("%s sent %s after %s%s, before its final result", rulebook.LineName(x), rulebook.Span(gap), what, rulebook.LineName(before))
		}
		held = append(held, haste{before, x, text})
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if len(held) == 0 || x.Outcome != dialogue.Finished {
			return
		}
		kept := held[:0]
		for _, h := range held {
			switch {
			case x.Number < h.first.Number:
				kept = append(kept, h)
			case h.next.Echoed && echoOff(p):
				// The echo is back: the module started anew in between.
			case h.first.Outcome == dialogue.Finished:
				p.Report(h.text, p.See(h.next.Command, "too early"), p.See(h.first.Command, "not over yet"), p.See(h.first.Final, "its final result came only now"))
			case p.TimesKnown(): // without times a result that never came may only not have been copied
				p.Report(h.text, p.See(h.next.Command, "too early"), p.See(h.first.Command, "not over yet; its final result never came"))
			}
		}
		held = kept
	})
}

func echoOff(p *rulebook.Pass) bool {
	s, ok := p.Known().Setting("E")
	return ok && s.Value == "0"
}
