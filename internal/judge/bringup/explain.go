package bringup

import (
	"cmp"
	"slices"

	"firstfix/internal/judge/verdict"
)

// Explanation is a cause in words and figures, for a person who wants to know why it
// ranks where it does.
type Explanation struct {
	Prior                 float64
	For, Besides, Against []SignText // the strongest first
	LookAlikes            []string   // names of causes that the same things speak for, the nearest first
	Tests                 []TestText
}

// SignText is one thing that can show, and how often it does.
type SignText struct {
	Says            string
	With, Otherwise float64
}

// TestText is one measurement, and how often each of its answers comes with the cause.
type TestText struct {
	verdict.Measurement
	With []float64
}

// Explain returns what the ranking knows of a cause.
func (c *Cause) Explain() Explanation {
	e := Explanation{Prior: c.Prior, LookAlikes: c.lookAlikes()}
	for _, s := range c.Signs {
		text := SignText{s.of.says, s.p, s.of.base}
		if s.p >= s.of.base {
			e.For = append(e.For, text)
		} else {
			e.Against = append(e.Against, text)
		}
	}
	for _, s := range c.Besides {
		e.Besides = append(e.Besides, SignText{s.of.says, s.p, s.of.base})
	}
	strongest := func(a, b SignText) int { return -cmp.Compare(a.With/a.Otherwise, b.With/b.Otherwise) }
	slices.SortStableFunc(e.For, strongest)
	slices.SortStableFunc(e.Besides, strongest)
	slices.SortStableFunc(e.Against, func(a, b SignText) int { return cmp.Compare(a.With/a.Otherwise, b.With/b.Otherwise) })
	for _, t := range c.Tests {
		e.Tests = append(e.Tests, TestText{t.of.Measurement, t.p})
	}
	return e
}

// maxLookAlikes are named: the farther ones look less alike.
const maxLookAlikes = 5

// lookAlikes are the causes that the same signs speak for.
func (c *Cause) lookAlikes() []string {
	type other struct {
		name   string
		shared float64
	}
	var all []other
	for _, o := range Causes {
		if o == c {
			continue
		}
		shared := 0.0
		for _, s := range c.Signs {
			if p, ok := o.shows(s.of); ok && s.p > s.of.base && p > speaks*s.of.base {
				shared += min(p, s.p) / s.of.base
			}
		}
		if shared > 0 {
			all = append(all, other{o.Name, shared})
		}
	}
	slices.SortStableFunc(all, func(a, b other) int { return -cmp.Compare(a.shared, b.shared) })
	var names []string
	for _, o := range all[:min(len(all), maxLookAlikes)] {
		names = append(names, o.name)
	}
	return names
}
