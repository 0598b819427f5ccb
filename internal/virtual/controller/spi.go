package controller

// The bits of SPCR and SPSR.
const (
	spiInterrupt = 1 << 7
	spiOn        = 1 << 6
	spiMaster    = 1 << 4
	spiFlag      = 1 << 7
	spiCollision = 1 << 6
	spiDouble    = 1 << 0
)

// spi is a master that talks to nobody: a transfer takes its time and brings what an
// open data line has.
type spi struct {
	busy     bool
	collided bool
	seen     bool // SPSR was read with the flag set: the next access to SPDR clears it
	received uint8
}

// spiDividers are the clock rates of SPR1:0 (datasheet, "Relationship between SCK and
// the oscillator frequency"); SPI2X halves them.
var spiDividers = [4]Cycle{4, 16, 64, 128}

func (c *Core) readSPI(kind regKind) uint8 {
	flag := c.raised&(1<<srcSPI) != 0
	if kind == regSPSR {
		v := c.data[c.where[regSPSR]]
		if flag {
			v |= spiFlag
			if !c.spi.seen {
				c.touched++
			}
			c.spi.seen = true
		}
		if c.spi.collided {
			v |= spiCollision
		}
		return v
	}
	c.spiAccess()
	return c.spi.received
}

func (c *Core) spiAccess() {
	if c.spi.seen {
		c.touched++
		c.spi.seen, c.spi.collided = false, false
		c.lower(srcSPI)
	}
}

func (c *Core) writeSPI(r *register, v uint8, at Cycle) {
	switch r.kind {
	case regSPCR:
		c.data[r.addr] = v
		c.enable(srcSPI, v&spiInterrupt != 0, at)
		if v&(spiOn|spiMaster) == spiOn {
			c.note(NotModelled, r.addr, "makes the SPI a slave, which is not modelled: nobody ever talks to it,")
		}
	case regSPSR:
		c.data[r.addr] = v & spiDouble
	case regSPDR:
		c.spiAccess()
		c.spiSend(at)
	}
}

func (c *Core) spiSend(at Cycle) {
	addr := c.where[regSPCR]
	v := c.data[addr]
	switch {
	case v&spiOn == 0:
		c.note(Refused, c.where[regSPDR], "writes SPDR while the SPI is off,")
		return
	case v&spiMaster == 0 || c.offByPRR(1<<2, "the SPI"):
		return
	case c.spi.busy:
		c.spi.collided = true
		return
	}
	ss := c.part.spi[0]
	q := &c.ports[ss.port()]
	if q.ddr&ss.mask() == 0 && q.level&ss.mask() == 0 {
		// Another master has taken the bus (datasheet, "SS pin functionality").
		c.data[addr] &^= spiMaster
		c.raise(srcSPI, at)
		c.note(Refused, addr, "loses its place as SPI master: SS (%v) is an input and low,", ss)
		return
	}
	div := spiDividers[v&3]
	if c.data[c.where[regSPSR]]&spiDouble != 0 {
		div /= 2
	}
	c.spi.busy = true
	c.setDue(alarmSPI, at+8*div)
}

func (c *Core) spiDone(at Cycle) {
	miso := c.part.spi[2]
	q := &c.ports[miso.port()]
	c.spi.busy, c.spi.received = false, 0
	if q.level&miso.mask() != 0 {
		c.spi.received = 0xFF
	}
	if q.floats&miso.mask() != 0 {
		c.note(FloatingRead, uint16(miso), "reads SPI data from %v, which nobody drives: it is 0x00,", miso)
	}
	c.raise(srcSPI, at)
}
