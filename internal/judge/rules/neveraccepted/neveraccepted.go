// Package neveraccepted reports a command that this module never accepts.
package neveraccepted

import (
	"fmt"
	"slices"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "neveraccepted",
	Title:    "this module never accepts this command",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 5.4.3 and 5.4.4 (test forms)", "3GPP TS 27.007, 9.2.1 (CME 4, 50)"},
	Doc: `
The same command is refused each time, half a minute later as well, so it is no matter of being ready: this module, or
this version of its firmware, does not know it, or not with this value. Scripts travel from one family of modules to the
next and take such commands along. Ask what it does know: AT+XXX=? lists the values, AT+CLAC all commands.`,
	Silent: `
It was accepted once; the refusals lie within half a minute, which may be a start; commands that ask the card, the network
or the store, and those of makers, whose bare ERROR may have other reasons.`,
	Remedy: `Look the command up in this module's manual, ask its test form (=?), and leave it out or replace it.`,
	Watch:  watch,
}

const (
	enough   = 3
	settled  = 30 * time.Second
	maxNames = 32
)

// outside are commands whose refusal comes from the card, the network, the store or a lock.
var outside = []string{"+CPIN", "+CMGS", "+CMGR", "+CMGL", "+CMGD", "+CMGW", "+CMSS", "+COPS", "+CGATT", "+CGACT", "+CGDATA", "+CIMI", "+CPMS", "+CNUM",
	"+CSCA", "+CLCK", "+CPWD", "+CPBR", "+CPBW", "+CPBS", "+CUSD", "+CNMA", "+CLIP", "+CRSM", "+CSIM", "+CHUP", "+CREG", "+CGPADDR", "D", "A", "O", "H"}

func watch(p *rulebook.Pass) {
	type refusal struct {
		first *dialogue.Exchange
		count int
		done  bool
	}
	refusals := map[string]*refusal{}
	p.OnAnswered(func(x *dialogue.Exchange) {
		if len(x.Parsed.Commands) != 1 || x.Outcome != dialogue.Finished {
			return
		}
		c := &x.Parsed.Commands[0]
		key := c.Text
		r := refusals[key]
		if r == nil {
			if len(refusals) == maxNames || slices.Contains(outside, c.Name) {
				return
			}
			r = &refusal{first: x}
			refusals[key] = r
		}
		_, known := at.Lookup(c.Name)
		if !rulebook.IsCME(x.Result, 4, 50) && (x.Result.Kind != at.Error || !known) {
			r.done = true // it worked, or the reason is another one
		}
		if r.done {
			return
		}
		r.count++
		if r.count < enough || p.TimesKnown() && x.DoneAt.Sub(r.first.DoneAt) < settled {
			return
		}
		r.done = true
		message := fmt.Sprintf("%s was refused %d times with %s and never accepted", rulebook.Name(c), r.count, rulebook.Failure(x.Result))
		p.Report(message, p.See(x.Command, "refused again"), p.See(x.Final, "the refusal"), p.See(r.first.Command, "the first time"))
	})
}
