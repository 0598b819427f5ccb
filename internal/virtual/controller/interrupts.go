package controller

import "math/bits"

// Held is the longest time that one kind of interrupt had to wait.
type Held struct {
	Vector string // as avr-libc names it
	For    Cycle  // from the flag to the first instruction of the vector
	At     Cycle  // when it was let in
	PC     uint32 // byte address of the instruction that ran before it
}

// interruptCycles is the datasheet's response time, with the push of the return
// address ("Interrupt response time"); a wide program counter takes one more.
const interruptCycles = 4

// selfClearing are the sources whose flag is cleared when their vector is entered
// (datasheet, at each flag). The others stay until their cause is gone.
const selfClearing = uint64(0xFFF)<<srcINT0 | 1<<srcWatchdog | (1<<30-1)<<srcTimer0 |
	1<<(srcUSART0+ofSent) | 1<<(srcUSART0+3+ofSent) | 1<<(srcUSART0+6+ofSent) | 1<<(srcUSART0+9+ofSent) |
	1<<srcSPI | 1<<srcADC | 1<<srcAnalog

func (c *Core) raise(s source, at Cycle) {
	if c.raised&(1<<s) == 0 {
		c.raised |= 1 << s
		c.raisedAt[s] = at
		c.adcTrigger(s, at)
	}
}

func (c *Core) lower(s source) { c.raised &^= 1 << s }

// holds raises or lowers a flag that follows a condition.
func (c *Core) holds(s source, on bool, at Cycle) {
	if on {
		c.raise(s, at)
	} else {
		c.lower(s)
	}
}

// enable sets whether a source may interrupt. A flag that waited so far waits anew.
func (c *Core) enable(s source, on bool, at Cycle) {
	was := c.enabled&(1<<s) != 0
	if on && !was {
		c.raisedAt[s] = max(c.raisedAt[s], at)
	}
	c.enabled &^= 1 << s
	if on {
		c.enabled |= 1 << s
	}
}

// interrupt enters the vector of the first pending source in the datasheet's order.
func (c *Core) interrupt() {
	var chosen source
	best := uint8(255)
	for waiting := c.raised & c.enabled; waiting != 0; waiting &= waiting - 1 {
		s := source(bits.TrailingZeros64(waiting))
		if n := c.priority[s]; n != 0 && n < best {
			best, chosen = n, s
		}
	}
	if best == 255 {
		c.enabled &= c.known()
		return
	}
	c.touched++
	if waited := c.cycle - min(c.cycle, c.raisedAt[chosen]); waited+interruptCycles > c.held[chosen].For {
		c.held[chosen] = Held{c.vectorName(chosen), waited + interruptCycles, c.cycle, c.pc * 2}
	}
	if selfClearing&(1<<chosen) != 0 && c.levels&(1<<chosen) == 0 {
		c.lower(chosen)
	}
	switch {
	case chosen == srcWatchdog:
		c.watchdogEntered()
	case chosen >= srcTimer0 && chosen < srcUSART0:
		c.plan(int(chosen-srcTimer0) / 5) // the flag may be raised again
	}
	c.lastIRQ = c.vectorName(chosen)
	c.idle.entered(c.cycle)
	c.pushPC(c.pc)
	if c.stopped {
		return
	}
	c.sreg &^= flagI
	c.pc = uint32(best) * c.part.VectorWords & c.lastPC
	c.cycle += interruptCycles
	if c.part.wideCalls {
		c.cycle++
	}
}

// known are the sources that the part has vectors for.
func (c *Core) known() uint64 {
	var known uint64
	for _, v := range c.part.vectors {
		known |= 1 << v.source
	}
	return known
}

func (c *Core) vectorName(s source) string {
	if n := c.priority[s]; n != 0 {
		return c.part.vectors[n-1].name
	}
	return "no vector"
}

// Held lists how long interrupts were held off at worst, in the order of the vectors.
func (c *Core) Held() []Held {
	var list []Held
	for _, v := range c.part.vectors {
		if h := c.held[v.source]; h.For > 0 {
			list = append(list, h)
		}
	}
	return list
}
