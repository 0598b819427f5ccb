// Package latetext reports a text that is obeyed long after it was sent.
package latetext

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "latetext",
	Title:    "a text is obeyed long after it was sent",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.11 (service-centre time stamp), 9.2.3.12 (validity period)", "common practice, no source (ten minutes)"},
	Doc: `
The service centre keeps a text for a device that is out of reach, for a day by default, and delivers it when the device is back. "OPEN" sent
in the morning opens the barn at night. Every text carries the time at which the centre took it; compare it with the clock before acting,
and send commands with a short validity (AT+CSMP=17,11,0,0 is one hour).`,
	Silent: `
The text is younger than ten minutes, or was not acted on within a minute; no clock is known that can be trusted: the receiver's,
or +CCLK or the recording's own where an earlier text fitted it, which proves its zone.`,
	Remedy: `Refuse texts older than ten minutes by their stamp (answer "too late"), and send commands with a validity of an hour or less.`,
	Watch:  watch,
}

const (
	late    = 10 * time.Minute
	tooLate = 30 * 24 * time.Hour // no centre keeps a text so long: a clock is wrong then
	answers = 60 * time.Second    // see the rule textloop
	fresh   = 3 * time.Minute     // a text is seldom longer on its way
)

func watch(p *rulebook.Pass) {
	clock := p.WatchClock()
	proved := map[string]bool{"the receiver": true} // clocks that fitted a fresh text: their zone is right
	var in *witness.Message
	var age time.Duration
	var by string
	p.OnMessage(func(m *witness.Message) {
		if !m.Out {
			in = nil
			stamp, ok := m.Stamp.Get()
			now, clockOf, known := clock.At(m.Line.Began)
			if !ok || !known || m.Party == "" {
				return
			}
			age = now.Sub(stamp)
			proved[clockOf] = proved[clockOf] || age.Abs() <= fresh
			if age >= late && age <= tooLate && proved[clockOf] {
				in, by = m, clockOf
			}
			return
		}
		text := in
		in = nil
		if text == nil || !sms.SameNumber(text.Party, m.Party) || m.Line.Began.Sub(text.Line.At) > answers {
			return
		}
		p.Report(fmt.Sprintf("a text was answered %s after it was sent (by the clock of %s)", rulebook.Span(age.Round(time.Second)), by), p.See(text.Head, "its stamp"), p.See(m.Head, "answered"))
	})
}
