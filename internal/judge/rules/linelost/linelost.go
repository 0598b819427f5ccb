// Package linelost reports a port that vanishes.
package linelost

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "linelost",
	Title:    "the port vanished",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (a USB port goes when its device restarts)"},
	Doc: `
The port itself went away. A module on USB takes its port with it when it restarts or when its supply dips; it comes back,
often under another number, and the program still holds the old one: it writes without an error and reads nothing. What
was said just before tells why: a restart that was asked for, or the radio that began to send.`,
	Silent: `
The recording shows no lost line. A line that ends with the recording, as when somebody pulls the plug. The port
was opened again before the next command, and nothing had been asked within ten seconds before it went.`,
	Remedy: `Open the port by the device's own name, close and open it again when it vanishes, and run the whole set-up again; if nobody asked for a restart, look at the supply.`,
	Watch:  watch,
}

const window = 10 * time.Second // see the rule restartload

func watch(p *rulebook.Pass) {
	var lost dialogue.Line
	var last *dialogue.Exchange // the last command before it
	count, said := 0, false
	p.OnAsked(func(x *dialogue.Exchange) {
		if !lost.IsZero() && !said {
			said = true
			message := "the port vanished"
			if last != nil {
				message += " after " + rulebook.LineName(last)
				if gap := lost.Began.Sub(last.AskedAt); p.TimesKnown() && gap <= window {
					message = fmt.Sprintf("the port vanished %s after %s", rulebook.Span(gap), rulebook.LineName(last))
				}
			}
			p.Report(message, p.See(lost, "vanished"), p.See(x.Command, "the program goes on"))
		}
		last = x
	})
	p.OnNoted(func(l dialogue.Line, note string) {
		switch {
		case note == "line-lost":
			if count++; count == 1 {
				lost = l
				lost.Text = note
			}
		case note == "line-found" && !said && (last == nil || !p.TimesKnown() || lost.Began.Sub(last.AskedAt) > window):
			lost, count = dialogue.Line{}, 0 // the program noticed
		}
	})
}
