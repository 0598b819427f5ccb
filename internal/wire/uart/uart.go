// Package uart knows what bytes become when the two ends of an asynchronous
// line do not agree on speed or frame.
//
// # What it promises
//
// [Mishear] computes, bit by bit, what a receiver at one speed reads of bytes
// sent at another. It is the same arithmetic a serial port does, so it serves
// both the stand-in, which plays a wrong speed, and the judge, which finds out
// the likely true one with [GuessSpeed]. Nothing here reads a clock or a device.
//
// # What it leaves to others
//
// Noise, wrong levels and lost bytes: an ideal wire joins the two ends.
//
// # Where to start
//
// Read [Frame] and [Mishear], then [GuessSpeed].
package uart

import "math/bits"

// Parity is what the parity bit makes even, odd, one or zero.
type Parity byte

// The parities. The zero Parity is none.
const (
	None  Parity = 0
	Even  Parity = 'E'
	Odd   Parity = 'O'
	Mark  Parity = 'M'
	Space Parity = 'S'
)

// Frame is how a character is wrapped. The zero Frame means 8N1.
type Frame struct {
	DataBits int // 5 to 8; 0 means 8
	Parity   Parity
	StopBits int // 1 or 2; 0 means 1
}

// EightN1 is eight data bits, no parity, one stop bit: what nearly every module speaks.
var EightN1 = Frame{DataBits: 8, StopBits: 1}

// norm fills in what the zero Frame leaves open.
func (f Frame) norm() Frame {
	if f.DataBits < 5 || f.DataBits > 8 {
		f.DataBits = 8
	}
	if f.StopBits != 2 {
		f.StopBits = 1
	}
	return f
}

// Bits is how many bit times one character takes, start bit included: 10 for 8N1.
func (f Frame) Bits() int {
	f = f.norm()
	n := 1 + f.DataBits + f.StopBits
	if f.Parity != None {
		n++
	}
	return n
}

// String writes the usual three signs: "8N1", "7E1".
func (f Frame) String() string {
	f = f.norm()
	parity := byte(f.Parity)
	if f.Parity == None {
		parity = 'N'
	}
	return string([]byte{byte('0' + f.DataBits), parity, byte('0' + f.StopBits)})
}

// ParseFrame reads "8N1". ok is false when a sign does not fit.
func ParseFrame(text string) (f Frame, ok bool) {
	if len(text) != 3 {
		return f, false
	}
	f.DataBits, f.StopBits = int(text[0])-'0', int(text[2])-'0'
	switch text[1] &^ 0x20 {
	case 'N':
	case 'E', 'O', 'M', 'S':
		f.Parity = Parity(text[1] &^ 0x20)
	default:
		return f, false
	}
	return f, f.DataBits >= 5 && f.DataBits <= 8 && (f.StopBits == 1 || f.StopBits == 2)
}

// parityBit returns the parity bit of a character.
func (f Frame) parityBit(b byte) byte {
	odd := byte(bits.OnesCount8(b)) & 1
	switch f.Parity {
	case Even:
		return odd
	case Odd:
		return odd ^ 1
	case Mark:
		return 1
	}
	return 0
}

// Errors counts what a receiver complains of. The characters are delivered all the same.
type Errors struct {
	Framing     int // the stop bit was low
	Parity      int
	FalseStarts int // a low pulse too short for a start bit: nothing is delivered
}

// End is one end of a line: its speed and its frame.
type End struct {
	Baud  float64
	Frame Frame
}

// Mishear returns what is read at readBaud of bytes sent back to back at
// sentBaud, both in the same frame, on a line that is idle before and after.
func Mishear(sent []byte, sentBaud, readBaud float64, frame Frame) (read []byte, errors Errors) {
	return Hear(sent, End{sentBaud, frame}, End{readBaud, frame})
}

// senseDelay is by how much a receiver sees an edge late, in its own bit times.
// It looks sixteen times a bit, so it is late by half of a sixteenth on average.
// That also decides on which side a sample falls that would meet an edge exactly.
const senseDelay = 1.0 / 32

// Hear is [Mishear] for ends that may also differ in their frames. A receiver
// waits for a falling edge, looks again half a bit later whether the line is
// still low, then takes each bit in its middle. After the middle of the first
// stop bit it waits for the next falling edge. Speeds of zero or less read nothing.
func Hear(sent []byte, from, to End) (read []byte, errors Errors) {
	if !(from.Baud > 0) || !(to.Baud > 0) {
		return nil, errors
	}
	line := draw(sent, from.Frame.norm())
	frame := to.Frame.norm()
	step := from.Baud / to.Baud // bits sent in one bit read
	at := -1                    // the bit in which the receiver begins to look for an edge; -1 is the idle line
	for {
		edge, ok := line.fallingEdge(at)
		if !ok {
			return read, errors
		}
		sample := func(k int) byte {
			return line.level(edge + int((float64(k)+0.5+senseDelay)*step))
		}
		if sample(0) != 0 {
			errors.FalseStarts++
			at = edge + int((0.5+senseDelay)*step)
			continue
		}
		var b byte
		for k := range frame.DataBits {
			b |= sample(1+k) << k
		}
		k := 1 + frame.DataBits
		if frame.Parity != None {
			if sample(k) != frame.parityBit(b) {
				errors.Parity++
			}
			k++
		}
		if sample(k) == 0 {
			errors.Framing++
		}
		read = append(read, b)
		at = edge + int((float64(k)+0.5+senseDelay)*step)
	}
}

// waveform is the line as levels, one for each bit sent, 64 in a word. It is
// high before and after.
type waveform struct {
	levels []uint64
	total  int // bits sent
}

// draw makes the waveform of bytes sent back to back.
func draw(sent []byte, f Frame) waveform {
	perChar := f.Bits()
	w := waveform{total: len(sent) * perChar}
	w.levels = make([]uint64, w.total/64+1)
	mask := byte(1<<f.DataBits - 1)
	for i, b := range sent {
		b &= mask
		char := uint64(b)<<1 | uint64(1<<f.StopBits-1)<<(perChar-f.StopBits)
		if f.Parity != None {
			char |= uint64(f.parityBit(b)) << (1 + f.DataBits)
		}
		at := i * perChar
		w.levels[at/64] |= char << (at % 64)
		if over := at%64 + perChar - 64; over > 0 {
			w.levels[at/64+1] |= char >> (perChar - over)
		}
	}
	w.levels[len(w.levels)-1] |= ^uint64(0) << (w.total % 64)
	return w
}

// level returns the level during bit i.
func (w *waveform) level(i int) byte {
	if i < 0 || i >= w.total {
		return 1
	}
	return byte(w.levels[i>>6] >> (i & 63) & 1)
}

// fallingEdge returns the first bit after bit at that is low after a high one.
func (w *waveform) fallingEdge(at int) (edge int, ok bool) {
	from := at + 1
	if from >= w.total {
		return 0, false
	}
	before := uint64(w.level(from/64*64 - 1)) // the bit before this word
	for word := from / 64; word < len(w.levels); word++ {
		v := w.levels[word]
		edges := (v<<1 | before) &^ v
		if word == from/64 {
			edges &= ^uint64(0) << (from % 64)
		}
		if edges != 0 {
			return word*64 + bits.TrailingZeros64(edges), true
		}
		before = v >> 63
	}
	return 0, false
}
