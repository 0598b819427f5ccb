package controller

// The bits of EECR.
const (
	eepromRead    = 1 << 0
	eepromWrite   = 1 << 1
	eepromMaster  = 1 << 2
	eepromWants   = 1 << 3
	eepromModes   = 3 << 4
	eepromOnlyFF  = 1 << 4
	eepromOnlyAnd = 2 << 4
)

// Programming times of the datasheet ("EEPROM mode bits"), in milliseconds, and how
// long the processor waits when an access begins.
const (
	eepromBothMS     = 3.4
	eepromOneMS      = 1.8
	eepromWriteHalts = 2
	eepromReadHalts  = 4
)

type eeprom struct {
	data     []uint8
	openTill Cycle // EEMPE is set
	busy     bool
	addr     uint16
	value    uint8
	mode     uint8
}

// EEPROM returns what the EEPROM holds now.
func (c *Core) EEPROM() []uint8 { return append([]uint8(nil), c.eeprom.data...) }

func (c *Core) readEECR(at Cycle) uint8 {
	v := c.data[c.where[regEECR]]
	if at <= c.eeprom.openTill && c.eeprom.openTill != 0 {
		v |= eepromMaster
		c.touched++
	}
	if c.eeprom.busy {
		v |= eepromWrite
	}
	return v
}

func (c *Core) writeEECR(v uint8, at Cycle) {
	e := &c.eeprom
	addr := c.where[regEECR]
	open := e.openTill != 0 && at <= e.openTill
	if !e.busy {
		c.data[addr] = v & (eepromModes | eepromWants)
	} else {
		c.data[addr] = c.data[addr]&eepromModes | v&eepromWants
	}
	place := uint16(c.data[addr+2]) | uint16(c.data[addr+3])<<8
	switch {
	case v&eepromWrite != 0 && open && !e.busy:
		e.busy, e.openTill = true, 0
		e.addr, e.value, e.mode = place%uint16(len(e.data)), c.data[addr+1], v&eepromModes
		ms := eepromBothMS
		if e.mode != 0 {
			ms = eepromOneMS
		}
		c.cost += eepromWriteHalts
		c.setDue(alarmEEPROM, at+c.cyclesOf(ms))
	case v&eepromWrite != 0 && !e.busy:
		c.note(Refused, addr, "sets EEPE outside the four cycles after EEMPE: nothing is written to EEPROM,")
	case v&eepromMaster != 0 && v&eepromWrite == 0:
		e.openTill = at + changeCycles
	}
	if v&eepromRead != 0 {
		if e.busy {
			c.note(Refused, addr, "reads EEPROM while it is being written: nothing is read,")
		} else {
			c.data[addr+1] = e.data[place%uint16(len(e.data))]
			c.cost += eepromReadHalts
		}
	}
	c.eepromReady(at)
}

func (c *Core) eepromReady(at Cycle) {
	wants := c.data[c.where[regEECR]]&eepromWants != 0
	c.enable(srcEEPROM, wants, at)
	c.holds(srcEEPROM, !c.eeprom.busy, at)
}

func (c *Core) eepromDone(at Cycle) {
	e := &c.eeprom
	switch e.mode {
	case eepromOnlyFF:
		e.data[e.addr] = 0xFF
	case eepromOnlyAnd:
		e.data[e.addr] &= e.value
	default:
		e.data[e.addr] = e.value
	}
	e.busy = false
	c.eepromReady(at)
}
