// Package reportrate reports positions sent by text so often that it costs real money.
package reportrate

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
	Name:     "reportrate",
	Title:    "texts at a rate that costs real money",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (200 texts a day)", "GSMA TS.34 (devices limit what they send)"},
	Doc: `
A text every 20 seconds is three a minute, 4,320 a day, 129,600 in thirty days, and each is paid for, or
ends the plan, or gets the card barred. Frequent positions belong into a data session; texts are for events
and for rare signs of life. Whatever sends must have a daily limit in memory that survives a restart.`,
	Silent: `
Fewer than five texts to one number at even intervals; answers to texts that came in; a rate under 200 a
day. Times are not known.`,
	Remedy: `Report by text on events and a few times a day, send tracks over a data session, and keep a hard daily limit.`,
	Watch:  watch,
}

const (
	perDay   = 200 // our estimate: more than any text plan is meant for
	row      = 5   // texts that make a rhythm
	uneven   = 2   // the longest interval may be this many times the shortest
	asked    = 60 * time.Second
	maxParty = 16 // numbers watched; a tracker texts a handful
)

type rhythm struct {
	party string
	lines [row]dialogue.Line // the last ones, oldest first
	count int
	said  bool
}

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var parties []*rhythm
	var question when.Instant = -when.Never // when the last text came in
	p.OnMessage(func(m *witness.Message) {
		if !m.Out {
			question = m.Line.At
			return
		}
		if m.Line.Began.Sub(question) <= asked && question > -when.Never {
			return
		}
		r := find(&parties, m.Party)
		if r == nil || r.said {
			return
		}
		copy(r.lines[:], r.lines[1:])
		r.lines[row-1] = m.Line
		r.count++
		if r.count < row {
			return
		}
		span := m.Line.Began.Sub(r.lines[0].Began)
		each := span / (row - 1)
		if each <= 0 || !even(r.lines[:]) || int(24*time.Hour/each) < perDay {
			return
		}
		r.said = true
		n := int((24*time.Hour + each/2) / each)
		p.Report(fmt.Sprintf("%d texts to one number in %s, one every %s: %s a day, %s in 30 days", row, rulebook.Span(span), rulebook.Span(each), rulebook.Count(n), rulebook.Count(30*n)),
			p.See(m.Line, "the last of them"), p.See(r.lines[0], "the first of them"))
	})
}

func find(parties *[]*rhythm, party string) *rhythm {
	for _, r := range *parties {
		if r.party == party {
			return r
		}
	}
	if len(*parties) == maxParty {
		return nil
	}
	r := &rhythm{party: party}
	*parties = append(*parties, r)
	return r
}

func even(lines []dialogue.Line) bool {
	shortest, longest := time.Duration(when.Never), time.Duration(0)
	for i := 1; i < len(lines); i++ {
		gap := lines[i].Began.Sub(lines[i-1].Began)
		shortest, longest = min(shortest, gap), max(longest, gap)
	}
	return longest <= uneven*shortest
}
