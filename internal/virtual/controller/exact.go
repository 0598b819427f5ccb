package controller

// The bits of SREG.
const (
	flagC = 1 << iota
	flagZ
	flagN
	flagV
	flagS
	flagH
	flagT
	flagI
)

// step carries out one instruction as the instruction set manual describes it, with
// all that hangs on it: registers of peripherals, waits, stops. It is the plain
// way; sprint is the fast one and must come to the same.
func (c *Core) step() { c.exec(&c.plain[c.pc]) }

func (c *Core) exec(o *op) {
	c.nextPC = (c.pc + uint32(o.words)) & c.lastPC
	c.cost = Cycle(o.cycles)
	d := &c.data
	switch o.kind {
	case kNOP:
	case kMOVW:
		d[o.a], d[o.a+1] = d[o.b], d[o.b+1]
	case kMOV:
		d[o.a] = d[o.b]
	case kLDI:
		d[o.a] = uint8(o.k)
	case kSWAP:
		d[o.a] = d[o.a]<<4 | d[o.a]>>4

	case kADD:
		d[o.a] = c.add(d[o.a], d[o.b], 0)
	case kADC:
		d[o.a] = c.add(d[o.a], d[o.b], c.sreg&flagC)
	case kSUB:
		d[o.a] = c.sub(d[o.a], d[o.b], 0, false)
	case kSUBI:
		d[o.a] = c.sub(d[o.a], uint8(o.k), 0, false)
	case kSBC:
		d[o.a] = c.sub(d[o.a], d[o.b], c.sreg&flagC, true)
	case kSBCI:
		d[o.a] = c.sub(d[o.a], uint8(o.k), c.sreg&flagC, true)
	case kCP:
		c.sub(d[o.a], d[o.b], 0, false)
	case kCPI:
		c.sub(d[o.a], uint8(o.k), 0, false)
	case kCPC:
		c.sub(d[o.a], d[o.b], c.sreg&flagC, true)
	case kAND:
		d[o.a] = c.logic(d[o.a] & d[o.b])
	case kANDI:
		d[o.a] = c.logic(d[o.a] & uint8(o.k))
	case kOR:
		d[o.a] = c.logic(d[o.a] | d[o.b])
	case kORI:
		d[o.a] = c.logic(d[o.a] | uint8(o.k))
	case kEOR:
		d[o.a] = c.logic(d[o.a] ^ d[o.b])
	case kCOM:
		d[o.a] = c.logic(^d[o.a])
		c.sreg |= flagC
	case kNEG:
		d[o.a] = c.sub(0, d[o.a], 0, false)
	case kINC:
		r := d[o.a] + 1
		d[o.a] = r
		c.set(flagV, r == 0x80)
		c.signAndZero(r)
	case kDEC:
		r := d[o.a] - 1
		d[o.a] = r
		c.set(flagV, r == 0x7F)
		c.signAndZero(r)
	case kLSR:
		d[o.a] = c.shifted(d[o.a], d[o.a]>>1)
	case kASR:
		d[o.a] = c.shifted(d[o.a], d[o.a]>>1|d[o.a]&0x80)
	case kROR:
		d[o.a] = c.shifted(d[o.a], d[o.a]>>1|c.sreg<<7)
	case kADIW:
		c.addWord(o.a, o.k)
	case kSBIW:
		c.subWord(o.a, o.k)
	case kMUL:
		c.product(uint16(d[o.a])*uint16(d[o.b]), 0)
	case kMULS:
		c.product(uint16(int16(int8(d[o.a]))*int16(int8(d[o.b]))), 0)
	case kMULSU:
		c.product(uint16(int16(int8(d[o.a]))*int16(d[o.b])), 0)
	case kFMUL:
		c.product(uint16(d[o.a])*uint16(d[o.b]), 1)
	case kFMULS:
		c.product(uint16(int16(int8(d[o.a]))*int16(int8(d[o.b]))), 1)
	case kFMULSU:
		c.product(uint16(int16(int8(d[o.a]))*int16(d[o.b])), 1)

	case kBSET:
		if o.a == flagI && c.sreg&flagI == 0 {
			c.shadow = true
		}
		c.sreg |= o.a
	case kBCLR:
		c.sreg &^= o.a
	case kBREAK:
		c.note(Refused, 0, "executes BREAK, which does nothing without a debugger,")
	case kBST:
		c.set(flagT, d[o.a]&o.b != 0)
	case kBLD:
		d[o.a] &^= o.b
		if c.sreg&flagT != 0 {
			d[o.a] |= o.b
		}
	default:
		c.stepElsewhere(o)
	}
	if c.stopped || o.kind == kEntry {
		return
	}
	c.pc = c.nextPC
	c.cycle += c.cost
}

