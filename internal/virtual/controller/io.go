package controller

// pullUpsOff is PUD in MCUCR.
const pullUpsOff = 1 << 4

// readIO reads a register at a cycle.
func (c *Core) readIO(addr uint16, at Cycle) uint8 {
	r := &c.regAt[addr]
	switch r.kind {
	case regSREG:
		return c.sreg
	case regSPL:
		return uint8(c.sp)
	case regSPH:
		return uint8(c.sp >> 8)
	}
	c.idle.reading = addr
	c.idle.ioReads++
	if c.next <= at {
		c.catchUp(at)
	}
	switch r.kind {
	case regPlain, regSMCR, regADCSRB, regADMUX, regTWBR, regDDR, regPORT, regEIMSK, regEICRA, regPCMSK, regPCICR, regTIMSK, regTCCRA, regGTCCR,
		regMCUSR, regMCUCR, regPRR, regSPCR, regUCSRC, regUBRRL, regUBRRH, regTWDR:
		return c.data[addr]
	case regEECR:
		return c.readEECR(at)
	case regPIN:
		c.floating(r.unit)
		return c.readPins(r.unit, at)
	case regPCIFR:
		return uint8(c.raised>>srcPCINT0) & 0x0F
	case regEIFR:
		return uint8((c.raised&^c.levels)>>srcINT0) & uint8(1<<len(c.part.external)-1)
	case regTIFR, regTCCRB, regTCNT, regTCNTH, regOCRA, regOCRAH, regOCRB, regOCRBH, regICR, regICRH:
		return c.readTimer(r, at)
	case regUCSRA, regUCSRB, regUDR:
		return c.readUSART(r, at)
	case regADCL, regADCH:
		return c.readADC(r.kind)
	case regADCSRA:
		return c.readADCSRA()
	case regSPSR, regSPDR:
		return c.readSPI(r.kind)
	case regTWSR, regTWCR:
		return c.readTWI(r.kind)
	case regWDTCSR:
		return c.readWatchdog(at)
	case regTCCRC, regSPMCSR, regASSR, regCLKPR:
		return c.data[addr]
	case regACSR:
		c.note(NotModelled, addr, "reads ACSR, and the analogue comparator is not modelled: it reads as not triggered,")
		return c.data[addr]
	}
	c.note(NotModelled, addr, "reads 0x%02X, where the %s has no register", addr, c.part.Name)
	return 0
}

// writeIO writes a register at a cycle. What happens at that very cycle happens before.
func (c *Core) writeIO(addr uint16, v uint8, at Cycle) {
	r := &c.regAt[addr]
	switch r.kind {
	case regSREG:
		if v&flagI != 0 && c.sreg&flagI == 0 {
			c.shadow = true
		}
		c.sreg = v
		return
	case regSPL:
		c.sp = c.sp&0xFF00 | uint16(v)
		c.stackMoved()
		return
	case regSPH:
		c.sp = c.sp&0x00FF | uint16(v)<<8
		c.stackMoved()
		return
	}
	if c.next <= at {
		c.catchUp(at)
	}
	if r.kind != regPlain || c.data[addr] != v&r.keep {
		c.touched++
	}
	switch r.kind {
	case regPlain, regSMCR, regADMUX, regTWBR:
		c.data[addr] = v & r.keep
	case regADCSRB:
		c.data[addr] = v & r.keep
		c.planTimers(at)
	case regPIN, regDDR, regPORT:
		c.writePort(r, v, at)
	case regPCIFR, regPCICR, regPCMSK, regEIFR, regEIMSK, regEICRA:
		c.writeEdges(r, v, at)
	case regTIFR, regTIMSK, regTCCRA, regTCCRB, regTCCRC, regTCNT, regTCNTH, regOCRA, regOCRAH, regOCRB, regOCRBH, regICR, regICRH, regGTCCR:
		c.writeTimer(r, v, at)
	case regUCSRA, regUCSRB, regUCSRC, regUBRRL, regUBRRH, regUDR:
		c.writeUSART(r, v, at)
	case regEECR:
		c.writeEECR(v, at)
	case regADCSRA:
		c.writeADCSRA(v, at)
	case regADCL, regADCH:
		c.note(Refused, addr, "writes %s, which can only be read,", r.name)
	case regSPCR, regSPSR, regSPDR:
		c.writeSPI(r, v, at)
	case regTWSR, regTWDR, regTWCR:
		c.writeTWI(r, v, at)
	case regWDTCSR:
		c.writeWatchdog(v, at)
	case regMCUSR:
		c.data[addr] &= v // flags are cleared by writing zero
	default:
		c.writeRest(addr, v, at)
	}
}

