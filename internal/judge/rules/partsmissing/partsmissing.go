// Package partsmissing reports long texts of which parts never arrived.
package partsmissing

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "partsmissing",
	Title:    "parts of a long text never arrived",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.24.1 (parts of long messages)", "common practice, no source (five minutes)"},
	Doc: `
A long text travels in parts, each a message of its own with its number, in any order and sometimes late. Here some parts came and others
did not within five minutes. A program that acts on each part by itself acts on half a sentence; one that waits for ever holds its memory.`,
	Silent: `
All parts came, in whatever order; the recording ended less than five minutes after the last one.`,
	Remedy: `Gather parts by sender, reference and number, act only when all are there, and give up after some minutes with an answer to the sender.`,
	Watch:  watch,
}

const wait = 5 * time.Minute

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	parts := sms.NewReassembler(wait)
	var done []sms.Joined
	var last dialogue.Line // the last part that came
	var now when.Instant
	tell := func() {
		for _, j := range done {
			if !j.Complete() && !last.IsZero() {
				p.Report(fmt.Sprintf("%d of %d parts of a long text never arrived within %s", len(j.Missing), j.Total, rulebook.Span(wait)), p.See(last, "the last part that came"))
			}
		}
		done = done[:0]
	}
	p.OnMessage(func(m *witness.Message) {
		if m.Out || !m.PDU {
			return
		}
		now = m.Line.At
		done = parts.Tick(now, done)
		tell()
		pdu, err := sms.Decode(m.Raw, sms.FromNetwork)
		if err != nil {
			return
		}
		if _, ok := pdu.Data.Header.Concat(); ok {
			last = m.Line
			done = parts.Feed(now, pdu, done)
			tell()
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) { now = max(now, x.DoneAt) })
	p.OnEnd(func() {
		done = parts.Tick(now, done)
		tell()
	})
}
