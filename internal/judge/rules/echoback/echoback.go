// Package echoback reports an echo that was switched off and is back.
package echoback

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "echoback",
	Title:    "echo is back though it was switched off",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 5.2.3 and 6.2.4 (E)", "V.250, 6.1.1 (Z, profiles; from memory)"},
	Doc: `
ATE0 was accepted, and later commands are echoed again. The module has started anew in between, or
somebody reset its settings. A parser that counts lines now reads its own command as the answer, and
the answer as the next one's. Switch the echo off in the set-up that runs after every start, and drop a
line that equals the command all the same.`,
	Silent: `
The controller switches the echo off again within five commands. ATE1, ATZ or AT&F was sent.`,
	Remedy:    `Send ATE0 after every start of the module, and ignore a line that repeats the command just sent.`,
	Watch:     watch,
	OneDevice: true,
}

// patience is how many echoed commands a controller may send before ATE0. Our estimate.
const patience = 5

func watch(p *rulebook.Pass) {
	off := false           // ATE0 is believed to be in force
	var said dialogue.Line // the ATE0
	var from int           // record of its OK
	var first *dialogue.Exchange
	count := 0
	p.OnResult("E", func(x *dialogue.Exchange, c *at.Command) {
		if x.Result.Kind == at.OK {
			off, said, from, first, count = c.Number <= 0, x.Command, x.Final.Record, nil, 0
		}
	})
	reset := func(*dialogue.Exchange, *at.Command) { off = false }
	p.OnResult("Z", reset)
	p.OnResult("&F", reset)
	p.OnResult("+CFUN", func(x *dialogue.Exchange, c *at.Command) {
		if len(c.Params) > 1 {
			off = false // a start that was asked for
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if !off || !x.Echoed || x.Command.Record < from || x.Is("E") {
			return
		}
		if first == nil {
			first = x
		}
		count++
		if count == patience {
			off = false
			p.Report(fmt.Sprintf("%d commands were echoed after ATE0, and the echo was not switched off again", count), p.See(first.Command, "echoed again"), p.See(said, "switched off here"))
		}
	})
}
