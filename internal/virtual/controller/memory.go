package controller

// Places in data space that every part of the family has.
const (
	ioBase = 0x20 // data address of I/O address 0
	regX   = 26
	regY   = 28
	regZ   = 30
	rampZ  = ioBase + 0x3B
	eind   = ioBase + 0x3C

	dataSpan = 1 << 14 // bytes kept for data space: the largest part has 8.5 KiB
)

func (c *Core) pair(a uint8) uint32 { return uint32(c.data[a]) | uint32(c.data[a+1])<<8 }

// bump changes a pointer register and returns the address to use: the old value
// moved by before.
func (c *Core) bump(a uint8, before, by int32) uint32 {
	old := c.pair(a)
	v := uint16(int32(old) + by)
	c.data[a], c.data[a+1] = uint8(v), uint8(v>>8)
	return uint32(uint16(int32(old) + before))
}

func (c *Core) farZ() uint32 { return c.pair(regZ) | uint32(c.data[rampZ])<<16 }

func (c *Core) farJump() uint32 { return c.pair(regZ) | uint32(c.data[eind])<<16 }

func (c *Core) flashByte(addr uint32) uint8 {
	word := c.flash[addr>>1&c.lastPC]
	return uint8(word >> (addr & 1 * 8))
}

// load reads data space in the last cycle of the running instruction.
func (c *Core) load(addr uint32) uint8 {
	switch {
	case addr >= c.part.RAMStart && addr <= c.ramEnd, addr < ioBase:
		return c.data[addr]
	case addr < c.part.RAMStart:
		return c.readIO(uint16(addr), c.cycle+c.cost-1)
	}
	c.note(BeyondRAM, uint16(addr), "reads 0x%04X, where this part has no memory (RAM ends at 0x%04X)", addr, c.ramEnd)
	return 0
}

// store writes data space at the end of the running instruction.
func (c *Core) store(addr uint32, v uint8) {
	switch {
	case addr >= c.part.RAMStart && addr <= c.ramEnd, addr < ioBase:
		c.data[addr] = v
	case addr < c.part.RAMStart:
		c.writeIO(uint16(addr), v, c.cycle+c.cost)
	default:
		c.note(BeyondRAM, uint16(addr), "writes 0x%04X, where this part has no memory (RAM ends at 0x%04X)", addr, c.ramEnd)
	}
}

// changeBit is SBI and CBI. In registers of flags they touch that one bit alone
// (datasheet, "Register summary", note 3).
func (c *Core) changeBit(addr uint32, bit uint8, on bool) {
	switch c.regAt[addr].kind {
	case regPIN, regTIFR, regPCIFR, regEIFR:
		if on {
			c.writeIO(uint16(addr), bit, c.cycle+c.cost)
		}
		return
	}
	v := c.readIO(uint16(addr), c.cycle+c.cost-1) &^ bit
	if on {
		v |= bit
	}
	c.writeIO(uint16(addr), v, c.cycle+c.cost)
}

// push puts a byte on the stack, which must lie in RAM: a stack among the registers
// of peripherals is the end of any program.
func (c *Core) push(v uint8) {
	sp := uint32(c.sp)
	if sp < c.part.RAMStart || sp > c.ramEnd {
		c.halt(StackOutside, "pushes to 0x%04X, outside RAM (0x%04X to 0x%04X)", sp, c.part.RAMStart, c.ramEnd)
		return
	}
	c.data[sp] = v
	c.sp--
	if c.sp < c.deepest {
		c.deepest = c.sp
	}
}

func (c *Core) pop() uint8 {
	c.sp++
	sp := uint32(c.sp)
	if sp < c.part.RAMStart || sp > c.ramEnd {
		c.halt(StackOutside, "pops from 0x%04X, outside RAM (0x%04X to 0x%04X)", sp, c.part.RAMStart, c.ramEnd)
		return 0
	}
	return c.data[sp]
}

func (c *Core) pushPC(pc uint32) {
	c.push(uint8(pc))
	c.push(uint8(pc >> 8))
	if c.part.wideCalls {
		c.push(uint8(pc >> 16))
	}
}

func (c *Core) popPC() uint32 {
	var pc uint32
	if c.part.wideCalls {
		pc = uint32(c.pop()) << 16
	}
	pc |= uint32(c.pop()) << 8
	return pc | uint32(c.pop())
}

// Deepest is the lowest address that the stack has had in use since the last reset.
func (c *Core) Deepest() uint16 { return c.deepest + 1 }
