package fix

import "math"

// A ladder averages a series over blocks of 1, 2, 4, … steps of time, as it comes. How the
// scatter of the block means falls with their length tells how many independent values the
// series is worth: H. Flyvbjerg and H. G. Petersen, Journal of Chemical Physics 91 (1989) 461.
type ladder struct {
	rungs [maxRungs]rung
	top   int // rungs in use
}

// maxRungs: the longest block is 2^35 steps, a thousand years of seconds.
const maxRungs = 36

type rung struct {
	key   int64 // which block is open
	count int64 // steps in it that have a value
	sum   float64

	blocks  float64 // closed so far
	mean    float64 // of their means
	squares float64 // sum of the squares of their deviations from it
}

// add takes the value of a step. Steps must not go back; a step may have several values.
func (l *ladder) add(step int64, x float64) {
	r := &l.rungs[0]
	if r.count > 0 && r.key != step {
		l.close(0)
	}
	r.key = step
	r.count++
	r.sum += x
}

// close ends the open block of a rung and hands what is in it upwards. A block that is not half
// full does not count: gaps must not look like short blocks.
func (l *ladder) close(i int) {
	r := &l.rungs[i]
	l.top = max(l.top, i+1)
	mean := r.sum / float64(r.count)
	if i == 0 || 2*r.count >= 1<<i {
		r.blocks++
		d := mean - r.mean
		r.mean += d / r.blocks
		r.squares += d * (mean - r.mean)
	}
	count, sum := r.count, r.sum
	if i == 0 {
		count, sum = 1, mean
	}
	key := r.key >> 1
	r.count, r.sum = 0, 0
	if i+1 == maxRungs {
		return
	}
	up := &l.rungs[i+1]
	if up.count > 0 && up.key != key {
		l.close(i + 1)
	}
	up.key = key
	up.count += count
	up.sum += sum
}

// variance of the block means of a rung.
func (r *rung) variance() float64 { return r.squares / (r.blocks - 1) }

// worth is what a series is worth.
type worth struct {
	steps       float64 // values
	variance    float64 // of the values
	inefficient float64 // how many values are worth one independent one; at least 1
	rung        int     // the block length by which that was found: 2^rung steps
	blocks      float64 // how many blocks of it there were
	settled     bool    // longer blocks would not tell otherwise, as far as this series can say
}

// minBlocks is how many blocks must be there to believe their scatter: it is then known to a
// quarter (1/sqrt(2·7)); our choice.
const minBlocks = 8

// worth says what the series so far is worth; false when it is too short to say anything. The
// block length is twice the shortest B with B³ > 2·n·g², at which blocks are independent enough and still
// many (R. M. Lee and others, Physical Review E 83 (2011) 066706; from memory); the two is ours:
// intervals came out a little narrow without it. It is settled when that B is there.
func (l *ladder) worth() (w worth, ok bool) {
	base := &l.rungs[0]
	if base.blocks < minBlocks {
		return w, false
	}
	w = worth{steps: base.blocks, variance: base.variance(), inefficient: 1, blocks: base.blocks, settled: true}
	if !(w.variance > 0) {
		return w, false // nothing ever changed: that says nothing about chance
	}
	w.settled = false
	for i := range l.top {
		r := &l.rungs[i]
		if r.blocks < minBlocks {
			break
		}
		b := math.Exp2(float64(i))
		g := math.Max(1, b*r.variance()/w.variance)
		w.inefficient, w.rung, w.blocks = g, i, r.blocks
		if w.settled {
			break // one longer than need be
		}
		w.settled = b*b*b > 2*w.steps*g*g
	}
	return w, true
}

// independent is how many independent values the series is worth.
func (w *worth) independent() float64 { return math.Max(1, w.steps/w.inefficient) }

// half is the half width of the interval in which the true mean of the series lies.
func (w *worth) half() float64 {
	return student(w.blocks-1) * math.Sqrt(w.variance*w.inefficient/w.steps)
}

// worthOf is what a series is worth that stands in memory. steps are its times in whole steps.
func worthOf(steps []int64, value func(i int) float64) (worth, bool) {
	var l ladder
	for i, s := range steps {
		l.add(s, value(i))
	}
	if l.rungs[0].count > 0 {
		l.close(0)
	}
	return l.worth()
}
