package bringup

import (
	"cmp"
	"math"
	"slices"

	"firstfix/internal/judge/verdict"
)

// How causes are ranked.
//
// A hypothesis is one cause, two causes at once, or something that is not in the list. Its
// weight is its prior times how likely it makes each thing that was read, found or told,
// compared with how likely that is when none of the listed causes is true. The sum
// over all hypotheses is exact; nothing is sampled and nothing is cut off, but for causes
// that make nothing likelier that was seen: such a cause did not bring this complaint.
//
// Two causes at once show a symptom when either does (noisy or): each alone fails to
// bring it about, independently. Where a cause makes a symptom rarer than usual, it holds
// back what the other brings about. The symptoms of one cause are taken as independent;
// they are not quite, so probabilities near 1 are damped.
const (
	// priorOther is the share of causes that are not in the list (our estimate).
	priorOther = 0.10
	// priorTwo is how much rarer two faults together are than their priors alone would say:
	// people change one thing at a time and look (our estimate).
	priorTwo = 0.35
	// damping is the power to which what speaks for a hypothesis is raised. Below 1 it makes
	// up for symptoms that hang together (our estimate, checked by the reliability table of the score).
	damping = 0.9
	// speaks and contradicts are from when on a factor is a reason that a person would give.
	speaks, contradicts = 1.5, 0.67
	// maxCandidates bounds the causes that are weighed in pairs. Some fifteen are
	// usual; the lightest of more go.
	maxCandidates = 40
	// usual is the share from when on a thing is no trouble that wants a cause.
	usual = 0.3
)

// item is one thing that was read, found or told.
type item struct {
	symptom *symptom     // or
	asked   *measurement // what a person saw
	answer  int          // of asked
	yes     bool         // of symptom
	says    string
}

// named returns how likely the item's outcome "yes" (of a symptom, of a question with two
// answers) or its answer (of a question with more) is for a cause.
func (it *item) named(c *Cause) (p float64, ok bool) {
	switch {
	case it.symptom != nil:
		return c.shows(it.symptom)
	case it.binary():
		return c.gives(it.asked, 0)
	}
	return c.gives(it.asked, it.answer)
}

func (it *item) binary() bool { return it.asked == nil || len(it.asked.answers) == 2 }

func (it *item) base() float64 {
	switch {
	case it.symptom != nil:
		return it.symptom.base
	case it.binary():
		return it.asked.answers[0].base
	}
	return it.asked.answers[it.answer].base
}

// is says whether the outcome is the one whose likelihood named and base give.
func (it *item) is() bool {
	switch {
	case it.symptom != nil:
		return it.yes
	case it.binary():
		return it.answer == 0
	}
	return true
}

// factor is how much likelier a hypothesis makes the item than none of the causes does.
func (it *item) factor(causes []*Cause) float64 {
	base := it.base()
	p := together(base, it.binary(), causes, it.named)
	if it.is() {
		return p / base
	}
	return (1 - p) / (1 - base)
}

// together puts what several causes make of one outcome into one likelihood: noisy or for
// those that bring it about, a share that passes for those that hold it back. Of a question
// with many answers the causes that name it share the say.
func together(base float64, binary bool, causes []*Cause, named func(*Cause) (float64, bool)) float64 {
	if !binary {
		sum, n := 0.0, 0
		for _, c := range causes {
			if p, ok := named(c); ok {
				sum += p
				n++
			}
		}
		if n == 0 {
			return base
		}
		return sum / float64(n)
	}
	absent, passes := 1-base, 1.0
	for _, c := range causes {
		p, ok := named(c)
		switch {
		case !ok:
		case p >= base:
			absent *= (1 - p) / (1 - base)
		default:
			passes *= p / base
		}
	}
	return (1 - absent) * passes
}

// hypothesis is a set of causes, with its share of belief. The empty set is something else.
type hypothesis struct {
	causes      []*Cause
	probability float64
}

// weighed is a cause with its share of belief and its reasons.
type weighed struct {
	cause            *Cause // nil: something else
	probability      float64
	because, against []string
	told             bool // one of its own signs speaks for it
}

// ranking is what the evidence makes of the causes.
type ranking struct {
	items      []item
	hypotheses []hypothesis
	causes     []weighed // most probable first; something else stands among them
}

// evidence collects what was read, found and told.
func (f *Facts) evidence() []item {
	var items []item
	seen := map[*symptom]bool{}
	for _, c := range Causes {
		for _, signs := range [][]sign{c.Signs, c.Besides} {
			for _, s := range signs {
				if seen[s.of] {
					continue
				}
				seen[s.of] = true
				if r, says := f.read(s.of); r != silent {
					items = append(items, item{symptom: s.of, yes: r == yes, says: says})
				}
			}
		}
	}
	for _, o := range f.Saw {
		if m := measurementNamed(o.Name); m != nil && !m.toldBy(f) {
			if i := m.answerNamed(o.Answer); i >= 0 {
				items = append(items, item{asked: m, answer: i, says: "you saw: " + m.answers[i].Means})
			}
		}
	}
	return items
}

// rank weighs all hypotheses.
func (f *Facts) rank() ranking {
	return weigh(f.evidence(), Causes)
}

