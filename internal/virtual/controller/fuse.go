package controller

import "slices"

// fastOp is one step of sprint: an instruction, or several that often come together.
// Its length and its cycles are in the code of its kind.
type fastOp struct {
	kind    kind
	a, b, c uint8
	k       uint16
	to      uint16 // word address
}

// fastSpan is how many steps there are room for: the flash of the largest part, in
// words. A step of kind 0 is left to step.
const fastSpan = 1 << 17

// maxFused is the most cycles that one step of sprint may take. sprint stops that
// much before the next event, so that no step reaches over it.
const maxFused = 8

// The kinds that only sprint knows, after those of single instructions. An x stands
// for the registers of the first, a y for those of the second instruction.
const (
	fLDS     kind = iota + kSingles // from RAM
	fSTS                            // to RAM
	fINplain                        // from a register that only keeps what is written
	fINSREG
	fOUTSREG
	fINSPL
	fINSPH
	fSBRCJ // a skip over a jump
	fSBRSJ
	fLDI2
	fMOVW2
	fADDADC
	fADCADC
	fSUBSBC
	fSBCSBC
	fCPCPC
	fSUBISBCI
	fCPICPC
	fLSRROR
	fLDS2
	fSTS2
	fLDDY2
	fLDDZ2
	fSTDY2
	fSTDZ2
	fPUSH2
	fPOP2
	fCPBS // and a branch
	fCPBC
	fCPIBS
	fCPIBC
	fCPCPCBS
	fCPCPCBC
	fCPICPCBS
	fCPICPCBC
	fSUBIBS
	fSUBIBC
	fSUBISBCIBS
	fSUBISBCIBC
	fDECBS
	fDECBC
	fSBIWBC
	fANDBS
	fANDBC
	fORBS
	fORBC
	fLoopDEC // a loop that only counts down
	fLoopSBIW
	fLoopSUBI
)

// fuse makes the steps of sprint out of single instructions. Every address gets its
// own step, so a jump into the middle of a group finds the rest of it.
func (c *Core) fuse() {
	for pc := range c.plain {
		c.fast[pc] = c.single(uint32(pc))
	}
	for pc := range c.plain {
		if f, ok := c.group(uint32(pc)); ok {
			c.fast[pc] = f
		}
	}
}

// inRAM says that a data address is RAM of the part.
func (c *Core) inRAM(addr uint16) bool {
	return uint32(addr) >= c.part.RAMStart && uint32(addr) <= c.ramEnd
}

// left is the step that hands over to step.
var left = fastOp{kind: kErased}

// single is one instruction as a step.
func (c *Core) single(pc uint32) fastOp {
	o := &c.plain[pc]
	f := fastOp{kind: o.kind, a: o.a, b: o.b, k: o.k, to: uint16(o.to)}
	if o.to > 0xFFFF {
		return left
	}
	switch o.kind {
	case kLDS, kSTS:
		if !c.inRAM(o.k) {
			return left
		}
		f.kind = fLDS
		if o.kind == kSTS {
			f.kind = fSTS
		}
	case kIN:
		switch c.regAt[o.k].kind {
		case regSREG:
			f.kind = fINSREG
		case regSPL:
			f.kind = fINSPL
		case regSPH:
			f.kind = fINSPH
		case regPlain, regSMCR, regDDR, regPORT, regEIMSK:
			f.kind = fINplain
		default:
			return left
		}
	case kOUT:
		if c.regAt[o.k].kind != regSREG {
			return left
		}
		f.kind = fOUTSREG
	case kBSET:
		if o.a == flagI {
			return left
		}
	case kEntry, kErased, kIllegal, kSPM, kSLEEP, kBREAK, kWDR, kRETI, kEIJMP, kEICALL, kELPM, kELPMinc, kSBI, kCBI, kSBIS, kSBIC:
		return left
	case kCALL, kRCALL, kICALL, kRET:
		if c.part.wideCalls {
			return left
		}
	}
	return f
}

// group is several instructions from pc on as one step, the longest that there is.
func (c *Core) group(pc uint32) (fastOp, bool) {
	x := &c.plain[pc]
	if c.fast[pc].kind == left.kind {
		return left, false
	}
	at := pc + uint32(x.words)
	if at+2 >= uint32(len(c.plain)) {
		return left, false
	}
	y := &c.plain[at]
	if y.to > 0xFFFF {
		return left, false
	}
	if f, ok := c.countdown(pc); ok && !c.opts.SkipNothing {
		return f, true
	}
	z := &c.plain[at+1]
	branch := z.kind == kBRBS || z.kind == kBRBC
	if y.words == 1 && branch {
		if f, ok := three(x, y, z); ok {
			return f, true
		}
	}
	if f, ok := andBranch(x, y); ok {
		return f, true
	}
	return c.two(x, y)
}

