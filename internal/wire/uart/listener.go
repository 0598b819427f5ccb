package uart

import "math"

// A listener works out how likely the bytes read are, if text was sent at
// another speed. It follows all the places in all the characters where the
// sender may be, each with its share, bit by bit: what the receiver sampled
// takes away the places that do not fit. This is the forward algorithm of
// hidden Markov models, with the receiver of [Hear] as the observer.
type listener struct {
	talk    *talk
	offsets [10]int // the sender's bits passed at each sample, counted from the falling edge

	// place[p][c] is the share of "the line is in bit p of character c"; the
	// planes lie in a ring, so that the next bit is a step of the ring.
	place [10][letters]float64
	turn  int
	idle  float64

	edge   [10][letters]float64 // at a falling edge, before the sample of the start bit
	spare  [letters]float64
	starts [letters]float64 // how bursts begin
}

const (
	// A burst is over after a line end more often than elsewhere. Our estimates.
	idleAfterLF  = 0.4
	idleAfterAny = 0.004

	// A frame that fits no text: noise, a lost edge, a character outside the
	// model, a burst that begins inside another's frame. Our estimate.
	strange = 1.0 / 64

	edgeBits   = 22 // every falling edge lies within two characters
	edgeRounds = 6  // false starts in a row that are followed
	negligible = 1e-9
)

func newListener(t *talk, sentBaud, readBaud float64) *listener {
	l := &listener{talk: t}
	for k := range l.offsets {
		l.offsets[k] = int((float64(k) + 0.5 + senseDelay) * sentBaud / readBaud)
	}
	var ending [letters]float64
	ending[letterLF] = 1
	t.next(&ending, &l.starts)
	l.reset(1)
	return l
}

// plane returns the shares for bit p.
func (l *listener) plane(p int) *[letters]float64 { return &l.place[(p+l.turn)%10] }

// reset adds a share of knowing nothing: mostly an idle line, or anywhere in a character.
func (l *listener) reset(share float64) {
	const mostly = 0.8
	l.idle += share * mostly
	for p := range 10 {
		plane := l.plane(p)
		for c, alone := range l.talk.alone {
			plane[c] += share * (1 - mostly) / 10 * alone
		}
	}
}

// scale multiplies all shares.
func (l *listener) scale(f float64) {
	for p := range l.place {
		for c := range l.place[p] {
			l.place[p][c] *= f
		}
	}
	l.idle *= f
}

func (l *listener) total() float64 {
	sum := l.idle
	for p := range l.place {
		for _, share := range l.place[p] {
			sum += share
		}
	}
	return sum
}

// step lets one bit of the sender pass. An idle line stays idle.
func (l *listener) step() {
	l.spare = *l.plane(9)
	l.turn = (l.turn + 9) % 10
	begin := l.plane(0)
	*begin = [letters]float64{}
	for c, share := range l.spare {
		rest := idleAfterAny
		if c == letterLF {
			rest = idleAfterLF
		}
		l.idle += share * rest
		l.spare[c] = share * (1 - rest)
	}
	l.talk.next(&l.spare, begin)
}

// keep takes away all places where the line is not at the level that was sampled.
func (l *listener) keep(level byte) {
	for p := range 10 {
		plane, levels := l.plane(p), &l.talk.level[p]
		for c := range plane {
			if levels[c] != level {
				plane[c] = 0
			}
		}
	}
	if level == 0 {
		l.idle = 0
	}
}

// findEdge moves every share to its next falling edge, and on to the middle of
// the start bit. False starts look for another edge.
func (l *listener) findEdge() {
	var accepted [10][letters]float64
	for range edgeRounds {
		l.collectEdges()
		l.place, l.turn, l.idle = l.edge, 0, 0
		for range l.offsets[0] {
			l.step()
		}
		for p := range 10 {
			plane, levels := l.plane(p), &l.talk.level[p]
			for c := range plane {
				if levels[c] == 0 {
					accepted[p][c] += plane[c]
					plane[c] = 0
				}
			}
		}
		if l.total() < negligible {
			break
		}
	}
	l.place, l.turn, l.idle = accepted, 0, 0
}

// collectEdges lets bits pass until every share has met a falling edge, and
// gathers them in l.edge by the bit that is low.
func (l *listener) collectEdges() {
	l.edge = [10][letters]float64{}
	levels := &l.talk.level
	for range edgeBits {
		for c, share := range l.starts {
			l.edge[0][c] += l.idle * share
		}
		l.idle = 0
		// After step, plane(p) was plane(p-1): a low bit p after a high bit p-1 is an edge.
		l.step()
		for c := range letters {
			begin := l.plane(0)
			l.edge[0][c] += begin[c] // the stop bit before it was high
			begin[c] = 0
		}
		for p := 1; p < 10; p++ {
			plane := l.plane(p)
			for c, share := range plane {
				if share != 0 && levels[p][c] == 0 && levels[p-1][c] == 1 {
					l.edge[p][c] += share
					plane[c] = 0
				}
			}
		}
		if l.total() < negligible {
			break
		}
	}
}

// hear takes the next byte read and returns how likely it was.
func (l *listener) hear(b byte) float64 {
	l.findEdge()
	before := l.total()
	at := l.offsets[0]
	for k := 1; k <= 8; k++ {
		for ; at < l.offsets[k]; at++ {
			l.step()
		}
		l.keep(b >> (k - 1) & 1)
	}
	fits := 0.0
	if before > 0 {
		fits = l.total() / before
	}
	for ; at < l.offsets[9]; at++ {
		l.step()
	}
	likely := (1-strange)*fits + strange/256
	sum := l.total()
	if sum > 0 {
		l.scale((1 - strange) * fits / likely / sum)
	} else {
		l.scale(0)
	}
	l.reset(strange / 256 / likely)
	return likely
}

// bits returns how many bits the bytes need when text was sent at that speed.
func (t *talk) bits(read []byte, sentBaud, readBaud float64) float64 {
	l := newListener(t, sentBaud, readBaud)
	sum := 0.0
	for _, b := range read {
		sum -= math.Log2(l.hear(b))
	}
	return sum
}