func weigh(items []item, causes []*Cause) ranking {
	r := ranking{items: items}
	var candidates []weighed
	for _, c := range causes {
		w := weighed{cause: c}
		one := []*Cause{c}
		for i := range items {
			w.hear(&items[i], items[i].factor(one))
		}
		if w.told {
			w.probability = weightOf(items, one) // for now its weight
			candidates = append(candidates, w)
		}
	}
	if len(candidates) > maxCandidates {
		slices.SortStableFunc(candidates, func(a, b weighed) int { return -cmp.Compare(a.probability, b.probability) })
		candidates = candidates[:maxCandidates]
	}
	r.add(nil, priorOther)
	for i := range candidates {
		a := candidates[i].cause
		r.add([]*Cause{a}, candidates[i].probability)
		for j := range i {
			pair := []*Cause{candidates[j].cause, a}
			r.add(pair, weightOf(items, pair))
		}
	}
	r.share(candidates)
	return r
}

// hear takes in one item as a reason, if it is one that a person would give.
func (w *weighed) hear(it *item, factor float64) {
	switch {
	case factor > speaks && (it.asked != nil || it.yes):
		w.because = append(w.because, it.says)
		w.told = w.told || w.cause.tells(it)
	case factor < contradicts && it.says != "":
		w.against = append(w.against, it.says)
	}
}

// weightOf is the prior of some causes together times what speaks for them.
func weightOf(items []item, causes []*Cause) float64 {
	prior, speaks := 1.0, 1.0
	for i, c := range causes {
		prior *= c.Prior
		if i > 0 {
			prior *= priorTwo
		}
	}
	for i := range items {
		speaks *= items[i].factor(causes)
	}
	return prior * math.Pow(speaks, damping)
}

func (r *ranking) add(causes []*Cause, weight float64) {
	r.hypotheses = append(r.hypotheses, hypothesis{causes, weight})
}

// share turns weights into shares of belief, and sums them up for each cause.
func (r *ranking) share(candidates []weighed) {
	total := 0.0
	for _, h := range r.hypotheses {
		total += h.probability
	}
	other := weighed{}
	for i := range candidates {
		candidates[i].probability = 0
	}
	for i := range r.hypotheses {
		h := &r.hypotheses[i]
		h.probability /= total
		if len(h.causes) == 0 {
			other.probability = h.probability
		}
		for j := range candidates {
			if slices.Contains(h.causes, candidates[j].cause) {
				candidates[j].probability += h.probability
			}
		}
	}
	other.because = r.unexplained(candidates)
	r.causes = append(candidates, other)
	slices.SortStableFunc(r.causes, func(a, b weighed) int { return -cmp.Compare(a.probability, b.probability) })
}

// unexplained are the things seen that no cause worth showing makes likely.
func (r *ranking) unexplained(candidates []weighed) []string {
	var out []string
	for i := range r.items {
		it := &r.items[i]
		if it.symptom != nil && (!it.yes || it.symptom.base > usual) || it.says == "" {
			continue
		}
		explained := false
		for _, w := range candidates {
			explained = explained || w.probability >= leastShown && it.factor([]*Cause{w.cause}) > speaks
		}
		if !explained {
			out = append(out, it.says)
		}
	}
	if len(out) == 0 {
		out = append(out, "no list is complete")
	}
	return out
}

// pair returns the two causes that together are the best explanation, if two are.
func (r *ranking) pair() (h hypothesis, ok bool) {
	best := 0
	for i := range r.hypotheses {
		if r.hypotheses[i].probability > r.hypotheses[best].probability {
			best = i
		}
	}
	h = r.hypotheses[best]
	return h, len(h.causes) == 2
}

const (
	// maxCauses are shown: more do not help a person decide.
	maxCauses = 5
	// leastShown is the least probability shown, leastElse that of something else.
	leastShown, leastElse = 0.02, 0.05
)

// causes returns the ranking as data, and the next best measurement.
func (f *Facts) causes(skip []string) (list []verdict.Cause, together *verdict.Together, next *verdict.Measurement) {
	r := f.rank()
	list = []verdict.Cause{}
	for _, w := range r.causes {
		if len(list) >= maxCauses || w.probability < leastShown {
			break
		}
		c := verdict.Cause{Name: SomethingElse, Title: somethingElseTitle, Remedy: somethingElseRemedy}
		if w.cause != nil {
			c = verdict.Cause{Name: w.cause.Name, Title: w.cause.Title, Remedy: w.cause.Remedy}
			if m := f.firstTest(w.cause, skip); m != nil {
				c.Next = m.asMeasurement()
			}
		} else if w.probability < leastElse {
			continue
		}
		c.Probability = math.Round(w.probability*100) / 100
		c.Because, c.Against = orEmpty(w.because), orEmpty(w.against)
		list = append(list, c)
	}
	if h, ok := r.pair(); ok && h.probability >= 0.5 {
		together = &verdict.Together{Causes: []string{h.causes[0].Name, h.causes[1].Name}, Probability: math.Round(h.probability*100) / 100}
	}
	if m := f.nextBest(&r, skip); m != nil {
		next = m.asMeasurement()
	}
	return list, together, next
}
