// Package fewtries reports a wrong PIN that is tried again: three wrong ones lock the card.
package fewtries

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "fewtries",
	Title:    "a wrong PIN is tried again; the card is about to lock",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 8.3 (+CPIN), 9.2.1 (CME 12, 16)", "3GPP TS 31.101, 9.5 (three tries, then the unblocking code; from memory)"},
	Doc: `
A card takes three wrong PINs in a row, restarts included, and then wants its unblocking code (PUK);
ten wrong ones of those and the card is dead for ever. Firmware that sends its stored PIN at every
start uses the tries up within a minute. +CME ERROR: 16 means wrong: never try again by program.`,
	Silent: `
One wrong try followed by a right one: a person corrected a slip.`,
	Remedy: `Stop after one refused PIN, remember it in memory that survives a restart, and let a person decide.`,
	Watch:  watch,
}

// tries is how many wrong PINs lock a card.
const tries = 3

func watch(p *rulebook.Pass) {
	var wrong *dialogue.Exchange // the first refused one
	count := 0
	locked := false
	p.OnResult("+CPIN", func(x *dialogue.Exchange, c *at.Command) {
		switch {
		case c.Form != at.Set:
		case x.Result.Kind == at.OK:
			wrong, count = nil, 0
		case rulebook.IsCME(x.Result, 16, 3) || x.Result.Kind == at.Error && count > 0:
			count++
			if wrong == nil {
				wrong = x
				return
			}
			left := "no try is left before the PUK"
			if n := tries - count; n > 0 {
				left = fmt.Sprintf("at most %d try is left before the PUK", n)
			}
			p.Report(fmt.Sprintf("a PIN was sent again after %s: %d refused, %s", rulebook.Failure(wrong.Result), count, left),
				p.See(x.Command, "tried again"), p.See(wrong.Final, "refused before"), p.See(x.Final, "refused again"))
		}
	})
	puk := func(line, asked dialogue.Line) {
		if !locked {
			locked = true
			p.Report("the card is locked and wants its unblocking code (PUK)", p.See(line, "PUK wanted"), p.See(asked, "the command"))
		}
	}
	p.OnInfo("+CPIN", func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		if rulebook.Text(a.Params, 0) == "SIM PUK" {
			puk(l, x.Command)
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if rulebook.IsCME(x.Result, 12) || rulebook.IsCMS(x.Result, 316) {
			puk(x.Final, x.Command)
		}
	})
}
