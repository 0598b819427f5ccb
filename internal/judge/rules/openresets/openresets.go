// Package openresets reports a module that restarts whenever its port is opened.
package openresets

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "openresets",
	Title:    "opening the port restarts the module",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 6.2.8 (&D, circuit 108/2; from memory)", "common practice, no source (boards that wire DTR to reset)"},
	Doc: `
Each time the port is opened, the module starts anew within seconds: the computer raises DTR as it opens a port, and the
board passes that edge to the reset or power key. With the computer it "works", since every session begins fresh; on its
own in the field the same firmware waits for something that never happens.`,
	Silent: `
It happened once; the restart came more than five seconds after the port was opened, or was asked for.`,
	Remedy: `Cut the board's automatic reset, set AT&D0, and try the firmware with a supply that has no data wires.`,
	Watch:  watch,
}

const (
	soon   = 5 * time.Second
	enough = 2
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var found dialogue.Line
	var first witness.Restart
	count := 0
	p.OnNoted(func(l dialogue.Line, note string) {
		n := strings.ToLower(note)
		if n == "line-found" || strings.Contains(n, "port opened") {
			found = l
			found.Text = note
		}
	})
	p.OnRestart(func(r witness.Restart) {
		if found.IsZero() || r.At.Sub(found.Began) > soon {
			return
		}
		if count++; count == 1 {
			first = r
		}
		if count == enough {
			p.Report(fmt.Sprintf("the module started %s after the port was opened, for the second time", rulebook.Span(r.At.Sub(found.Began))), p.See(r.Line, r.Why), p.See(found, "the port is opened"), p.See(first.Line, "the first time"))
		}
		found = dialogue.Line{}
	})
}
