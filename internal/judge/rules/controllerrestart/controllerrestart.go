// Package controllerrestart reports a controller that starts anew while the radio sends.
package controllerrestart

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "controllerrestart",
	Title:    "the controller starts anew while the module sends",
	Severity: finding.Error,
	Cites:    []string{"common practice, no source (10 s; one source for module and controller)", "3GPP TS 45.002, 4.3 (bursts; from memory)"},
	Doc: `
The set-up begins from the top in the middle of a command, and the module has forgotten nothing: it is the controller
that started anew. When that happens within seconds of a command that makes the radio send, both hang on one source:
the burst pulls it down, the module survives and the controller, or its regulator, does not.`,
	Silent: `
The module started anew as well; nothing that makes the radio send was under way, or for more than 10 s, or for whole seconds or exactly as long as before, as a time limit does it,
which is the business of watchdogshort; the controller's commands do not show that its set-up runs again. A set-up that runs again between two commands may be
on purpose.`,
	Remedy: `Give controller and module separate regulators with capacitors on both sides, and let the firmware send the reason of its last reset at every start.`,
	Watch:  watch,
}

const (
	window = 10 * time.Second       // see the rule restartload
	even   = 200 * time.Millisecond // see the rule watchdogshort
	round  = 50 * time.Millisecond  // so near to whole seconds is a time limit, no fall
)

func watch(p *rulebook.Pass) {
	count := 0
	var before time.Duration
	p.OnAnew(func(a rulebook.Anew) {
		x := a.Cut
		if x == nil || !sends(x) {
			return
		}
		if r, ok := p.Known().LastRestart(); ok && r.Line.Record > x.Command.Record {
			return
		}
		since := x.AskedAt
		if !x.Text.IsZero() {
			since = x.Text.At
		}
		name, message := rulebook.LineName(x), ""
		if p.TimesKnown() {
			waited := a.Line.Began.Sub(since)
			same := count > 0 && (waited-before).Abs() <= even || (waited-waited.Round(time.Second)).Abs() <= round
			if before = waited; waited > window || same {
				return
			}
			message = fmt.Sprintf("the controller began from the top %s after %s, which was not over", rulebook.Span(waited), name)
		} else {
			message = "the controller began from the top in the middle of " + name
		}
		if count++; count > 1 {
			message += fmt.Sprintf("; it is number %d of this kind", count)
		}
		p.Report(message, p.See(a.Line, "the set-up begins again"), p.See(x.Command, "not over; the module knows it still"))
	})
}

func sends(x *dialogue.Exchange) bool {
	for i := range x.Parsed.Commands {
		if rulebook.Transmits(&x.Parsed.Commands[i]) {
			return true
		}
	}
	return false
}
