package bringup

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
)

// Cause is something that could explain what was found.
//
// Its probability comes from a plain calculation, naive Bayes over single causes:
// the prior, times a likelihood for each symptom that could be read. Priors and
// likelihoods are our estimates, made from the trade's own ranking of causes per
// symptom; they are to be replaced by counts once there are cases to count. Two
// faults at once are outside this calculation: the stronger one leads.
type Cause struct {
	Name   string // never reused for another meaning
	Title  string // what is the matter, as part of a sentence
	Prior  float64
	Signs  []sign
	Rules  []*rulebook.Rule // findings of these rules speak for it where no sign does
	Remedy string
	Tests  []test // the first is the one to do when this cause leads
}

// sign is how often a symptom shows when the cause is true.
type sign struct {
	of *symptom
	p  float64
}

// test is how often a measurement comes out positive when the cause is true.
type test struct {
	of *measurement
	p  float64
}

// reading is what a symptom reads in a dialogue.
type reading uint8

const (
	silent reading = iota // the dialogue says nothing about it
	yes
	no
)

// symptom is one thing that facts can show.
type symptom struct {
	says  string  // when it is there
	not   string  // when it is not
	base  float64 // how often it shows when none of the listed causes is true
	reads func(f *Facts) reading
}

// measurement is one thing a person can do, with the share of positive outcomes
// when the cause is one that does not name it.
type measurement struct {
	verdict.Measurement
	base float64
}

const (
	// priorOther is the share of causes that are not in the list (our estimate).
	priorOther = 0.10
	// ruleWeight: a rule that fires is right about its cause most of the time (our estimate).
	ruleWeight, ruleBase = 0.90, 0.03
	// maxCauses are shown: more do not help a person decide.
	maxCauses = 5
	// leastShown is the least probability shown.
	leastShown = 0.02
	// clearLead is the probability at which the leading cause's own measurement is the next one.
	clearLead = 0.75
	// setUpMinutes is what any measurement costs before it begins.
	setUpMinutes = 1
)

// weighed is a cause with its weight while the causes are ranked.
type weighed struct {
	cause            *Cause
	weight           float64
	probability      float64
	because, against []string
}

// rank returns the causes that something speaks for, most probable first.
func (f *Facts) rank() []weighed {
	readings := map[*symptom]reading{}
	read := func(s *symptom) reading {
		r, ok := readings[s]
		if !ok {
			r = s.reads(f)
			readings[s] = r
		}
		return r
	}
	total := priorOther
	var found []weighed
	for _, c := range Causes {
		w := weighed{cause: c, weight: c.Prior}
		for _, s := range c.Signs {
			w.see(s, read(s.of))
		}
		if len(w.because) == 0 {
			w.hear(f)
		}
		if len(w.because) > 0 {
			found = append(found, w)
			total += w.weight
		}
	}
	for i := range found {
		found[i].probability = found[i].weight / total
	}
	slices.SortStableFunc(found, func(a, b weighed) int { return -cmp.Compare(a.probability, b.probability) })
	return found
}

// see takes in one reading. What moves the weight by less than a third is not told: it
// is no reason a person would give.
func (w *weighed) see(s sign, r reading) {
	factor, says := 1.0, ""
	switch r {
	case yes:
		factor, says = s.p/s.of.base, s.of.says
	case no:
		factor, says = (1-s.p)/(1-s.of.base), s.of.not
	}
	w.weight *= factor
	switch {
	case factor > 1.5 && r == yes:
		w.because = append(w.because, says)
	case factor < 0.67 && says != "":
		w.against = append(w.against, says)
	}
}

// hear takes in the findings of the cause's rules; the first that speaks is enough, for
// several rules may see the same thing.
func (w *weighed) hear(f *Facts) {
	for _, r := range w.cause.Rules {
		if x, ok := f.FoundBy(r); ok {
			w.weight *= ruleWeight / ruleBase
			w.because = append(w.because, x.Title+" (rule "+r.Name+")")
			return
		}
	}
}

// causes returns the ranking as data, and the next best measurement.
func (f *Facts) causes() ([]verdict.Cause, *verdict.Measurement) {
	ranked := f.rank()
	var out []verdict.Cause
	for _, w := range ranked {
		if len(out) >= maxCauses || w.probability < leastShown {
			break
		}
		c := verdict.Cause{
			Name: w.cause.Name, Title: w.cause.Title, Probability: math.Round(w.probability*100) / 100,
			Because: orEmpty(w.because), Against: orEmpty(w.against), Remedy: w.cause.Remedy,
		}
		if len(w.cause.Tests) > 0 {
			m := w.cause.Tests[0].of.Measurement
			c.Next = &m
		}
		out = append(out, c)
	}
	return out, nextBest(ranked)
}

func orEmpty(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

// nextBest returns the measurement that takes away most doubt per minute: the expected
// fall of the entropy over the causes, for a measurement with two outcomes.
func nextBest(ranked []weighed) *verdict.Measurement {
	if len(ranked) == 0 {
		return nil
	}
	if lead := ranked[0]; lead.probability >= clearLead && len(lead.cause.Tests) > 0 {
		m := lead.cause.Tests[0].of.Measurement
		return &m
	}
	var best *measurement
	bestGain := -1.0
	seen := map[*measurement]bool{}
	for _, w := range ranked {
		for _, t := range w.cause.Tests {
			if seen[t.of] {
				continue
			}
			seen[t.of] = true
			if gain := expectedGain(ranked, t.of) / float64(t.of.Minutes+setUpMinutes); gain > bestGain+1e-12 {
				best, bestGain = t.of, gain
			}
		}
	}
	if best == nil {
		return nil
	}
	m := best.Measurement
	return &m
}

// expectedGain is the expected information of a measurement, in bits.
func expectedGain(ranked []weighed, m *measurement) float64 {
	rest := 1.0 // what is left for causes that are not listed
	var before, positive float64
	chances := make([]float64, 0, len(ranked)+1)
	likely := make([]float64, 0, len(ranked)+1)
	for _, w := range ranked {
		p := m.base
		for _, t := range w.cause.Tests {
			if t.of == m {
				p = t.p
			}
		}
		chances, likely = append(chances, w.probability), append(likely, p)
		rest -= w.probability
	}
	chances, likely = append(chances, max(rest, 0)), append(likely, m.base)
	for i, c := range chances {
		before += entropy(c)
		positive += c * likely[i]
	}
	var after float64
	for i, c := range chances {
		if positive > 0 {
			after += positive * entropy(c*likely[i]/positive)
		}
		if positive < 1 {
			after += (1 - positive) * entropy(c*(1-likely[i])/(1-positive))
		}
	}
	return before - after
}

func entropy(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p * math.Log2(p)
}

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

func (c *Cause) String() string { return fmt.Sprintf("%s (%s)", c.Name, c.Title) }
