package reporting

import (
	"math"
	"slices"

	"firstfix/internal/maybe"
	"firstfix/internal/plan/tariff"
)

// An Outcome is what a policy came to on a track.
type Outcome struct {
	Policy   Policy
	Messages int
	SpanS    float64 // of the track, as far as it is known
	MovingS  float64 // of it, not standing

	MeanM       float64 // how far off the belief is, over all that time
	P95M        float64 // 95 of 100 of the time it is nearer; to an eighth of itself
	WorstM      float64
	MovingMeanM maybe.Value[float64] // while the device moves; not known when it never does
	MeanAgeS    float64              // of the belief
	WorstAgeS   float64
	Overrun     int // reports taken to arrive at once, because too many were under way
}

// Outcomes returns what each policy came to, in the order given. It may be called at any time.
func (x *Explorer) Outcomes() []Outcome {
	out := make([]Outcome, 0, len(x.runs))
	for i := range x.runs {
		r := &x.runs[i]
		o := Outcome{Policy: r.policy, Messages: r.count, SpanS: x.spanS, MovingS: x.movingS, WorstM: r.worst, WorstAgeS: r.worstAge, Overrun: r.overrun}
		if x.spanS > 0 {
			o.MeanM, o.MeanAgeS = r.sum/x.spanS, r.age/x.spanS
			o.P95M = r.quantile(0.95 * x.spanS)
		}
		if x.movingS > 0 {
			o.MovingMeanM = maybe.Known(r.moving / x.movingS)
		}
		out = append(out, o)
	}
	return out
}

func (r *run) quantile(seconds float64) float64 {
	below := 0.0
	for bin, s := range r.bins {
		if below += s; below >= seconds {
			return math.Min(binEnd(bin), r.worst)
		}
	}
	return r.worst
}

// PerDay is how many messages that makes in a day of 24 hours.
func (o *Outcome) PerDay() float64 {
	if o.SpanS <= 0 {
		return 0
	}
	return float64(o.Messages) * 86400 / o.SpanS
}

// PerMonth is how many messages that makes in the longest month, rounded up.
func (o *Outcome) PerMonth() int {
	if o.SpanS <= 0 {
		return o.Messages
	}
	return int(math.Ceil(float64(o.Messages) * tariff.Month.Seconds() / o.SpanS))
}

// Bill is what a month of it costs when each report takes so many parts.
func (o *Outcome) Bill(t *tariff.Tariff, parts int) (tariff.Bill, error) {
	return t.Month(tariff.Usage{Parts: o.PerMonth() * parts})
}

// better says whether a is at least as good as b in every respect and better in one: fewer messages,
// a smaller mean error, a smaller worst error.
func better(a, b *Outcome) bool {
	return a.Messages <= b.Messages && a.MeanM <= b.MeanM && a.WorstM <= b.WorstM &&
		(a.Messages < b.Messages || a.MeanM < b.MeanM || a.WorstM < b.WorstM)
}

// Pareto returns which outcomes no other is better than, by their index, fewest messages first. Of
// outcomes that are equal the one with the fewest triggers stands for all.
func Pareto(outcomes []Outcome) []int {
	var out []int
	for i := range outcomes {
		if !slices.ContainsFunc(outcomes, func(o Outcome) bool { return better(&o, &outcomes[i]) }) &&
			!slices.ContainsFunc(out, func(k int) bool { return equal(&outcomes[k], &outcomes[i]) }) {
			out = append(out, i)
		}
	}
	for n, i := range out {
		for k := range outcomes {
			if equal(&outcomes[k], &outcomes[i]) && triggers(outcomes[k].Policy) < triggers(outcomes[out[n]].Policy) {
				out[n] = k
			}
		}
	}
	slices.SortStableFunc(out, func(a, b int) int {
		x, y := &outcomes[a], &outcomes[b]
		switch {
		case x.Messages != y.Messages:
			return x.Messages - y.Messages
		case x.MeanM < y.MeanM:
			return -1
		case x.MeanM > y.MeanM:
			return 1
		}
		return 0
	})
	return out
}

func equal(a, b *Outcome) bool {
	return a.Messages == b.Messages && a.MeanM == b.MeanM && a.WorstM == b.WorstM
}

func triggers(p Policy) (n int) {
	for _, is := range []bool{p.EveryS > 0, p.EveryM > 0, p.TurnDeg > 0, p.Stop, p.Fence, p.LeastS > 0} {
		if is {
			n++
		}
	}
	return n
}

// Front returns, of outcomes sorted by messages, those that improve on every one before in one
// respect: the lower edge of a picture of it against messages.
func Front(outcomes []Outcome, sorted []int, of func(*Outcome) float64) []int {
	var out []int
	best := math.Inf(1)
	for _, i := range sorted {
		if v := of(&outcomes[i]); v < best {
			best = v
			out = append(out, i)
		}
	}
	return out
}

// A Wish is what the recipient needs. Zeros ask for nothing.
type Wish struct {
	MeanM, WorstM float64
	PerDay        float64 // messages at most
}

// Cheapest returns the outcome with the fewest messages that fulfils a wish, of equals the one with the
// smallest mean error; false when none does.
func Cheapest(outcomes []Outcome, w Wish) (best int, ok bool) {
	for i := range outcomes {
		o := &outcomes[i]
		if w.MeanM > 0 && o.MeanM > w.MeanM || w.WorstM > 0 && o.WorstM > w.WorstM || w.PerDay > 0 && o.PerDay() > w.PerDay {
			continue
		}
		b := &outcomes[best]
		if !ok || w.MeanM == 0 && w.WorstM == 0 && o.MeanM < b.MeanM ||
			(w.MeanM > 0 || w.WorstM > 0) && (o.Messages < b.Messages || o.Messages == b.Messages && o.MeanM < b.MeanM) {
			best, ok = i, true
		}
	}
	return best, ok
}
