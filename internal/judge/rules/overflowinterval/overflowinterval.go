// Package overflowinterval reports an interval at which a counter of a small controller overflows.
package overflowinterval

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "overflowinterval",
	Title:    "something happens each time a small counter overflows",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (2^15 and 2^16 ms are 32.768 and 65.536 s)"},
	Doc: `
Texts leave, or the set-up runs, every 32.768 or 65.536 seconds, though nobody wrote such a number: a count of milliseconds in sixteen bits turns
over there. Written as 60*1000 in a language whose numbers have sixteen bits it is already negative, and the interval is over in every turn of the
loop. In 32 bits it happens after 24.8 or 49.7 days.`,
	Silent: `
Any other interval; fewer than three equal ones in a row. Times are not known.`,
	Remedy: `Keep times in unsigned 32-bit numbers, write constants with their width (60UL*1000UL), and compare now - last >= interval.`,
	Watch:  watch,
}

const (
	slack  = 40 * time.Millisecond
	enough = 3
)

// turns are where sixteen bits of milliseconds turn over.
var turns = []time.Duration{32768 * time.Millisecond, 65536 * time.Millisecond}

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	type rhythm struct {
		last, first dialogue.Line
		turn        time.Duration
		count       int
		said        bool
	}
	step := func(r *rhythm, l dialogue.Line, what string) {
		gap := l.Began.Sub(r.last.Began)
		before := r.last
		r.last = l
		if before.IsZero() {
			return
		}
		for _, t := range turns {
			if (gap - t).Abs() > slack {
				continue
			}
			if r.turn != t {
				r.turn, r.count, r.first = t, 0, before
			}
			if r.count++; r.count == enough && !r.said {
				r.said = true
				p.Report(fmt.Sprintf("%s %d times in a row every %.3f s, which is 2^%d ms", what, enough+1, t.Seconds(), 15+int(t/turns[1])), p.See(l, "again"), p.See(r.first, "the first of them"))
			}
			return
		}
		r.turn = 0
	}
	var texts, setups rhythm
	p.OnMessage(func(m *witness.Message) {
		if m.Out {
			step(&texts, m.Head, "a text leaves")
		}
	})
	p.OnAnew(func(a rulebook.Anew) {
		if !a.Noted {
			step(&setups, a.Line, "the set-up runs")
		}
	})
}
