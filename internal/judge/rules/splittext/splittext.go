// Package splittext reports one long text that came as two messages in text mode.
package splittext

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
	Name:     "splittext",
	Title:    "one long text came as several messages",
	Severity: finding.Note,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.24.1 (153 or 67 characters in each part)", "3GPP TS 27.005, 3.4.3 (text mode shows no part numbers)"},
	Doc: `
The sender wrote more than 160 characters. In text mode the parts come as messages that look like any other: the first has exactly 153
characters (67 in UCS-2) and ends in the middle of a word. A program that answers each of them answers twice, and to half a command.`,
	Silent: `
Other lengths; another sender; stamps more than five seconds apart. Messages in PDU mode, where the parts are numbered.`,
	Remedy: `Read messages in PDU mode where long ones matter, or keep commands short and ignore what is no known command.`,
	Watch:  watch,
}

const (
	near = 5 * time.Second
	gsm  = 153
	wide = 67
)

func watch(p *rulebook.Pass) {
	var before *witness.Message
	p.OnMessage(func(m *witness.Message) {
		was := before
		before = m
		if m.Out || was == nil || was.Out || m.PDU || was.PDU || m.Party != was.Party || m.Party == "" {
			return
		}
		a, ok1 := was.Stamp.Get()
		b, ok2 := m.Stamp.Get()
		if !ok1 || !ok2 || b.Sub(a).Abs() > near {
			return
		}
		n, units := sms.Measure(was.Body).Septets, len([]rune(was.Body))
		if n != gsm && units != wide {
			return
		}
		p.Report(fmt.Sprintf("two messages of one sender, stamped %s apart, the first with %d characters: one long text", rulebook.Span(b.Sub(a).Abs()), units), p.See(was.Head, "the first part"), p.See(m.Head, "its rest"))
	})
}
