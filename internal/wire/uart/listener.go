package uart

import "math"

// A listener works out how likely the bytes read are, if text was sent at
// another speed. It follows all the places in all the characters where the
// sender may be, each with its share, bit by bit: what the receiver sampled
// takes away the places that do not fit. This is the forward algorithm of
// hidden Markov models, with the receiver of [Hear] as the observer.
type listener struct {
	talk    *talk
	offsets offsets

	// plane(p)[c] is the share of "the line is in bit p of character c". The
	// planes lie in a ring, so that a bit that passes is a step of the ring.
	// used says that a plane is not all zero: few are, most of the time.
	place [10][letters]float64
	used  [10]bool
	turn  int
	idle  float64

	edge     [10][letters]float64 // at a falling edge, before the sample of the start bit
	edgeUsed [10]bool
	accepted [10][letters]float64
	ending   [letters]float64
	starts   [letters]float64 // how bursts begin
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

// offsets says how many of the sender's bits have passed at each sample,
// counted from the falling edge.
type offsets [10]int

func offsetsFor(sentBaud, readBaud float64) (o offsets) {
	for k := range o {
		o[k] = int((float64(k) + 0.5 + senseDelay) * sentBaud / readBaud)
	}
	return o
}

func newListener(t *talk, o offsets) *listener {
	l := &listener{talk: t, offsets: o}
	l.ending[letterLF] = 1
	t.next(&l.ending, &l.starts)
	l.reset(1)
	return l
}

// ring is where the plane for bit p lies.
func (l *listener) ring(p int) int { return (p + l.turn) % 10 }

// reset adds a share of knowing nothing: mostly an idle line, or anywhere in a character.
func (l *listener) reset(share float64) {
	const mostly = 0.8
	l.idle += share * mostly
	for p := range l.place {
		for c, alone := range l.talk.alone {
			l.place[p][c] += share * (1 - mostly) / 10 * alone
		}
		l.used[p] = true
	}
}

func (l *listener) scale(f float64) {
	for p := range l.place {
		if l.used[p] {
			for c := range l.place[p] {
				l.place[p][c] *= f
			}
		}
	}
	l.idle *= f
}

func (l *listener) total() float64 {
	sum := l.idle
	for p := range l.place {
		if l.used[p] {
			for _, share := range l.place[p] {
				sum += share
			}
		}
	}
	return sum
}

// step lets one bit of the sender pass. An idle line stays idle.
func (l *listener) step() {
	l.turn = (l.turn + 9) % 10
	at := l.ring(0) // what was bit 9 ends
	if !l.used[at] {
		return
	}
	l.ending = l.place[at]
	l.place[at] = [letters]float64{}
	for c, share := range l.ending {
		rest := idleAfterAny
		if c == letterLF {
			rest = idleAfterLF
		}
		l.idle += share * rest
		l.ending[c] = share * (1 - rest)
	}
	l.talk.next(&l.ending, &l.place[at])
}

// keep takes away all places where the line is not at the level that was sampled.
func (l *listener) keep(level byte) {
	for p := range 10 {
		at := l.ring(p)
		if !l.used[at] {
			continue
		}
		plane, levels, some := &l.place[at], &l.talk.level[p], false
		for c := range plane {
			if levels[c] != level {
				plane[c] = 0
			} else if plane[c] != 0 {
				some = true
			}
		}
		l.used[at] = some
	}
	if level == 0 {
		l.idle = 0
	}
}

// findEdge moves every share to its next falling edge, and on to the middle of
// the start bit. False starts look for another edge.
func (l *listener) findEdge() {
	l.accepted = [10][letters]float64{}
	var accepted [10]bool
	for range edgeRounds {
		l.collectEdges()
		l.place, l.used, l.turn, l.idle = l.edge, l.edgeUsed, 0, 0
		for range l.offsets[0] {
			l.step()
		}
		for p := range 10 {
			at := l.ring(p)
			if !l.used[at] {
				continue
			}
			plane, levels := &l.place[at], &l.talk.level[p]
			for c := range plane {
				if levels[c] == 0 {
					l.accepted[p][c] += plane[c]
					plane[c] = 0
				}
			}
			accepted[p] = true
		}
		if l.offsets[0] == 0 || l.total() < negligible {
			break
		}
	}
	l.place, l.used, l.turn, l.idle = l.accepted, accepted, 0, 0
}

// collectEdges lets bits pass until every share has met a falling edge, and
// gathers them in l.edge by the bit that is low.
func (l *listener) collectEdges() {
	l.edge, l.edgeUsed = [10][letters]float64{}, [10]bool{}
	levels := &l.talk.level
	for range edgeBits {
		if l.idle > 0 {
			for c, share := range l.starts {
				l.edge[0][c] += l.idle * share
			}
			l.edgeUsed[0], l.idle = true, 0
		}
		l.step()
		if at := l.ring(0); l.used[at] { // the stop bit before it was high
			for c, share := range l.place[at] {
				l.edge[0][c] += share
			}
			l.place[at] = [letters]float64{}
			l.edgeUsed[0], l.used[at] = true, false
		}
		left := l.idle
		for p := 1; p < 10; p++ {
			at := l.ring(p)
			if !l.used[at] {
				continue
			}
			plane, some := &l.place[at], false
			for c, share := range plane {
				if share == 0 {
					continue
				}
				// The step before, this was bit p-1.
				if levels[p][c] == 0 && levels[p-1][c] == 1 {
					l.edge[p][c] += share
					l.edgeUsed[p] = true
					plane[c] = 0
				} else {
					left += share
					some = true
				}
			}
			l.used[at] = some
		}
		if left < negligible {
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
	if sum := l.total(); sum > 0 {
		l.scale((1 - strange) * fits / likely / sum)
	}
	l.reset(strange / 256 / likely)
	return likely
}

// bits returns how many bits the bytes need when text was sent and the samples
// fell at those offsets.
func (t *talk) bits(read []byte, o offsets) float64 {
	l := newListener(t, o)
	sum := 0.0
	for _, b := range read {
		sum -= math.Log2(l.hear(b))
	}
	return sum
}
