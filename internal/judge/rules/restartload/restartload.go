// Package restartload reports a module that starts anew when its radio sends.
package restartload

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "restartload",
	Title:    "module restarts while its radio sends",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 45.002, 4.3 (slot 577 µs, frame 4.615 ms; from memory)", "common practice, no source (10 s)"},
	Doc: `
A 2G radio sends in bursts: about 2 A for 577 µs, every 4.6 ms. If the source, the leads or a
missing capacitor let the voltage at the module's pins fall below its minimum for that moment,
the module starts anew. A multimeter shows nothing, for the average is small. What shows it: the
ready report in the middle of the dialogue, echo back on, settings back at their defaults, each
time within seconds of a command that makes the radio send. Weak signal makes it worse, for the
radio then uses its full power.`,
	Silent: `
The controller asked for the restart, or the recording begins with it; or nothing that makes the
radio send was asked in the 10 s before. Without times, only a restart in the middle of the
sending command itself counts.`,
	Remedy: `Give the module a source that delivers the peak (2 A for 2G), short thick leads and a low-ESR capacitor at its pins, then compare restarts with the radio off (AT+CFUN=4) and on.`,
	Watch:  watch,
}

// window is how long after a sending command a restart is blamed on it. Common
// practice, no source.
const window = 10 * time.Second

func watch(p *rulebook.Pass) {
	var sender *dialogue.Exchange // the last line that makes the radio send
	var name string
	sentAt := func() when.Instant {
		if !sender.Text.IsZero() {
			return sender.Text.At // a message leaves when its text is complete
		}
		return sender.AskedAt
	}
	count := 0
	p.OnAsked(func(x *dialogue.Exchange) {
		for i := range x.Parsed.Commands {
			if c := &x.Parsed.Commands[i]; rulebook.Transmits(c) {
				sender, name = x, rulebook.Name(c)
			}
		}
	})
	p.OnRestart(func(r witness.Restart) {
		if r.Asked || sender == nil {
			return
		}
		x := sender
		evidence := p.See(r.Line, r.Why)
		asked := p.See(x.Command, "the radio sends for this")
		switch {
		case !p.TimesKnown():
			if x.Result.Kind != at.NoResult || r.After == nil || r.After.Number > x.Number+1 {
				return
			}
			count++
			p.Report(fmt.Sprintf("the module restarted during %s (%s)", name, r.Why), evidence, asked)
		case r.At.Sub(sentAt()) >= 0 && r.At.Sub(sentAt()) <= window:
			count++
			message := fmt.Sprintf("the module restarted %s after %s (%s)", rulebook.Span(r.At.Sub(sentAt())), name, r.Why)
			if s, ok := p.Known().Signal(); ok {
				if dBm, ok := s.DBm(); ok {
					message += fmt.Sprintf(", signal %d dBm", dBm)
				}
			}
			if count > 1 {
				message += fmt.Sprintf("; it is restart number %d of this kind", count)
			}
			p.Report(message, evidence, asked)
		}
		sender = nil
	})
}
