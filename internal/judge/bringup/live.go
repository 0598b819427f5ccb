package bringup

import (
	"slices"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules/antennareport"
	"firstfix/internal/judge/rules/bareerror"
	"firstfix/internal/judge/rules/cardmissing"
	"firstfix/internal/judge/rules/contentlength"
	"firstfix/internal/judge/rules/denied"
	"firstfix/internal/judge/rules/fixedwait"
	"firstfix/internal/judge/rules/heardnotused"
	"firstfix/internal/judge/rules/noheard"
	"firstfix/internal/judge/rules/noiseontransmit"
	"firstfix/internal/judge/rules/partsmissing"
	"firstfix/internal/judge/rules/servicecentre"
	"firstfix/internal/judge/rules/sharedradio"
)

// Change is one thing that a review of a dialogue which goes on has to say.
type Change struct {
	Finding   finding.Finding
	Withdrawn bool // it was told, and later records have disproved it
	// SoFar: it speaks of what has not come, or lasts too long. Later records may disprove it.
	SoFar bool
}

// News returns what was found since it was last asked, and what was told before and does
// not hold any more. Each finding is told once. Ask as often as you like: after every record, or
// every second; after End it says what became of the last ones.
func (r *Reviewer) News() []Change {
	standing := r.judge.Findings()
	var soFar []finding.Finding
	if !r.ended {
		soFar = r.judge.SoFar(onceOnly)
	}
	var news []Change
	// What was told of a rule's so far, and is reported now, is no news; nor is its new wording.
	for i := range standing {
		x := &standing[i]
		if r.tells(x) {
			continue
		}
		if !r.settles(x.Rule) {
			news = append(news, Change{Finding: *x})
		}
		r.told = append(r.told, reportedOnce{rule: x.Rule, record: x.Evidence[0].Record, finding: *x})
	}
	for i := range soFar {
		x := &soFar[i]
		if slices.ContainsFunc(r.told, func(t reportedOnce) bool { return t.rule == x.Rule }) {
			continue // so much was told already
		}
		news = append(news, Change{Finding: *x, SoFar: true})
		r.told = append(r.told, reportedOnce{rule: x.Rule, soFar: true, finding: *x})
	}
	r.told = slices.DeleteFunc(r.told, func(t reportedOnce) bool {
		holds := slices.ContainsFunc(standing, func(x finding.Finding) bool { return t.is(&x) })
		if t.soFar {
			holds = slices.ContainsFunc(soFar, func(x finding.Finding) bool { return x.Rule == t.rule })
		}
		if !holds {
			news = append(news, Change{Finding: t.finding, Withdrawn: true, SoFar: t.soFar})
		}
		return !holds
	})
	return news
}

// reportedOnce is a finding that was told. It is bounded by the places that are kept per rule.
type reportedOnce struct {
	rule    string
	record  int
	soFar   bool
	finding finding.Finding
}

func (t *reportedOnce) is(x *finding.Finding) bool {
	return !t.soFar && t.rule == x.Rule && t.record == x.Evidence[0].Record
}

// tells says that a finding was told.
func (r *Reviewer) tells(x *finding.Finding) bool {
	return slices.ContainsFunc(r.told, func(t reportedOnce) bool { return t.is(x) })
}

// settles turns what was told of a rule so far into a finding that stands; false when
// nothing was.
func (r *Reviewer) settles(rule string) bool {
	i := slices.IndexFunc(r.told, func(t reportedOnce) bool { return t.soFar && t.rule == rule })
	if i >= 0 {
		r.told = slices.Delete(r.told, i, i+1)
	}
	return i >= 0
}

// askedOnce are rules that change what they know when they are asked for the end, so that
// they are not asked before it; a test finds them. They report when they are sure.
var askedOnce = []*rulebook.Rule{
	antennareport.Rule,
	bareerror.Rule,
	cardmissing.Rule,
	contentlength.Rule,
	denied.Rule,
	fixedwait.Rule,
	heardnotused.Rule,
	noheard.Rule,
	noiseontransmit.Rule,
	partsmissing.Rule,
	servicecentre.Rule,
	sharedradio.Rule,
}

func onceOnly(r *rulebook.Rule) bool { return slices.Contains(askedOnce, r) }
