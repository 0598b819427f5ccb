package rulebook

import (
	"cmp"
	"slices"
	"strings"

	"firstfix/internal/judge/finding"
)

// Reported is a finding that its rule may take back.
type Reported struct {
	pass    *Pass
	finding finding.Finding
	dropped bool // it was only counted
	gone    bool
}

// Withdraw takes the finding back: later records disproved it. It leaves no trace in the
// findings; whoever watches a dialogue as it goes on is told. Twice is as good as once.
func (r *Reported) Withdraw() {
	if r.gone {
		return
	}
	r.gone = true
	p := r.pass
	if r.dropped {
		p.dropped = max(p.dropped-1, 0)
		return
	}
	if i := slices.Index(p.found, r); i >= 0 {
		p.found = slices.Delete(p.found, i, i+1)
	}
}

// ending is what a pass wants to do when the dialogue is over.
type ending struct {
	pass *Pass
	do   func()
	last bool // not before it is
}

// Findings returns what was found so far, the gravest first and then in the order of the dialogue.
func (j *Judge) Findings() []finding.Finding {
	all := j.collect()
	slices.SortStableFunc(all, func(a, b finding.Finding) int {
		return cmp.Or(
			-cmp.Compare(a.Severity, b.Severity),
			cmp.Compare(a.Evidence[0].Record, b.Evidence[0].Record),
			strings.Compare(a.Rule, b.Rule),
		)
	})
	return all
}

// collect returns the findings in the order of the rules.
func (j *Judge) collect() []finding.Finding {
	var all []finding.Finding
	for _, p := range j.passes {
		n := len(all)
		for _, r := range p.found {
			all = append(all, r.finding)
		}
		if p.dropped > 0 && len(all) > n {
			all[len(all)-1].More = p.dropped
		}
	}
	return all
}

// SoFar returns what would be found beside [Judge.Findings] if the dialogue were over now:
// what never came, what lasts too long. Later records may disprove it. except names rules
// that cannot be asked before the end, because asking changes what they know.
func (j *Judge) SoFar(except func(r *Rule) bool) []finding.Finding {
	var all []finding.Finding
	for _, e := range j.end {
		p := e.pass
		if e.last || except(p.rule) {
			continue
		}
		found, dropped, quotes := len(p.found), p.dropped, p.quotes
		limit := j.options.PlacesPerRule
		j.options.PlacesPerRule = 0 // what would come at the end is asked for, whatever was found before
		e.do()
		j.options.PlacesPerRule = limit
		found = min(found, len(p.found))
		for _, r := range p.found[found:] {
			all = append(all, r.finding)
		}
		clear(p.found[found:])
		p.found, p.dropped, p.quotes = p.found[:found], dropped, quotes
	}
	return all
}
