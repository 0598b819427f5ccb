package bringup

import (
	"math"
	"slices"
)

const (
	// clearLead is the probability at which the leading cause's own measurement is the next one.
	clearLead = 0.75
	// setUpMinutes is what any measurement costs before it begins.
	setUpMinutes = 1
)

// firstTest is the first measurement of a cause that nobody has made yet.
func (f *Facts) firstTest(c *Cause, skip []string) *measurement {
	for _, t := range c.Tests {
		if f.open(t.of, skip) {
			return t.of
		}
	}
	return nil
}

// open says that a measurement can still tell something: it was not made, the person does
// not want to skip it, and the dialogue does not tell it already.
func (f *Facts) open(m *measurement, skip []string) bool {
	if slices.Contains(skip, m.Name) || m.toldBy(f) {
		return false
	}
	return !slices.ContainsFunc(f.Saw, func(o Observation) bool { return o.Name == m.Name })
}

// nextBest returns the measurement that takes away most doubt per minute: the expected
// fall of the entropy over all hypotheses. It must be one that the leading cause speaks of,
// or it would look beside the point. With a clear lead it is that cause's own.
func (f *Facts) nextBest(r *ranking, skip []string) *measurement {
	lead := -1
	for i, w := range r.causes {
		if w.cause != nil && f.firstTest(w.cause, skip) != nil {
			lead = i
			break
		}
	}
	if lead < 0 {
		if len(r.causes) > 0 && f.open(compareGood, skip) {
			return compareGood
		}
		return nil
	}
	w := r.causes[lead]
	if w.probability >= clearLead {
		return f.firstTest(w.cause, skip)
	}
	var best *measurement
	bestGain := -1.0
	for _, t := range w.cause.Tests {
		if !f.open(t.of, skip) {
			continue
		}
		if gain := expectedGain(r.hypotheses, t.of) / float64(t.of.Minutes+setUpMinutes); gain > bestGain+1e-12 {
			best, bestGain = t.of, gain
		}
	}
	return best
}

// expectedGain is the expected information of a measurement, in bits.
func expectedGain(hypotheses []hypothesis, m *measurement) float64 {
	before := 0.0
	for _, h := range hypotheses {
		before += entropy(h.probability)
	}
	after := 0.0
	for answer := range m.answers {
		likely := make([]float64, len(hypotheses))
		total := 0.0
		for i, h := range hypotheses {
			likely[i] = h.probability * m.chance(h.causes, answer)
			total += likely[i]
		}
		if total <= 0 {
			continue
		}
		for _, l := range likely {
			after += total * entropy(l/total)
		}
	}
	return before - after
}

// chance is how likely an answer is under a hypothesis.
func (m *measurement) chance(causes []*Cause, answer int) float64 {
	binary := len(m.answers) == 2
	of := answer
	if binary {
		of = 0
	}
	p := together(m.answers[of].base, binary, causes, func(c *Cause) (float64, bool) { return c.gives(m, of) })
	if binary && answer == 1 {
		return 1 - p
	}
	return p
}

func entropy(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p * math.Log2(p)
}
