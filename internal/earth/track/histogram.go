package track

import "math"

// spans counts spans of time, so that the middle one can be told without keeping them. A bin
// is 1/32 of an octave wide and remembers the sum of what fell into it: where all spans are
// alike the answer is exact, else it is within 2.2 %.
type spans struct {
	bins  [spanBins]bin
	count int64
	sumS  float64
}

type bin struct {
	count int64
	sumS  float64
}

const (
	perOctave = 32
	leastS    = 1.0 / 1024                    // shorter ones share the first bin: no receiver speaks so fast
	spanBins  = perOctave * (10 + 30)         // up to 2^30 s, 34 years
	topBin    = spanBins - 1                  // longer ones share the last
	perLog2   = float64(perOctave) / math.Ln2 // bins in one step of the natural logarithm
)

func (h *spans) add(seconds float64) {
	n := 0
	if seconds > leastS {
		n = min(int(math.Log(seconds/leastS)*perLog2), topBin)
	}
	h.bins[n].count++
	h.bins[n].sumS += seconds
	h.count++
	h.sumS += seconds
}

// share returns the span that so large a part of them does not exceed; false for none.
func (h *spans) share(part float64) (seconds float64, ok bool) {
	if h.count == 0 {
		return 0, false
	}
	rank := int64(math.Ceil(part * float64(h.count)))
	rank = max(1, min(rank, h.count))
	for i := range h.bins {
		b := &h.bins[i]
		if rank -= b.count; rank <= 0 {
			return b.sumS / float64(b.count), true
		}
	}
	return 0, false
}
