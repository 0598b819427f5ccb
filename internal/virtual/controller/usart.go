package controller

import "math/bits"

// The bits of UCSRnA and UCSRnB.
const (
	usartReceived = 1 << 7
	usartSent     = 1 << 6
	usartEmpty    = 1 << 5
	usartFrame    = 1 << 4
	usartOverrun  = 1 << 3
	usartParity   = 1 << 2
	usartDouble   = 1 << 1
	usartMulti    = 1 << 0

	usartRxWants    = 1 << 7
	usartTxWants    = 1 << 6
	usartEmptyWants = 1 << 5
	usartRxOn       = 1 << 4
	usartTxOn       = 1 << 3
	usartNineBits   = 1 << 2
	usartRx8        = 1 << 1
	usartTx8        = 1 << 0
)

// frame is one character as it was received.
type frame struct {
	data               uint16
	badStop, badParity bool
}

// usart is a serial port that works on the levels of its pins.
type usart struct {
	a, b, c uint8
	ubrr    uint16
	base    Cycle // when the baud rate generator was last restarted

	// Sending.
	buffer  uint16
	full    bool
	sending bool
	line    uint16 // the bits of the running frame, the start bit lowest
	bits    int
	began   Cycle
	bit     int // the next one that differs from the one before

	// Receiving.
	fifo     [2]frame
	count    int
	shift    frame
	waiting  bool // a third character stays in the shift register
	overrun  bool
	hearing  bool
	first    Cycle // the sample that saw the start bit
	got      int   // bits so far, the start bit included
	word     uint16
	edges    [16]lineEdge // the last ones: enough to look back three samples
	lastEdge int
}

type lineEdge struct {
	at   Cycle
	high bool
}

func (c *Core) resetUSART(i int, now Cycle) {
	p := c.part.usarts[i]
	u := usart{c: 0x06, base: now}
	q := &c.ports[p.rx.port()]
	u.edges[0].high = q.level&p.rx.mask() != 0
	c.usarts[i] = u
	c.raise(p.sources+ofEmpty, now)
}

// step is the length of one sample of the receiver, in cycles; samples is how many
// make a bit (datasheet, "Equations for calculating baud rate register setting").
func (u *usart) step() Cycle { return Cycle(u.ubrr) + 1 }

func (u *usart) samples() Cycle {
	if u.a&usartDouble != 0 {
		return 8
	}
	return 16
}

// dataBits is UCSZn2:0.
func (u *usart) dataBits() int {
	if u.b&usartNineBits != 0 {
		return 9
	}
	return 5 + int(u.c>>1&3)
}

func (u *usart) stopBits() int { return 1 + int(u.c>>3&1) }

// parity returns the parity bit of data, if there is one.
func (u *usart) parity(data uint16) (bit uint16, on bool) {
	odd := uint16(bits.OnesCount16(data) & 1)
	switch u.c >> 4 & 3 {
	case 2:
		return odd, true
	case 3:
		return odd ^ 1, true
	}
	return 0, false
}

// nextTick is the first sample of the baud rate generator at or after a cycle.
func (u *usart) nextTick(at Cycle) Cycle {
	s := u.step()
	return u.base + (at-u.base+s-1)/s*s
}

func (c *Core) readUSART(r *register, at Cycle) uint8 {
	i := int(r.unit)
	u, src := &c.usarts[i], c.part.usarts[i].sources
	switch r.kind {
	case regUCSRA:
		v := u.a & (usartDouble | usartMulti)
		for s, bit := range [3]uint8{ofReceived: usartReceived, ofEmpty: usartEmpty, ofSent: usartSent} {
			if c.raised&(1<<(src+source(s))) != 0 {
				v |= bit
			}
		}
		if u.overrun {
			v |= usartOverrun
		}
		if u.count > 0 && u.fifo[0].badStop {
			v |= usartFrame
		}
		if u.count > 0 && u.fifo[0].badParity {
			v |= usartParity
		}
		return v
	case regUCSRB:
		v := u.b &^ usartRx8
		if u.fifo[0].data&0x100 != 0 {
			v |= usartRx8
		}
		return v
	}
	c.touched++
	v := uint8(u.fifo[0].data)
	if u.count > 0 {
		u.count--
		u.fifo[0] = u.fifo[1]
		if u.waiting {
			u.fifo[u.count], u.waiting = u.shift, false
			u.count++
		}
		u.overrun = false
	}
	c.holds(src+ofReceived, u.count > 0, at)
	return v
}

