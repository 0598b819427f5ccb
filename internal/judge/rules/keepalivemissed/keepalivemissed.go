// Package keepalivemissed reports a message-queue connection that its server closes for silence.
package keepalivemissed

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "keepalivemissed",
	Title:    "the server closes the connection because nothing was said",
	Severity: finding.Warning,
	Cites:    []string{"MQTT 3.1.1, 3.1.2.10 (keep alive; the server closes after one and a half times)"},
	Doc: `
When it connects, the device promises to say something at least every so many seconds: a report, or a ping of two bytes. After one and a half times that
the server closes the connection, as the standard demands. A device that sleeps longer, or whose program is busy elsewhere, loses the connection in this
way each time, and the log shows a NO CARRIER out of nothing.`,
	Silent: `
The connection ended at another time; a keep alive of 0, which promises nothing; data that does not begin with such a connect.`,
	Remedy: `Choose a keep alive that is longer than the longest silence, or send a ping well within it, from a timer of its own.`,
	Watch:  watch,
}

const (
	share  = 1.5 // of the keep alive, by the standard
	before = 1.4
	slack  = 10 * time.Second
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var connect, last dialogue.Line
	var alive time.Duration
	p.OnData(func(l dialogue.Line) {
		if l.From != capture.Controller {
			return
		}
		if n, ok := keepAlive(l.Text); ok {
			connect, alive = l, n
		}
		last = l
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Result.Kind == at.Connect || x.Outcome == dialogue.Finished {
			connect = dialogue.Line{}
		}
	})
	p.OnUnsolicited(func(l, _ dialogue.Line, _ at.Answer) {
		r, ok := at.ParseResult(l.Text)
		if connect.IsZero() || alive == 0 || !ok || r.Kind != at.NoCarrier {
			return
		}
		silence := l.Began.Sub(last.At)
		if silence >= time.Duration(before*float64(alive)) && silence <= time.Duration(share*float64(alive))+slack {
			p.Report(fmt.Sprintf("the connection ended after %s of silence; %s had been promised", rulebook.Span(silence), rulebook.Span(alive)), p.See(l, "closed by the server"), p.See(connect, "the promise"), p.See(last, "the last that was sent"))
		}
		connect = dialogue.Line{}
	})
}

// keepAlive reads the keep alive of a CONNECT packet, MQTT 3.1.1, 3.1.
func keepAlive(t string) (time.Duration, bool) {
	if len(t) < 2 || t[0] != 0x10 {
		return 0, false
	}
	i := 1
	for i < len(t) && i < 5 && t[i]&0x80 != 0 { // remaining length, seven bits a byte
		i++
	}
	i++
	const name = "\x00\x04MQTT"
	if len(t) < i+len(name)+4 || t[i:i+len(name)] != name {
		return 0, false
	}
	i += len(name) + 2 // level and flags
	return time.Duration(int(t[i])<<8|int(t[i+1])) * time.Second, true
}
