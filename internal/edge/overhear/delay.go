package overhear

import (
	"math/bits"
	"sync"
	"time"

	"firstfix/internal/talk/capture"
)

// Delays holds how long the middle held what it passed on, from the moment the
// system gave us the bytes to the moment it had taken them. What adapters and
// drivers add is not in it.
type Delays struct {
	mu    sync.Mutex
	sides [3]tally
}

// tally counts delays in steps of about 6 %: exact enough for a figure, and
// bounded for a run of weeks.
type tally struct {
	counts [64 * perDoubling]uint64
	n      uint64
	max    time.Duration
}

const perDoubling = 16

func (d *Delays) add(from capture.Direction, took time.Duration) {
	d.mu.Lock()
	defer d.mu.Unlock()
	t := &d.sides[from]
	t.counts[stepOf(took)]++
	t.n++
	t.max = max(t.max, took)
}

// stepOf numbers the steps: doublings, each cut in [perDoubling] equal parts.
func stepOf(took time.Duration) int {
	v := uint64(max(took, perDoubling))
	high := bits.Len64(v) - 1
	part := (v >> (high - 4)) & (perDoubling - 1)
	return high*perDoubling + int(part)
}

// edge is the upper edge of a step.
func edge(step int) time.Duration {
	high, part := step/perDoubling, step%perDoubling
	return time.Duration((uint64(perDoubling+part+1) << (high - 4)) - 1)
}

// Figure is what the delays of one direction come to.
type Figure struct {
	Pieces           uint64 // reads that were passed on
	Median, P99, Max time.Duration
}

// From returns the figure for what one side sent.
func (d *Delays) From(side capture.Direction) Figure {
	d.mu.Lock()
	defer d.mu.Unlock()
	t := &d.sides[side]
	return Figure{t.n, t.quantile(0.5), t.quantile(0.99), t.max}
}

func (t *tally) quantile(q float64) time.Duration {
	if t.n == 0 {
		return 0
	}
	want, seen := uint64(q*float64(t.n-1)), uint64(0)
	for i, c := range t.counts {
		if seen += c; seen > want {
			return min(edge(i), t.max)
		}
	}
	return t.max
}
