package cable

import (
	"math/rand/v2"
	"time"

	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/uart"
)

// The characters of software flow control, which some ends take for themselves.
const (
	xon  = 0x11
	xoff = 0x13
)

// idleFor is the pause after which what comes next is another answer; our choice.
const idleFor = 30 * time.Millisecond

// hear is what the module hears of what was sent to it.
func (c *Cable) hear(line *world.Line, b []byte) []byte {
	frame := c.m.Frame()
	if !c.damages(line) && frame == uart.EightN1 && (line.Broken == "none" || line.Broken == "to-controller") {
		return b
	}
	c.heard = c.heard[:0]
	if line.Broken == "both" || line.Broken == "to-module" {
		return c.heard
	}
	for _, one := range b {
		one, passes := c.spoil(line, one, c.inward)
		if !passes {
			continue
		}
		if one, passes = reread(one, uart.EightN1, frame); passes {
			c.heard = append(c.heard, one)
		}
	}
	return c.heard
}

// pass is what reaches the controller's port of what the module said.
func (c *Cable) pass(line *world.Line, out []byte) []byte {
	if len(c.said) == 0 {
		return out
	}
	frame := c.m.Frame()
	if !c.damages(line) && frame == uart.EightN1 && line.Broken == "none" && line.StallsAfterBytes == 0 &&
		line.ControllerBufferBytes == 0 && line.DeafAfterSendingMS == 0 && len(c.held) == 0 {
		return append(out, c.said...)
	}
	if line.Broken == "both" || line.Broken == "to-controller" {
		return out
	}
	kept := c.said[:0]
	for _, one := range c.said {
		one, passes := reread(one, frame, uart.EightN1)
		if !passes {
			continue
		}
		if one, passes = c.spoil(line, one, c.outward); passes {
			kept = append(kept, one)
		}
	}
	return c.carry(line, kept, out)
}

// carry takes bytes over the wire to the controller, until it stalls.
func (c *Cable) carry(line *world.Line, b, out []byte) []byte {
	if c.now.Sub(c.free) > idleFor {
		c.burst = 0
	}
	room := len(b)
	switch {
	case c.stalled != when.Never:
		room = 0
	case line.StallsAfterBytes > 0:
		room = min(room, max(line.StallsAfterBytes-c.burst, 0))
	}
	c.burst += room
	out = c.arrive(line, b[:room], out)
	if room < len(b) {
		if c.stalled == when.Never {
			c.stalled = c.now.Add(time.Duration(line.StallS * float64(time.Second)))
		}
		c.hold(b[room:])
	}
	return out
}

// release lets a stalled line flow again: all that waited goes on.
func (c *Cable) release(out []byte) []byte {
	c.stalled, c.burst = when.Never, 0
	out = c.arrive(c.line(), c.held, out)
	c.held = c.held[:0]
	return out
}

// arrive brings bytes to the controller's port, each in its time, where some
// find nobody listening or no room.
func (c *Cable) arrive(line *world.Line, b, out []byte) []byte {
	c.free = max(c.free, c.now)
	perByte := c.perByte()
	for _, one := range b {
		begins := c.free
		c.free += perByte
		if !c.deaf(line, begins) && !c.overflows(line, c.free) {
			out = append(out, one)
		}
	}
	return out
}

// maxHeldBytes bounds what a stalled line keeps; the module's own buffer would
// be smaller.
const maxHeldBytes = 64 << 10

func (c *Cable) hold(b []byte) {
	c.held = append(c.held, b[:min(len(b), maxHeldBytes-len(c.held))]...)
}

// deaf says that a byte begins while the controller's port is not yet listening
// again after it has sent.
func (c *Cable) deaf(line *world.Line, begins when.Instant) bool {
	return line.DeafAfterSendingMS > 0 && c.spoken && begins < c.lastByte.Add(time.Duration(line.DeafAfterSendingMS*float64(time.Millisecond)))
}

// overflows says that a byte finds the controller's buffer full: the controller
// empties it now and then.
func (c *Cable) overflows(line *world.Line, arrives when.Instant) bool {
	if line.ControllerBufferBytes == 0 {
		return false
	}
	window := arrives / max(when.Instant(line.ControllerReadsEveryMS*float64(when.Millisecond)), 1)
	if window != c.window {
		c.window, c.filled = window, 0
	}
	if c.filled >= line.ControllerBufferBytes {
		return true
	}
	c.filled++
	return false
}

// damages says whether the line does anything to single bytes.
func (c *Cable) damages(line *world.Line) bool {
	return line.LostPerMillion > 0 || line.BitErrorsPerMillion > 0 || line.SendingErrorsPerMillion > 0 || line.EatsFlowCharacters
}

// spoil is what the wire makes of one byte; false when it vanishes.
func (c *Cable) spoil(line *world.Line, b byte, chance *rand.Rand) (byte, bool) {
	if line.EatsFlowCharacters && (b == xon || b == xoff) {
		return 0, false
	}
	if line.LostPerMillion > 0 && chance.Float64()*1e6 < line.LostPerMillion {
		return 0, false
	}
	errors := line.BitErrorsPerMillion
	if line.SendingErrorsPerMillion > 0 && c.m.Transmitting(c.now) {
		errors += line.SendingErrorsPerMillion
	}
	if errors > 0 && chance.Float64()*1e6 < errors {
		b ^= 1 << chance.IntN(8)
	}
	return b, true
}

// reread is what a receiver of one frame reads of a character that was sent in
// another, alone on the line. False: it sees a wrong parity or stop bit and
// drops it.
func reread(b byte, sent, read uart.Frame) (byte, bool) {
	if sent == read {
		return b, true
	}
	// The bits on the wire behind the start bit; all that follows is idle.
	bits := ^uint32(0) << sent.DataBits
	bits |= uint32(b) & (1<<sent.DataBits - 1)
	if sent.Parity != uart.None && !parity(b&byte(1<<sent.DataBits-1), sent.Parity) {
		bits &^= 1 << sent.DataBits
	}
	data := byte(bits & (1<<read.DataBits - 1))
	at := read.DataBits
	if read.Parity != uart.None {
		if bits>>at&1 == 1 != parity(data, read.Parity) {
			return 0, false
		}
		at++
	}
	return data, bits>>at&1 == 1
}

// parity is the parity bit of a character.
func parity(b byte, kind uart.Parity) bool {
	odd := false
	for ; b != 0; b &= b - 1 {
		odd = !odd
	}
	switch kind {
	case uart.Even:
		return odd
	case uart.Odd:
		return !odd
	}
	return kind == uart.Mark
}
