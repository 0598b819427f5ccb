// Package linestall reports an answer that stands still in the middle of a line.
package linestall

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "linestall",
	Title:    "a line stops in its middle and goes on seconds later",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 6.2.12 (+IFC)", "common practice, no source (a handshake line left open)"},
	Doc: `
A line of an answer begins, stops at any byte, and goes on seconds later or when somebody touches the wires: the module
waits for leave to send. Its CTS or DTR input is open and picks up whatever is near, or the controller stopped it with
RTS or XOFF and forgot to go on. Unlike in a buffer that is too small, no byte is lost.`,
	Silent: `
A pause shorter than three seconds beyond what the line's length needs at 1200 bit/s: reading a store takes time, but
between lines. A command was sent in the pause: then the line was cut, and the next answer's line end closes it.`,
	Remedy: `Tie the module's RTS input to the level that means "go on", or wire both lines and set AT+IFC=2,2; without wires set AT+IFC=0,0 and store it.`,
	Watch:  watch,
}

const (
	stall   = 3 * time.Second
	slowest = 1200 / 10 // bytes a second
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	count := 0
	var asked when.Instant
	p.OnAsked(func(x *dialogue.Exchange) { asked = x.AskedAt })
	look := func(l dialogue.Line) {
		took := l.At.Sub(l.Began)
		if took < stall || asked > l.Began || l.From != capture.Module || took-time.Duration(len(l.Text))*time.Second/slowest < stall {
			return
		}
		if count++; count == 1 {
			p.Report(fmt.Sprintf("a line of %d bytes took %s", len(l.Text), rulebook.Span(took)), p.See(l, "stood still in its middle"))
		}
	}
	p.OnAnswered(func(x *dialogue.Exchange) {
		for _, l := range x.Info {
			look(l)
		}
		look(x.Final)
	})
	p.OnUnsolicited(func(l, body dialogue.Line, _ at.Answer) {
		look(l)
		look(body)
	})
	p.OnSentence(func(l dialogue.Line, _ *nmea.Sentence) { look(l) })
}
