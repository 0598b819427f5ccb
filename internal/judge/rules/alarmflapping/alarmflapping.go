// Package alarmflapping reports two alarms that take turns.
package alarmflapping

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
	Name:     "alarmflapping",
	Title:    "two messages take turns, as an alarm at its limit does",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (hysteresis)"},
	Doc: `
"Left the yard", "back in the yard", "left the yard": the trailer stands at the fence and its position wanders by some metres, so every fix is
on another side. The same happens with a voltage or a temperature at its limit. Two limits that lie apart by more than the wandering (95 % of
the fixes), or a minute of waiting, end it.`,
	Silent: `
Fewer than six texts in turn, or more than half an hour for them; texts that answer somebody.`,
	Remedy: `Give each alarm two limits that lie apart, ask for three fixes in a row beyond it, and cap alarms at some an hour.`,
	Watch:  watch,
}

const (
	turns  = 6
	within = 30 * time.Minute
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	type text struct {
		party, body string
		line        dialogue.Line
	}
	var last [turns]text // the newest at the end
	count := 0
	p.OnMessage(func(m *witness.Message) {
		if !m.Out {
			count = 0
			return
		}
		body := strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' || r == '.' || r == '-' {
				return -1
			}
			return r
		}, m.Body)
		copy(last[:], last[1:])
		last[turns-1] = text{m.Party, body, m.Line}
		if count++; count < turns || last[0].body == last[1].body || m.Line.Began.Sub(last[0].line.Began) > within {
			return
		}
		for i := 2; i < turns; i++ {
			if last[i].body != last[i-2].body || last[i].party != last[i-2].party {
				return
			}
		}
		p.Report(fmt.Sprintf("two texts took turns %d times within %s", turns, rulebook.Span(m.Line.Began.Sub(last[0].line.Began))), p.See(m.Line, "and so on"), p.See(last[0].line, "the first of them"), p.See(last[1].line, "its counterpart"))
		count = 0
	})
}