// stepElsewhere is the second half of step: memory, jumps and control.
func (c *Core) stepElsewhere(o *op) {
	d := &c.data
	switch o.kind {
	case kLDS:
		d[o.a] = c.load(uint32(o.k))
	case kSTS:
		c.store(uint32(o.k), d[o.a])
	case kLDX:
		d[o.a] = c.load(c.pair(regX))
	case kLDXinc:
		d[o.a] = c.load(c.bump(regX, 0, 1))
	case kLDXdec:
		d[o.a] = c.load(c.bump(regX, -1, -1))
	case kLDYinc:
		d[o.a] = c.load(c.bump(regY, 0, 1))
	case kLDYdec:
		d[o.a] = c.load(c.bump(regY, -1, -1))
	case kLDZinc:
		d[o.a] = c.load(c.bump(regZ, 0, 1))
	case kLDZdec:
		d[o.a] = c.load(c.bump(regZ, -1, -1))
	case kLDDY:
		d[o.a] = c.load((c.pair(regY) + uint32(o.k)) & 0xFFFF)
	case kLDDZ:
		d[o.a] = c.load((c.pair(regZ) + uint32(o.k)) & 0xFFFF)
	case kSTX:
		c.store(c.pair(regX), d[o.a])
	case kSTXinc:
		v := d[o.a]
		c.store(c.bump(regX, 0, 1), v)
	case kSTXdec:
		v := d[o.a]
		c.store(c.bump(regX, -1, -1), v)
	case kSTYinc:
		v := d[o.a]
		c.store(c.bump(regY, 0, 1), v)
	case kSTYdec:
		v := d[o.a]
		c.store(c.bump(regY, -1, -1), v)
	case kSTZinc:
		v := d[o.a]
		c.store(c.bump(regZ, 0, 1), v)
	case kSTZdec:
		v := d[o.a]
		c.store(c.bump(regZ, -1, -1), v)
	case kSTDY:
		c.store((c.pair(regY)+uint32(o.k))&0xFFFF, d[o.a])
	case kSTDZ:
		c.store((c.pair(regZ)+uint32(o.k))&0xFFFF, d[o.a])
	case kLPM:
		d[o.a] = c.flashByte(c.pair(regZ))
	case kLPMinc:
		d[o.a] = c.flashByte(c.bump(regZ, 0, 1))
	case kELPM:
		d[o.a] = c.flashByte(c.farZ())
	case kELPMinc:
		far := c.farZ()
		v := c.flashByte(far)
		far++
		d[regZ], d[regZ+1] = uint8(far), uint8(far>>8)
		d[rampZ] = uint8(far >> 16)
		d[o.a] = v
	case kPUSH:
		c.push(d[o.a])
	case kPOP:
		d[o.a] = c.pop()
	case kIN:
		d[o.a] = c.load(uint32(o.k))
	case kOUT:
		c.store(uint32(o.k), d[o.a])
	case kSBI, kCBI:
		c.changeBit(uint32(o.k), o.b, o.kind == kSBI)
	default:
		c.stepAside(o)
	}
}

// stepAside is the third part of step: whatever changes the order of execution.
func (c *Core) stepAside(o *op) {
	d := &c.data
	switch o.kind {
	case kRJMP, kJMP:
		c.nextPC = o.to
	case kBRBS:
		c.branch(c.sreg&o.a != 0, o)
	case kBRBC:
		c.branch(c.sreg&o.a == 0, o)
	case kCPSE:
		c.skip(d[o.a] == d[o.b], o)
	case kSBRC:
		c.skip(d[o.a]&o.b == 0, o)
	case kSBRS:
		c.skip(d[o.a]&o.b != 0, o)
	case kSBIC:
		c.skip(c.load(uint32(o.k))&o.b == 0, o)
	case kSBIS:
		c.skip(c.load(uint32(o.k))&o.b != 0, o)
	case kRCALL, kCALL:
		c.pushPC(c.nextPC)
		c.nextPC = o.to
	case kICALL:
		c.pushPC(c.nextPC)
		c.jumpFar(c.pair(regZ))
	case kEICALL:
		c.pushPC(c.nextPC)
		c.jumpFar(c.farJump())
	case kIJMP:
		c.jumpFar(c.pair(regZ))
	case kEIJMP:
		c.jumpFar(c.farJump())
	case kRET:
		c.jumpFar(c.popPC())
	case kRETI:
		c.jumpFar(c.popPC())
		c.sreg |= flagI
		c.shadow = true
		c.idle.returned(c.cycle + c.cost)
	case kSLEEP:
		c.fallAsleep()
	case kWDR:
		c.watchdogReset()
	case kEntry:
		c.enter()
		return
	default:
		c.refuse(o)
	}
	switch o.kind {
	case kRCALL, kCALL, kICALL, kEICALL, kRET, kRETI:
		if c.part.wideCalls && o.kind != kEICALL {
			c.cost++
		}
	}
}