// writeRest is for registers that switch what is not modelled, or only in part.
func (c *Core) writeRest(addr uint16, v uint8, at Cycle) {
	r := &c.regAt[addr]
	switch r.kind {
	case regMCUCR:
		c.writeMCUCR(v, at)
	case regPRR:
		c.data[r.addr] = v & r.keep
		c.powerReduced(at)
	case regCLKPR:
		c.writeCLKPR(r, v, at)
	case regASSR:
		if v&(1<<5|1<<6) != 0 {
			c.note(NotModelled, r.addr, "runs timer 2 from a crystal of its own, which is not modelled; it stays with the main clock,")
		}
	case regACSR:
		const comparatorOff, comparatorInterrupt = 1 << 7, 1 << 3
		c.data[r.addr] = v & r.keep
		if v&comparatorOff == 0 && v&comparatorInterrupt != 0 {
			c.note(NotModelled, r.addr, "wants interrupts of the analogue comparator, which is not modelled,")
		}
	case regSPMCSR:
		if v&1 != 0 {
			c.halt(SelfProgrammed, "wants to program its own flash (SPMCSR is 0x%02X), which is refused: this stands for a part without a boot loader", v)
		}
	default:
		c.note(NotModelled, addr, "writes 0x%02X to 0x%02X, where the %s has no register", v, addr, c.part.Name)
	}
}

// stackMoved keeps the low-water mark of a stack pointer that was set by hand, but
// not of one that is only half written.
func (c *Core) stackMoved() {
	if uint32(c.sp) >= c.part.RAMStart && uint32(c.sp) <= c.ramEnd && c.sp < c.deepest && c.deepest-c.sp < 256 {
		c.deepest = c.sp
	}
}

func (c *Core) writePort(r *register, v uint8, at Cycle) {
	q := &c.ports[r.unit]
	if q.ocOn != 0 {
		c.syncTimers(at) // what a compare output has may only be known now
		defer c.planTimers(at)
	}
	switch r.kind {
	case regDDR:
		q.ddr = v & r.keep
		c.data[r.addr] = q.ddr
	case regPORT:
		q.out = v & r.keep
		c.data[r.addr] = q.out
	case regPIN: // writing a one toggles PORTx (datasheet, "Toggling the pin")
		q.out = (q.out ^ v) & q.has
		c.data[r.addr+2] = q.out
	}
	c.refresh(r.unit, at)
}

func (c *Core) writeEdges(r *register, v uint8, at Cycle) {
	c.syncTimers(at)
	defer c.planTimers(at)
	switch r.kind {
	case regPCIFR:
		c.raised &^= uint64(v&0x07) << srcPCINT0
	case regEIFR:
		c.raised &^= uint64(v&uint8(1<<len(c.part.external)-1)) << srcINT0 &^ c.levels
	case regPCICR:
		c.data[r.addr] = v & r.keep
		for g := range source(3) {
			c.enable(srcPCINT0+g, v&(1<<g) != 0, at)
		}
	case regPCMSK:
		c.data[r.addr] = v & r.keep
		c.changeMask[r.unit] = v & r.keep
	case regEIMSK:
		c.data[r.addr] = v & r.keep
		for i := range c.part.external {
			c.enable(srcINT0+source(i), v&(1<<i) != 0, at)
		}
	case regEICRA:
		c.data[r.addr] = v & r.keep
		for i, p := range c.part.external {
			c.externalLevel(uint8(i), c.ports[p.port()].level&p.mask() != 0, at)
		}
	}
}

// senseOf returns how an external interrupt is sensed: 0 low level, 1 any edge,
// 2 falling, 3 rising (datasheet, EICRA).
func (c *Core) senseOf(i uint8) uint8 {
	return c.data[c.where[regEICRA]+uint16(i/4)] >> (i % 4 * 2) & 3
}

func (c *Core) externalEdge(i uint8, high bool, at Cycle) {
	switch c.senseOf(i) {
	case 0:
		c.externalLevel(i, high, at)
		return
	case 2:
		if high {
			return
		}
	case 3:
		if !high {
			return
		}
	}
	if c.asleep.stopsIO() {
		return // edges on INTn need the I/O clock (datasheet, "External interrupts")
	}
	c.later(at+externalDelay, effectExternal, i)
}

// externalLevel follows a pin that interrupts as long as it is low.
func (c *Core) externalLevel(i uint8, high bool, at Cycle) {
	s := srcINT0 + source(i)
	was := c.levels&(1<<s) != 0
	c.levels &^= 1 << s
	if c.senseOf(i) == 0 {
		c.levels |= 1 << s
		c.holds(s, !high, at)
	} else if was {
		c.lower(s)
	}
}
