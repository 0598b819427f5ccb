package controller

import (
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
)

// Framing is how characters lie on a line, in cycles of the controller's clock. A
// sender that is off by two per cent has a BitCycles two per cent longer or shorter.
type Framing struct {
	BitCycles float64
	DataBits  int    // 0: 8
	Parity    Parity // NoParity, EvenParity or OddParity
	StopBits  int    // 0: 1
}

// Parity is the parity bit of a character.
type Parity uint8

// The three choices.
const (
	NoParity Parity = iota
	EvenParity
	OddParity
)

const usualDataBits = 8

func (f Framing) dataBits() int {
	if f.DataBits == 0 {
		return usualDataBits
	}
	return f.DataBits
}

func (f Framing) parityOf(v uint16) (bit uint16, on bool) {
	odd := uint16(bits.OnesCount16(v) & 1)
	return odd ^ uint16(f.Parity>>1), f.Parity != NoParity
}

// frameBits are all bits of a character, the start bit lowest, and how many they are.
func (f Framing) frameBits(v uint16) (word uint32, n int) {
	n = f.dataBits()
	v &= 1<<n - 1
	word, n = uint32(v)<<1, n+1
	if bit, on := f.parityOf(v); on {
		word |= uint32(bit) << n
		n++
	}
	stop := max(f.StopBits, 1)
	return word | (1<<stop-1)<<n, n + stop
}

// at is when bit k of a frame begins.
func (f Framing) at(start Cycle, k float64) Cycle {
	return start + Cycle(math.Round(k*f.BitCycles))
}

// Edge is a change of level on a line.
type Edge struct {
	At   Cycle
	High bool
}

// Talker turns bytes to edges, one character after the other.
type Talker struct {
	Framing
	GapBits float64 // idle time between characters

	// Noise is the probability that a bit carries a glitch: a quarter of a bit, at a
	// random place in it, in which the level is wrong. Chance must be given with it.
	Noise  float64
	Chance *rand.Rand

	free Cycle // when the line is free again
}

// Send appends the edges of bytes that are sent from a cycle on, or as soon as what
// was sent before is out.
func (t *Talker) Send(from Cycle, b []byte, out []Edge) []Edge {
	for _, v := range b {
		start := max(from, t.free)
		word, n := t.frameBits(uint16(v))
		level := true
		for k := range n {
			high := word>>k&1 != 0
			begins := t.at(start, float64(k))
			if high != level {
				out = append(out, Edge{begins, high})
				level = high
			}
			if t.Noise > 0 && t.Chance.Float64() < t.Noise {
				glitch := begins + Cycle(t.Chance.Float64()*0.75*t.BitCycles)
				out = append(out, Edge{glitch, !high}, Edge{glitch + Cycle(t.BitCycles/4), high})
			}
		}
		t.free = t.at(start, float64(n)+t.GapBits)
	}
	return out
}

// Free is when the line will be idle again.
func (t *Talker) Free() Cycle { return t.free }

// Heard is one character that a Listener made out.
type Heard struct {
	Start     Cycle // of its start bit
	At        Cycle // when its stop bit was decided
	Value     uint16
	BadStop   bool // the line was low where a stop bit should be
	BadParity bool
}

// Listener turns edges to characters: it checks the start bit in its middle and reads
// every further bit in its middle.
type Listener struct {
	Framing
	low    bool // the level now; a line is high at rest
	busy   bool
	start  Cycle
	got    int // bits read, the start bit included
	word   uint16
	Missed int // start bits that were gone in their middle: glitches
}

// Feed tells of an edge, and appends what was complete before it.
func (l *Listener) Feed(e Edge, out []Heard) []Heard {
	out = l.Tick(e.At, out)
	fell := !e.High && !l.low
	l.low = !e.High
	if fell && !l.busy {
		l.busy, l.start, l.got, l.word = true, e.At, 0, 0
	}
	return out
}

// Tick says that time has reached now.
func (l *Listener) Tick(now Cycle, out []Heard) []Heard {
	for l.busy {
		at := l.at(l.start, float64(l.got)+0.5)
		if at > now {
			break
		}
		switch {
		case l.got == 0 && !l.low:
			l.busy = false
			l.Missed++
			continue
		case l.got > 0 && !l.low:
			l.word |= 1 << (l.got - 1)
		}
		l.got++
		data := l.dataBits()
		whole := data + 2
		if l.Parity != NoParity {
			whole++
		}
		if l.got < whole {
			continue
		}
		l.busy = false
		h := Heard{Start: l.start, At: at, Value: l.word & (1<<data - 1), BadStop: l.low}
		if bit, on := l.parityOf(h.Value); on {
			h.BadParity = l.word>>data&1 != bit
		}
		out = append(out, h)
	}
	return out
}

// Deadline is when Tick is next wanted; Never while the line is idle.
func (l *Listener) Deadline() Cycle {
	if !l.busy {
		return Never
	}
	return l.at(l.start, float64(l.got)+0.5)
}

// Port joins a serial line of the outside to two pins of a controller, whether these
// belong to a USART or are worked bit by bit. Both may be the same pin: then the
// outside only pulls low, and a resistor pulls up.
type Port struct {
	Talker
	Listener
	core   *Core
	rx, tx Pin // as the controller sees them
	edges  []Edge
}

// NewPort joins a line and lets it rest high.
func NewPort(c *Core, rx, tx Pin, f Framing) (*Port, error) {
	if f.BitCycles < 2 {
		return nil, fmt.Errorf("port at %v and %v: a bit of %.2f cycles: want at least 2", rx, tx, f.BitCycles)
	}
	p := &Port{Talker: Talker{Framing: f}, Listener: Listener{Framing: f}, core: c, rx: rx, tx: tx}
	c.Watch(tx)
	return p, c.Drive(rx, p.rest(), c.cycle)
}

func (p *Port) rest() Drive {
	if p.rx == p.tx {
		return PulledUp
	}
	return High
}

// Say sends bytes to the controller, from a cycle on.
func (p *Port) Say(from Cycle, b []byte) error {
	p.edges = p.Send(max(from, p.core.cycle), b, p.edges[:0])
	for _, e := range p.edges {
		d := Low
		if e.High {
			d = p.rest()
		}
		if err := p.core.Drive(p.rx, d, e.At); err != nil {
			return err
		}
	}
	return nil
}

// Hear appends what the controller has said in events, and until now. Whoever answers
// lets the controller run to Deadline at most, or hears the end of a character only
// with the next edge.
func (p *Port) Hear(events []Event, now Cycle, out []Heard) []Heard {
	for _, e := range events {
		if e.Kind == PinDriven && e.Pin == p.tx {
			high, _ := e.Drive.Level(PulledUp)
			out = p.Listener.Feed(Edge{e.At, high}, out)
		}
	}
	return p.Tick(now, out)
}