func (c *Core) writeUSART(r *register, v uint8, at Cycle) {
	i := int(r.unit)
	u, src := &c.usarts[i], c.part.usarts[i].sources
	c.data[r.addr] = v & r.keep
	switch r.kind {
	case regUCSRA:
		u.a = v & (usartDouble | usartMulti)
		if v&usartSent != 0 {
			c.lower(src + ofSent)
		}
	case regUCSRC:
		u.c = v
		if v>>6 != 0 {
			c.note(NotModelled, r.addr, "makes USART%d synchronous, which is not modelled: it stays asynchronous,", i)
		}
	case regUBRRH:
		u.ubrr = u.ubrr&0xFF | uint16(v&0x0F)<<8
	case regUBRRL:
		u.ubrr = u.ubrr&0xF00 | uint16(v)
		u.base = at // writing the low byte restarts the generator (datasheet, UBRRnL)
	case regUCSRB:
		c.switchUSART(i, v, at)
	case regUDR:
		c.sendUSART(i, v, at)
	}
}

// switchUSART takes what may be switched on and off.
func (c *Core) switchUSART(i int, v uint8, at Cycle) {
	u, p := &c.usarts[i], c.part.usarts[i]
	u.b = v
	if v&(usartRxOn|usartTxOn) != 0 {
		c.offByPRR(1<<1, "the USART")
	}
	c.enable(p.sources+ofReceived, v&usartRxWants != 0, at)
	c.enable(p.sources+ofEmpty, v&usartEmptyWants != 0, at)
	c.enable(p.sources+ofSent, v&usartTxWants != 0, at)
	q := &c.ports[p.rx.port()]
	q.rxOn &^= p.rx.mask()
	if v&usartRxOn != 0 {
		q.rxOn |= p.rx.mask()
	} else {
		// The receiver lets go at once and forgets what it had.
		u.count, u.waiting, u.overrun, u.hearing = 0, false, false, false
		c.lower(p.sources + ofReceived)
		c.setDue(alarmRx+alarm(i), Never)
	}
	c.refresh(p.rx.port(), at)
	c.holdTx(i, at)
}

// holdTx lets the transmitter have its pin as long as it is on or still sending.
func (c *Core) holdTx(i int, at Cycle) {
	u, p := &c.usarts[i], c.part.usarts[i]
	q, bit := &c.ports[p.tx.port()], p.tx.mask()
	on := u.b&usartTxOn != 0 || u.sending
	if on && q.txOn&bit == 0 {
		q.txVal |= bit
	}
	q.txOn &^= bit
	if on {
		q.txOn |= bit
	}
	c.refresh(p.tx.port(), at)
}

func (c *Core) sendUSART(i int, v uint8, at Cycle) {
	u, src := &c.usarts[i], c.part.usarts[i].sources
	addr := c.where[regUDR]
	switch {
	case u.b&usartTxOn == 0:
		c.note(Refused, addr, "writes UDR%d while the transmitter is off: nothing is sent,", i)
		return
	case u.full:
		c.note(Refused, addr, "writes UDR%d while it is full (UDRE is 0): the byte is lost,", i)
		return
	}
	u.buffer, u.full = uint16(v)|uint16(u.b&usartTx8)<<8, true
	c.lower(src + ofEmpty)
	if !u.sending {
		// Our estimate: the frame begins with the next tick of the baud rate generator.
		u.sending, u.bits = true, 0
		c.setDue(alarmTx+alarm(i), u.nextTick(at+1))
	}
}

// load takes the next character into the shift register.
func (c *Core) loadUSART(i int, at Cycle) {
	u, src := &c.usarts[i], c.part.usarts[i].sources
	n := u.dataBits()
	data := u.buffer & (1<<n - 1)
	u.line, u.bits = data<<1, 1+n
	if bit, on := u.parity(data); on {
		u.line |= bit << u.bits
		u.bits++
	}
	u.line |= 3 << u.bits // stop bits
	u.bits += u.stopBits()
	u.began, u.bit, u.full = at, 0, false
	c.raise(src+ofEmpty, at)
}

// transmit is the moment of a change on the transmit line, or of the end of a frame.
func (c *Core) transmit(i int, at Cycle) {
	u, p := &c.usarts[i], c.part.usarts[i]
	if u.bits == 0 || u.bit >= u.bits {
		if !u.full {
			u.sending = false
			c.raise(p.sources+ofSent, at)
			c.holdTx(i, at)
			return
		}
		c.loadUSART(i, at)
	}
	q, bit := &c.ports[p.tx.port()], p.tx.mask()
	level := u.line >> u.bit & 1
	q.txVal &^= bit
	if level != 0 {
		q.txVal |= bit
	}
	c.refresh(p.tx.port(), at)
	for u.bit++; u.bit < u.bits && u.line>>u.bit&1 == level; u.bit++ {
	}
	c.setDue(alarmTx+alarm(i), u.began+Cycle(u.bit)*u.samples()*u.step())
}
