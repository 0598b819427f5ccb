package bringup

import (
	"fmt"
	"slices"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
)

// Cause is something that could explain what was found: one row of the knowledge
// that the ranking works with. Priors and likelihoods are our estimates, made from the
// trade's own ranking of causes per symptom; they are to be replaced by counts once
// there are cases to count. How they are put together stands in infer.go.
type Cause struct {
	Name  string  // never reused for another meaning
	Title string  // what is the matter, as part of a sentence
	Prior float64 // how often it is met, compared with the others
	Signs []sign
	// Besides are things that the cause also brings about and that many others do too:
	// they count once one of the signs is seen, and do not bring the cause up by themselves.
	Besides []sign
	Remedy  string
	Tests   []test // the first is the one to do when this cause leads
}

// sign is how often a symptom shows when the cause is true and no other is.
type sign struct {
	of *symptom
	p  float64
}

// reading is what a symptom reads in a dialogue.
type reading uint8

const (
	silent reading = iota // the dialogue says nothing about it
	yes
	no
)

// symptom is one thing that facts can show, or that a rule finds. Rules and facts that see
// the same thing are one symptom, or it would count twice.
type symptom struct {
	says  string  // when it is there; "" takes the rule's own title
	not   string  // when it is not
	base  float64 // how often it shows when none of the listed causes is true
	reads func(f *Facts) reading
	rules []*rulebook.Rule // a finding of any of them reads yes
	// beside is a symptom that says the same and more: where it shows, this one is silent.
	beside *symptom
}

// found is a symptom that only rules see. That they found nothing says nothing.
func found(base float64, says string, rules ...*rulebook.Rule) *symptom {
	return &symptom{says: says, base: base, rules: rules}
}

// unless makes a symptom silent where another one shows that says the same and more.
func (s symptom) unless(other *symptom) *symptom {
	s.beside = other
	return &s
}

// or adds rules that see the same as the facts.
func (s symptom) or(rules ...*rulebook.Rule) *symptom {
	s.rules = append(slices.Clone(s.rules), rules...)
	return &s
}

// read says what a symptom reads, and in which words.
func (f *Facts) read(s *symptom) (r reading, says string) {
	if s.beside != nil {
		if r, _ := f.read(s.beside); r == yes {
			return silent, ""
		}
	}
	if s.reads != nil {
		r = s.reads(f)
	}
	switch r {
	case yes:
		return yes, s.says
	case no:
		says = s.not
	}
	for _, rule := range s.rules {
		if x, ok := f.FoundBy(rule); ok {
			if s.says != "" {
				return yes, s.says + " (rule " + rule.Name + ")"
			}
			return yes, x.Title + " (rule " + rule.Name + ")"
		}
	}
	return r, says
}

// test is how often each answer of a measurement comes when the cause is true.
type test struct {
	of *measurement
	p  []float64 // by answer; the last one has what is left of 1
}

// gives says how often the answers of a measurement come for a cause, in their order; what
// is left of 1 goes to the last.
func (m *measurement) gives(p ...float64) test {
	left := 1.0
	for _, one := range p {
		left -= one
	}
	if len(p) == len(m.answers)-1 {
		p = append(p, left)
	}
	return test{m, p}
}

// of returns how often an answer comes for a cause, and whether the cause names the measurement.
func (c *Cause) gives(m *measurement, answer int) (p float64, named bool) {
	for i := range c.Tests {
		if c.Tests[i].of == m {
			return c.Tests[i].p[answer], true
		}
	}
	return 0, false
}

// shows returns how often a symptom shows for a cause, and whether the cause names it.
func (c *Cause) shows(s *symptom) (p float64, named bool) {
	for i := range c.Signs {
		if c.Signs[i].of == s {
			return c.Signs[i].p, true
		}
	}
	for i := range c.Besides {
		if c.Besides[i].of == s {
			return c.Besides[i].p, true
		}
	}
	return 0, false
}

// tells says that the item is one that brings the cause up: a sign of it, or an answer.
func (c *Cause) tells(it *item) bool {
	return it.asked != nil || slices.ContainsFunc(c.Signs, func(s sign) bool { return s.of == it.symptom })
}

// Rules are the rules whose findings speak for the cause.
func (c *Cause) Rules() []*rulebook.Rule {
	var all []*rulebook.Rule
	for _, s := range c.Signs {
		if s.p <= s.of.base {
			continue
		}
		for _, r := range s.of.rules {
			if !slices.Contains(all, r) {
				all = append(all, r)
			}
		}
	}
	return all
}

func (c *Cause) String() string { return fmt.Sprintf("%s (%s)", c.Name, c.Title) }

// SomethingElse is the name under which the ranking says that nothing in the list fits.
const SomethingElse = "something-else"

const (
	somethingElseTitle  = "something that is not in the list of causes"
	somethingElseRemedy = "Keep the recording; compare it with one of a unit that works (review --against), and change one thing at a time."
)

// Wording puts a probability into a word. The borders are those at which people use
// these words; they are our choice.
func Wording(p float64) string {
	switch {
	case p >= 0.9:
		return "almost certainly"
	case p >= 0.6:
		return "probably"
	case p >= 0.25:
		return "perhaps"
	}
	return "unlikely"
}

func orEmpty(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

// asMeasurement is a measurement as a report has it.
func (m *measurement) asMeasurement() *verdict.Measurement {
	out := m.Measurement
	return &out
}