func (c *Core) branch(taken bool, o *op) {
	if taken {
		c.nextPC = o.to
		c.cost = 2
	}
}

// skip passes over the next instruction, which costs a cycle for each of its words.
func (c *Core) skip(taken bool, o *op) {
	if taken {
		c.cost = 1 + Cycle((o.to-c.nextPC)&c.lastPC)
		c.nextPC = o.to
	}
}

// jumpFar goes where only the running program knows. The place is kept for the
// report of a wild jump.
func (c *Core) jumpFar(to uint32) {
	c.leapt = c.pc
	c.nextPC = to & c.lastPC
}

// set gives one flag a value.
func (c *Core) set(flag uint8, on bool) {
	c.sreg &^= flag
	if on {
		c.sreg |= flag
	}
}

// signAndZero sets Z, N and S; V must be right already.
func (c *Core) signAndZero(r uint8) {
	c.set(flagZ, r == 0)
	c.set(flagN, r&0x80 != 0)
	c.set(flagS, (c.sreg&flagN != 0) != (c.sreg&flagV != 0))
}

func (c *Core) add(a, b, carry uint8) uint8 {
	r := a + b + carry
	out := a&b | b&^r | a&^r // the carry out of each bit
	c.set(flagH, out&0x08 != 0)
	c.set(flagC, out&0x80 != 0)
	c.set(flagV, (a&b&^r|^a&^b&r)&0x80 != 0)
	c.signAndZero(r)
	return r
}

// sub also compares. With keepZ, Z says whether all bytes so far were zero.
func (c *Core) sub(a, b, carry uint8, keepZ bool) uint8 {
	r := a - b - carry
	zero := c.sreg & flagZ
	out := ^a&b | b&r | r&^a // the borrow of each bit
	c.set(flagH, out&0x08 != 0)
	c.set(flagC, out&0x80 != 0)
	c.set(flagV, (a&^b&^r|^a&b&r)&0x80 != 0)
	c.signAndZero(r)
	if keepZ {
		c.sreg &= zero | ^uint8(flagZ)
	}
	return r
}

func (c *Core) logic(r uint8) uint8 {
	c.sreg &^= flagV
	c.signAndZero(r)
	return r
}

// shifted sets the flags of a shift to the right from a to r.
func (c *Core) shifted(a, r uint8) uint8 {
	c.set(flagC, a&1 != 0)
	c.set(flagV, (r&0x80 != 0) != (a&1 != 0))
	c.signAndZero(r)
	return r
}

func (c *Core) addWord(a uint8, k uint16) {
	old := uint16(c.pair(a))
	r := old + k
	c.data[a], c.data[a+1] = uint8(r), uint8(r>>8)
	c.set(flagV, ^old&r&0x8000 != 0)
	c.set(flagC, old&^r&0x8000 != 0)
	c.signAndZero(uint8(r >> 8))
	c.set(flagZ, r == 0)
}

func (c *Core) subWord(a uint8, k uint16) {
	old := uint16(c.pair(a))
	r := old - k
	c.data[a], c.data[a+1] = uint8(r), uint8(r>>8)
	c.set(flagV, old&^r&0x8000 != 0)
	c.set(flagC, r&^old&0x8000 != 0)
	c.signAndZero(uint8(r >> 8))
	c.set(flagZ, r == 0)
}

// product puts a product into r1:r0, shifted for the fractional kinds.
func (c *Core) product(r uint16, shift int) {
	c.set(flagC, r&0x8000 != 0)
	r <<= shift
	c.data[0], c.data[1] = uint8(r), uint8(r>>8)
	c.set(flagZ, r == 0)
}