// three is two instructions and a branch on what they found.
func three(x, y, z *op) (fastOp, bool) {
	f := fastOp{a: x.a, b: x.b, c: y.a, to: uint16(z.to)}
	switch [2]kind{x.kind, y.kind} {
	case [2]kind{kCP, kCPC}:
		f.kind, f.k = fCPCPCBS, uint16(y.b)|uint16(z.a)<<8
	case [2]kind{kCPI, kCPC}:
		f.kind, f.k = fCPICPCBS, x.k&0xFF|uint16(z.a)<<8
		f.b = y.b
	case [2]kind{kSUBI, kSBCI}:
		f.kind, f.k, f.b = fSUBISBCIBS, x.k&0xFF|y.k<<8, z.a
	default:
		return f, false
	}
	if z.kind == kBRBC {
		f.kind++
	}
	return f, true
}

// andBranch is an instruction and a branch on what it found, or a skip over a jump.
func andBranch(x, y *op) (fastOp, bool) {
	f := fastOp{a: x.a, b: x.b, c: y.a, k: x.k, to: uint16(y.to)}
	if y.kind == kRJMP && (x.kind == kSBRC || x.kind == kSBRS) {
		f.kind = fSBRCJ
		if x.kind == kSBRS {
			f.kind = fSBRSJ
		}
		return f, true
	}
	if y.kind != kBRBS && y.kind != kBRBC {
		return f, false
	}
	switch x.kind {
	case kCP:
		f.kind = fCPBS
	case kCPI:
		f.kind = fCPIBS
	case kSUBI:
		f.kind = fSUBIBS
	case kDEC:
		f.kind = fDECBS
	case kAND:
		f.kind = fANDBS
	case kOR:
		f.kind = fORBS
	case kSBIW:
		f.kind = fSBIWBC
		return f, y.kind == kBRBC
	default:
		return f, false
	}
	if y.kind == kBRBC {
		f.kind++
	}
	return f, true
}

// pairs are two instructions whose four registers simply stand side by side.
var pairs = [...]struct{ x, y, to kind }{
	{kMOVW, kMOVW, fMOVW2},
	{kADD, kADC, fADDADC}, {kADC, kADC, fADCADC},
	{kSUB, kSBC, fSUBSBC}, {kSBC, kSBC, fSBCSBC},
	{kCP, kCPC, fCPCPC},
	{kLSR, kROR, fLSRROR},
}

// two is two instructions in a row.
func (c *Core) two(x, y *op) (fastOp, bool) {
	for _, p := range pairs {
		if p.x == x.kind && p.y == y.kind {
			return fastOp{kind: p.to, a: x.a, b: x.b, c: y.a, k: uint16(y.b)}, true
		}
	}
	f := fastOp{a: x.a, b: y.a, k: x.k, to: y.k}
	switch [2]kind{x.kind, y.kind} {
	case [2]kind{kLDI, kLDI}:
		f.kind, f.k = fLDI2, x.k&0xFF|y.k<<8
	case [2]kind{kSUBI, kSBCI}:
		f.kind, f.k = fSUBISBCI, x.k&0xFF|y.k<<8
	case [2]kind{kCPI, kCPC}:
		f.kind, f.c = fCPICPC, y.b
	case [2]kind{kLDS, kLDS}:
		f.kind = fLDS2
		return f, c.inRAM(x.k) && c.inRAM(y.k)
	case [2]kind{kSTS, kSTS}:
		f.kind = fSTS2
		return f, c.inRAM(x.k) && c.inRAM(y.k)
	case [2]kind{kLDDY, kLDDY}:
		f.kind = fLDDY2
	case [2]kind{kLDDZ, kLDDZ}:
		// The second must still see the pointer that the first one saw.
		f.kind = fLDDZ2
		return f, x.a < 30
	case [2]kind{kSTDY, kSTDY}:
		f.kind = fSTDY2
	case [2]kind{kSTDZ, kSTDZ}:
		f.kind = fSTDZ2
	case [2]kind{kPUSH, kPUSH}:
		f.kind = fPUSH2
	case [2]kind{kPOP, kPOP}:
		f.kind = fPOP2
	default:
		return f, false
	}
	if f.kind == fLDDY2 && (x.a == 28 || x.a == 29) {
		return f, false
	}
	return f, true
}

// countdown is a loop that does nothing but count down to zero: one of the delay
// loops that compilers make. The branch goes back to its own beginning.
func (c *Core) countdown(pc uint32) (fastOp, bool) {
	x := &c.plain[pc]
	f := fastOp{a: x.a, k: x.k, b: 1}
	at := pc + 1
	switch {
	case x.kind == kDEC:
		f.kind = fLoopDEC
	case x.kind == kSBIW && x.k == 1:
		f.kind = fLoopSBIW
	case x.kind == kSUBI && x.k == 1:
		f.kind = fLoopSUBI
		regs := []uint8{x.a}
		for len(regs) < 4 {
			y := &c.plain[at&c.lastPC]
			if y.kind != kSBCI || y.k != 0 || slices.Contains(regs, y.a) {
				break
			}
			regs = append(regs, y.a)
			at++
		}
		f.b = uint8(len(regs))
		regs = append(regs, 0, 0, 0)
		f.c, f.k = regs[1], uint16(regs[2])|uint16(regs[3])<<8
	default:
		return f, false
	}
	z := &c.plain[at&c.lastPC]
	return f, z.kind == kBRBC && z.a == flagZ && z.to == pc
}
