// Package slowing reports answers that come later and later.
package slowing

import (
	"fmt"
	"slices"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "slowing",
	Title:    "simple commands are answered more and more slowly",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (ten times as long, and half a second)", "V.250, 5.7 (results)"},
	Doc: `
A plain question takes a module some ten milliseconds, today and next month. When the same question takes half a second, the
module is busy with something else: a store that fills, memory that runs out, a line that is nearly full, a search for a
network. It is the only warning before it stops answering.`,
	Silent: `
Fewer than thirty answers to the question; the slow ones are under half a second, or less than ten times the first ones.
Commands that ask the network, the card or the store. Times are not known.`,
	Remedy: `Note free memory, used store and registration with each report, restart the module in order once a day, and find what grows.`,
	Watch:  watch,
}

const (
	group  = 10 // answers compared: the first ten against any ten in a row
	least  = 3 * group
	slow   = 500 * time.Millisecond
	factor = 10
	kinds  = 4 // different questions watched
)

// plain are questions that a module answers by itself.
var plain = []string{"+CSQ", "+CBC", "+CCLK", "+CFUN", "+CMEE", "+CGSN"}

type times struct {
	name   string
	count  int
	first  [group]time.Duration
	last   [group]time.Duration
	median time.Duration // of the first
	said   bool
	early  *dialogue.Exchange
}

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var known [kinds]times
	p.OnAnswered(func(x *dialogue.Exchange) {
		if len(x.Parsed.Commands) > 1 || x.Outcome != dialogue.Finished || x.Pending > 0 {
			return
		}
		name := "AT"
		if len(x.Parsed.Commands) == 1 {
			if name = x.Parsed.Commands[0].Name; !slices.Contains(plain, name) || x.Parsed.Commands[0].Form == at.Set {
				return
			}
		}
		i := slices.IndexFunc(known[:], func(t times) bool { return t.name == name || t.name == "" })
		if i < 0 {
			return
		}
		t := &known[i]
		t.name = name
		took := x.DoneAt.Sub(x.AskedAt)
		if t.count < group {
			t.first[t.count] = took
			t.early = x
		}
		t.last[t.count%group] = took
		t.count++
		if t.count == group {
			t.median = median(t.first)
		}
		if t.said || t.count < least || took < slow || took < factor*t.median {
			return
		}
		if now := median(t.last); now >= slow && now >= factor*t.median {
			t.said = true
			p.Report(fmt.Sprintf("%s takes %s now and took %s at first", rulebook.LineName(x), rulebook.Span(now), rulebook.Span(t.median)), p.See(x.Command, "asked"), p.See(x.Final, "answered "+rulebook.Span(took)+" later"), p.See(t.early.Final, "it was quick before"))
		}
	})
}

func median(t [group]time.Duration) time.Duration {
	slices.Sort(t[:])
	return t[group/2]
}
