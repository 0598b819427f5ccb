package controller

// The bits of TWCR.
const (
	twiFlag      = 1 << 7
	twiAnswer    = 1 << 6
	twiStart     = 1 << 5
	twiStop      = 1 << 4
	twiOn        = 1 << 2
	twiInterrupt = 1 << 0
)

// The states of TWSR that a master meets on a bus with nobody else on it
// (datasheet, "Status codes for master transmitter mode" and "receiver mode").
const (
	twiStarted   = 0x08
	twiRestarted = 0x10
	twiWriteNack = 0x20
	twiDataNack  = 0x30
	twiReadNack  = 0x48
	twiIdle      = 0xF8
)

// twi is a master on a bus with pull-ups and nobody else: every address is refused.
type twi struct {
	owns   bool // between START and STOP
	addr   bool // the next byte is an address
	next   uint8
	status uint8
}

// twiBit is the length of one bit (datasheet, "Bit rate generator unit").
func (c *Core) twiBit() Cycle {
	rate := Cycle(c.data[c.where[regTWBR]])
	return 16 + 2*rate<<(2*(c.data[c.where[regTWSR]]&3))
}

func (c *Core) readTWI(kind regKind) uint8 {
	if kind == regTWSR {
		status := c.twi.status
		if status == 0 {
			status = twiIdle
		}
		return c.data[c.where[regTWSR]]&3 | status
	}
	v := c.data[c.where[regTWCR]]
	if c.raised&(1<<srcTWI) != 0 {
		v |= twiFlag
	}
	return v
}

func (c *Core) writeTWI(r *register, v uint8, at Cycle) {
	switch r.kind {
	case regTWSR:
		c.data[r.addr] = v & 3
	case regTWDR:
		c.data[r.addr] = v
	case regTWCR:
		c.data[r.addr] = v & (twiAnswer | twiStart | twiStop | twiOn | twiInterrupt)
		c.enable(srcTWI, v&twiInterrupt != 0, at)
		if v&twiOn == 0 {
			c.twi = twi{}
			c.lower(srcTWI)
			c.setDue(alarmTWI, Never)
			return
		}
		if v&twiFlag != 0 && !c.offByPRR(1<<7, "the TWI") {
			c.lower(srcTWI)
			c.twiAct(v, at)
		}
	}
}

// twiAct begins what the bits ask for, once the flag has been cleared.
func (c *Core) twiAct(v uint8, at Cycle) {
	t := &c.twi
	bit := c.twiBit()
	switch {
	case v&twiStop != 0:
		t.owns, t.next = false, twiIdle
		c.setDue(alarmTWI, at+bit)
	case v&twiStart != 0:
		t.next = twiStarted
		if t.owns {
			t.next = twiRestarted
		}
		t.owns, t.addr = true, true
		c.setDue(alarmTWI, at+bit)
	case t.owns:
		t.next = twiDataNack
		if t.addr {
			t.next = twiWriteNack
			if c.data[c.where[regTWDR]]&1 != 0 {
				t.next = twiReadNack
			}
		}
		t.addr = false
		c.setDue(alarmTWI, at+9*bit)
	}
}

func (c *Core) twiDone(at Cycle) {
	t := &c.twi
	addr := c.where[regTWCR]
	t.status = t.next
	if t.next != twiIdle {
		c.raise(srcTWI, at)
		return
	}
	c.data[addr] &^= twiStop
	if c.data[addr]&twiStart != 0 { // STOP and START were asked for together
		c.twiAct(twiStart, at)
	}
}
