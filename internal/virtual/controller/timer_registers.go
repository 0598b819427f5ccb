package controller

// tifr is where each source of a timer has its bit in TIFRn and TIMSKn.
var tifr = [5]uint8{ofOverflow: 1 << 0, ofMatchA: 1 << 1, ofMatchB: 1 << 2, ofMatchC: 1 << 3, ofCapture: 1 << 5}

func (c *Core) readTimer(r *register, at Cycle) uint8 {
	i := int(r.unit)
	t := &c.timers[i]
	c.syncTimer(i, at)
	switch r.kind {
	case regTIFR:
		if !t.polled {
			t.polled = true
			c.plan(i)
		}
		var v uint8
		for s, bit := range tifr {
			if c.raised&(1<<(t.sources+source(s))) != 0 {
				v |= bit
			}
		}
		return v
	case regTCCRB:
		return t.b
	case regTCNT:
		c.touched++ // it counts on
		t.temp = uint8(t.tcnt >> 8)
		return uint8(t.tcnt)
	case regTCNTH, regICRH:
		return t.temp
	case regICR:
		c.touched++
		t.temp = uint8(t.icr >> 8)
		return uint8(t.icr)
	case regOCRA:
		return uint8(t.buffer[0])
	case regOCRAH:
		return uint8(t.buffer[0] >> 8)
	case regOCRB:
		return uint8(t.buffer[1])
	case regOCRBH:
		return uint8(t.buffer[1] >> 8)
	}
	return 0
}

func (c *Core) writeTimer(r *register, v uint8, at Cycle) {
	if r.kind == regGTCCR {
		c.writeGTCCR(r, v, at)
		return
	}
	i := int(r.unit)
	t := &c.timers[i]
	c.syncTimer(i, at)
	word := uint16(v)
	if c.part.timers[i].wide {
		word |= uint16(t.temp) << 8
	}
	switch r.kind {
	case regTIFR:
		for s, bit := range tifr {
			if v&bit != 0 {
				c.lower(t.sources + source(s))
			}
		}
	case regTIMSK:
		c.data[r.addr] = v & r.keep
		for s, bit := range tifr {
			c.enable(t.sources+source(s), v&bit&r.keep != 0, at)
		}
	case regTCNTH, regOCRAH, regOCRBH, regICRH:
		t.temp = v
	case regTCNT:
		t.tcnt, t.blocked = word, true
	case regOCRA:
		t.setCompare(0, word)
	case regOCRB:
		t.setCompare(1, word)
	case regICR:
		if t.mode.from == topICR {
			t.icr = word
		} else {
			c.note(Refused, r.addr, "writes ICR%d in a mode that does not use it as TOP: nothing is written,", i)
		}
	default:
		c.writeControl(r, v, at)
	}
	c.plan(i)
}

// setCompare writes OCRnx: at once, or through the buffer of the PWM modes.
func (t *timer) setCompare(ch int, v uint16) {
	t.buffer[ch] = v
	if !t.mode.pwm() {
		t.ocr[ch] = v
	}
}

// writeControl writes TCCRnA, TCCRnB or TCCRnC.
func (c *Core) writeControl(r *register, v uint8, at Cycle) {
	i := int(r.unit)
	t := &c.timers[i]
	wide := c.part.timers[i].wide
	switch r.kind {
	case regTCCRA:
		t.a = v & r.keep
		c.data[r.addr] = t.a
	case regTCCRB:
		t.b = v & r.keep
	}
	if wide {
		t.mode = modes16[t.a&3|t.b>>1&0x0C]
	} else {
		t.mode = modes8[t.a&3|t.b>>1&4]
	}
	if !t.mode.pwm() {
		t.ocr = t.buffer
	}
	if !t.mode.twoSlopes() {
		t.down = false
	}
	force := r.kind == regTCCRC && wide || r.kind == regTCCRB && !wide
	for ch := range t.channels {
		if com := t.com(ch); force && v&(0x80>>ch) != 0 && !t.mode.pwm() && com != 0 {
			t.oc[ch] = com == 3 || com == 1 && !t.oc[ch]
		}
		c.showOC(i, ch, at)
	}
	if r.kind == regTCCRB {
		c.setClock(i, at)
	}
}

// writeGTCCR resets and holds prescalers.
func (c *Core) writeGTCCR(r *register, v uint8, at Cycle) {
	const hold, resetAsync, resetSync = 1 << 7, 1 << 1, 1 << 0
	c.syncTimers(at)
	c.data[r.addr] = 0
	if v&hold != 0 {
		c.data[r.addr] = v & (hold | resetAsync | resetSync)
	}
	for n, bit := range [2]uint8{resetSync, resetAsync} {
		p := &c.prescale[n]
		if p.held || v&bit != 0 {
			p.base = at
		}
		p.held = v&hold != 0 && v&bit != 0
	}
	for i := range c.timers {
		c.plan(i)
	}
}
