// Package bringup walks the chain: supply, line, module, card, network,
// messages, sky, fix, report. It says which link holds, which does not, what
// could be the cause and what to measure next.
//
// # What it promises
//
// The same verdicts judge a live line, the stand-in and a recording that
// already holds the answers: they look at [Facts], never at who asked. A link
// that was not reached says so; a link nobody asked about is not shown. Every
// weight of a cause is our estimate and stands beside the cause.
//
// # What it leaves to others
//
// It opens no line: [Walker] is a machine, bytes and time in, bytes out. What a
// single dialogue does wrong is found by judge/rules, handed in as a list.
//
// # Where to start
//
// Read [Check], then check_simcard.go; for a recording [Review], for a line [Walker].
package bringup

import (
	"slices"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/script/procedure"
)

// The links of the chain, in order.
const (
	Supply   = "supply"
	Line     = "line"
	Module   = "module"
	Card     = "card"
	Network  = "network"
	Messages = "messages"
	Sky      = "sky"
	Fix      = "fix"
	Report   = "report"
)

// Check is one link: how to ask about it, and what the answers mean. Asking and
// judging are apart, so that a recording is judged without asking.
type Check struct {
	Link  string
	Title string
	// Needs are links without which this one cannot be tried: when one is broken,
	// this one is not reached.
	Needs []string
	// After are links that must have been asked before, and not be broken, for the
	// questions to make sense; without them the link is just not shown.
	After []string
	// Ask returns the next questions; nil when there are none left. It is called
	// again after each procedure.
	Ask func(q *Questions) *procedure.Procedure
	// Verdict says how the link stands by what is known.
	Verdict func(f *Facts) Judgement
	// Rules are those whose findings spoil a link that otherwise holds.
	Rules []*rulebook.Rule
}

// Judgement is how one link stands.
type Judgement struct {
	State    verdict.State
	Says     string // one sentence without a full stop, with the figures
	Evidence []finding.Evidence
	Passable bool     // broken as it is, but the walk found a way round: the links behind it can be tried
	Quotes   []string // texts of messages that Says quotes with strconv.Quote, so that reports can hide them
}

func notShown(says string) Judgement { return Judgement{State: verdict.NotShown, Says: says} }

// is makes a judgement with lines to show for it; lines never seen are left out.
func (f *Facts) is(state verdict.State, says string, show ...show) Judgement {
	j := Judgement{State: state, Says: says}
	for _, s := range show {
		if !s.line.IsZero() {
			j.Evidence = append(j.Evidence, f.See(s.line, s.note))
		}
	}
	return j
}

// Chain judges every link. With a walk, links that were not reached say so.
func (f *Facts) Chain() []verdict.Link {
	links := make([]verdict.Link, 0, len(Checks))
	for _, c := range Checks {
		j := f.uncertain(c.Link, f.spoilt(c, c.Verdict(f)))
		if f.Walk != nil && (j.State == verdict.NotShown || j.State == verdict.Weak) && !f.Walk.Asked[c.Link] {
			if broken, ok := f.Walk.NotReached[c.Link]; ok {
				j = Judgement{State: verdict.NotReached, Says: broken + " comes before it and is broken"}
			}
		}
		if j.Evidence == nil {
			j.Evidence = []finding.Evidence{}
		}
		links = append(links, verdict.Link{Name: c.Link, Title: c.Title, State: j.State, Says: j.Says, Evidence: j.Evidence, Quotes: j.Quotes})
	}
	return links
}

// spoilt lets the findings of a link's rules speak where its own facts see nothing wrong.
func (f *Facts) spoilt(c *Check, j Judgement) Judgement {
	if j.State == verdict.Broken || j.State == verdict.Weak {
		return j
	}
	for _, r := range c.Rules {
		if x, ok := f.FoundBy(r); ok && x.Severity >= finding.Warning {
			return Judgement{State: verdict.Weak, Says: x.Title + ": " + x.Message, Evidence: x.Evidence[:min(len(x.Evidence), 3)]}
		}
	}
	return j
}

// checkOf finds the check of a link. The list holds each link once; a test says so.
func checkOf(link string) *Check {
	i := slices.IndexFunc(Checks, func(c *Check) bool { return c.Link == link })
	return Checks[i]
}
