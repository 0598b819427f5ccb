// Package restartloop reports a module that starts anew again and again though nothing was asked of it.
package restartloop

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "restartloop",
	Title:    "module restarts again and again",
	Severity: finding.Error,
	Cites:    []string{"common practice, no source (two restarts within two minutes of each other)"},
	Doc: `
A module that comes up, begins to look for its network and starts anew a few seconds later has too weak a
supply: looking for a network makes the radio send, without any command. A tired or cold battery recovers
while the module is down, so the loop goes on until it is flat. A power key held down, or a controller that
pulses the reset line, looks the same but is as regular as a clock.`,
	Silent: `
A single restart. Restarts that the controller asked for, and those within 10 s of a command that makes the
radio send, which another rule reports.`,
	Remedy: `Feed the module from a source that delivers its peak (2 A for 2G), look at the voltage at its pins while it starts, and at the power key and reset lines.`,
	Watch:  watch,
}

const (
	near  = 2 * time.Minute  // restarts further apart are not one loop; our estimate
	blame = 10 * time.Second // see the rule restartload
	times = 2
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var sent when.Instant = -when.Never // when the radio was last told to send
	var first, last witness.Restart
	count, said := 0, false
	p.OnAsked(func(x *dialogue.Exchange) {
		for i := range x.Parsed.Commands {
			if rulebook.Transmits(&x.Parsed.Commands[i]) {
				sent = x.AskedAt
			}
		}
	})
	p.OnTexted(func(x *dialogue.Exchange) { sent = x.Text.At })
	p.OnRestart(func(r witness.Restart) {
		if r.Asked || sent > -when.Never && r.At.Sub(sent) <= blame {
			count = 0
			return
		}
		if count == 0 || r.At.Sub(last.At) > near {
			first, count, said = r, 0, false
		}
		count++
		last = r
		if count < times || said {
			return
		}
		said = true
		p.Report(fmt.Sprintf("the module restarted by itself %d times within %s (%s), and nothing had told its radio to send", count, rulebook.Span(r.At.Sub(first.At)), r.Why),
			p.See(r.Line, r.Why), p.See(first.Line, "the first time"))
	})
}
