package controller

// sprint carries out instructions until fewer than maxFused cycles are left before
// limit. It ends before an instruction that it leaves to step, and then returns false.
// Nothing that it does itself touches a peripheral, and nothing is due before limit.
//
// It is one long loop on purpose: everything that is needed stays in the registers of
// the machine it runs on. A case that does not say otherwise is one word and one cycle.
func (c *Core) sprint(limit Cycle) bool {
	code, d, f := c.fast, &c.data, &c.flags
	pc, sreg := c.pc, c.sreg
	left := int64(limit-c.cycle) - maxFused
	done := true

	for left > 0 {
		o := &code[pc%fastSpan]
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
			a, b := d[o.a], d[o.b]
			r := a + b
			d[o.a] = r
			sreg = f.sum(sreg, a, b, r)
		case kADC:
			a, b := d[o.a], d[o.b]
			r := a + b + sreg&flagC
			d[o.a] = r
			sreg = f.sum(sreg, a, b, r)
		case kSUB:
			a, b := d[o.a], d[o.b]
			r := a - b
			d[o.a] = r
			sreg = f.diff(sreg, a, b, r)
		case kSUBI:
			a, b := d[o.a], uint8(o.k)
			r := a - b
			d[o.a] = r
			sreg = f.diff(sreg, a, b, r)
		case kCP:
			a, b := d[o.a], d[o.b]
			sreg = f.diff(sreg, a, b, a-b)
		case kCPI:
			a, b := d[o.a], uint8(o.k)
			sreg = f.diff(sreg, a, b, a-b)
		case kSBC:
			a, b := d[o.a], d[o.b]
			r := a - b - sreg&flagC
			d[o.a] = r
			sreg = f.diffZ(sreg, a, b, r)
		case kSBCI:
			a, b := d[o.a], uint8(o.k)
			r := a - b - sreg&flagC
			d[o.a] = r
			sreg = f.diffZ(sreg, a, b, r)
		case kCPC:
			a, b := d[o.a], d[o.b]
			sreg = f.diffZ(sreg, a, b, a-b-sreg&flagC)
		case kNEG:
			b := d[o.a]
			d[o.a] = -b
			sreg = f.diff(sreg, 0, b, -b)
		case kAND:
			r := d[o.a] & d[o.b]
			d[o.a] = r
			sreg = sreg&keepLog | f.result[r]
		case kANDI:
			r := d[o.a] & uint8(o.k)
			d[o.a] = r
			sreg = sreg&keepLog | f.result[r]
		case kOR:
			r := d[o.a] | d[o.b]
			d[o.a] = r
			sreg = sreg&keepLog | f.result[r]
		case kORI:
			r := d[o.a] | uint8(o.k)
			d[o.a] = r
			sreg = sreg&keepLog | f.result[r]
		case kEOR:
			r := d[o.a] ^ d[o.b]
			d[o.a] = r
			sreg = sreg&keepLog | f.result[r]
		case kCOM:
			r := ^d[o.a]
			d[o.a] = r
			sreg = sreg&keepTIH | f.result[r] | flagC
		case kINC:
			r := d[o.a] + 1
			d[o.a] = r
			sreg = sreg&keepLog | f.inc[r]
		case kDEC:
			r := d[o.a] - 1
			d[o.a] = r
			sreg = sreg&keepLog | f.dec[r]
		case kLSR:
			a := d[o.a]
			d[o.a] = a >> 1
			sreg = f.shift(sreg, a, a>>1)
		case kASR:
			a := d[o.a]
			r := a>>1 | a&0x80
			d[o.a] = r
			sreg = f.shift(sreg, a, r)
		case kROR:
			a := d[o.a]
			r := a>>1 | sreg<<7
			d[o.a] = r
			sreg = f.shift(sreg, a, r)
		case kADIW:
			old := uint16(d[o.a]) | uint16(d[o.a+1])<<8
			r := old + o.k
			d[o.a], d[o.a+1] = uint8(r), uint8(r>>8)
			sreg = sreg&keepTIH | wordFlags(r, old&^r, ^old&r)
			left--
		case kSBIW:
			old := uint16(d[o.a]) | uint16(d[o.a+1])<<8
			r := old - o.k
			d[o.a], d[o.a+1] = uint8(r), uint8(r>>8)
			sreg = sreg&keepTIH | wordFlags(r, ^old&r, old&^r)
			left--
		case kMUL:
			r := uint16(d[o.a]) * uint16(d[o.b])
			d[0], d[1] = uint8(r), uint8(r>>8)
			sreg = productFlags(sreg, r)
			left--
		case kMULS:
			r := uint16(int16(int8(d[o.a])) * int16(int8(d[o.b])))
			d[0], d[1] = uint8(r), uint8(r>>8)
			sreg = productFlags(sreg, r)
			left--
		case kMULSU:
			r := uint16(int16(int8(d[o.a])) * int16(d[o.b]))
			d[0], d[1] = uint8(r), uint8(r>>8)
			sreg = productFlags(sreg, r)
			left--
		case kBST:
			sreg &^= flagT
			if d[o.a]&o.b != 0 {
				sreg |= flagT
			}
		case kBLD:
			v := d[o.a] &^ o.b
			if sreg&flagT != 0 {
				v |= o.b
			}
			d[o.a] = v
		case kBCLR:
			sreg &^= o.a
		case kBSET:
			sreg |= o.a

		case kRJMP:
			pc = uint32(o.to)
			left -= 2
			continue
		case kJMP:
			pc = uint32(o.to)
			left -= 3
			continue
		case kBRBS:
			if sreg&o.a != 0 {
				pc = uint32(o.to)
				left -= 2
				continue
			}
		case kBRBC:
			if sreg&o.a == 0 {
				pc = uint32(o.to)
				left -= 2
				continue
			}
		case kCPSE:
			if d[o.a] == d[o.b] {
				left -= int64(uint32(o.to) - pc)
				pc = uint32(o.to)
				continue
			}
		case kSBRC:
			if d[o.a]&o.b == 0 {
				left -= int64(uint32(o.to) - pc)
				pc = uint32(o.to)
				continue
			}
		case kSBRS:
			if d[o.a]&o.b != 0 {
				left -= int64(uint32(o.to) - pc)
				pc = uint32(o.to)
				continue
			}
		case fSBRCJ:
			if d[o.a]&o.b != 0 {
				pc = uint32(o.to)
				left -= 3
				continue
			}
			pc++
			left--
		case fSBRSJ:
			if d[o.a]&o.b == 0 {
				pc = uint32(o.to)
				left -= 3
				continue
			}
			pc++
			left--
		case kRCALL:
			sp := uint32(c.sp)
			if sp-1-c.ramStart >= c.ramSize-1 {
				goto hand
			}
			d[sp%dataSpan], d[(sp-1)%dataSpan] = uint8(pc+1), uint8((pc+1)>>8)
			c.sp = uint16(sp - 2)
			if c.sp < c.deepest {
				c.deepest = c.sp
			}
			pc = uint32(o.to)
			left -= 3
			continue
		case kCALL:
			sp := uint32(c.sp)
			if sp-1-c.ramStart >= c.ramSize-1 {
				goto hand
			}
			d[sp%dataSpan], d[(sp-1)%dataSpan] = uint8(pc+2), uint8((pc+2)>>8)
			c.sp = uint16(sp - 2)
			if c.sp < c.deepest {
				c.deepest = c.sp
			}
			pc = uint32(o.to)
			left -= 4
			continue
		case kICALL:
			sp := uint32(c.sp)
			if sp-1-c.ramStart >= c.ramSize-1 {
				goto hand
			}
			d[sp%dataSpan], d[(sp-1)%dataSpan] = uint8(pc+1), uint8((pc+1)>>8)
			c.sp = uint16(sp - 2)
			if c.sp < c.deepest {
				c.deepest = c.sp
			}
			c.leapt = pc
			pc = (uint32(d[regZ]) | uint32(d[regZ+1])<<8) & c.lastPC
			left -= 3
			continue
		case kIJMP:
			c.leapt = pc
			pc = (uint32(d[regZ]) | uint32(d[regZ+1])<<8) & c.lastPC
			left -= 2
			continue
		case kRET:
			sp := uint32(c.sp)
			if sp+1-c.ramStart >= c.ramSize-1 {
				goto hand
			}
			c.leapt = pc
			c.sp = uint16(sp + 2)
			pc = (uint32(d[(sp+1)%dataSpan])<<8 | uint32(d[(sp+2)%dataSpan])) & c.lastPC
			left -= 4
			continue
		case kPUSH:
			sp := uint32(c.sp)
			if sp-c.ramStart >= c.ramSize {
				goto hand
			}
			d[sp%dataSpan] = d[o.a]
			c.sp = uint16(sp - 1)
			if c.sp < c.deepest {
				c.deepest = c.sp
			}
			left--
		case kPOP:
			sp := uint32(c.sp) + 1
			if sp-c.ramStart >= c.ramSize {
				goto hand
			}
			d[o.a] = d[sp%dataSpan]
			c.sp = uint16(sp)
			left--

		case fLDS:
			d[o.a] = d[o.k%dataSpan]
			pc++
			left--
		case fSTS:
			d[o.k%dataSpan] = d[o.a]
			pc++
			left--
		case kLDX, kLDXinc:
			addr := uint32(d[regX]) | uint32(d[regX+1])<<8
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			if o.kind == kLDXinc {
				d[regX], d[regX+1] = uint8(addr+1), uint8((addr+1)>>8)
			}
			d[o.a] = d[addr%dataSpan]
			left--
		case kLDYinc:
			addr := uint32(d[regY]) | uint32(d[regY+1])<<8
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			d[regY], d[regY+1] = uint8(addr+1), uint8((addr+1)>>8)
			d[o.a] = d[addr%dataSpan]
			left--
		case kLDZinc:
			addr := uint32(d[regZ]) | uint32(d[regZ+1])<<8
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			d[regZ], d[regZ+1] = uint8(addr+1), uint8((addr+1)>>8)
			d[o.a] = d[addr%dataSpan]
			left--
		case kLDXdec, kLDYdec, kLDZdec:
			p := pointerOf(o.kind)
			addr := (uint32(d[p]) | uint32(d[p+1])<<8) - 1
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			d[p], d[p+1] = uint8(addr), uint8(addr>>8)
			d[o.a] = d[addr%dataSpan]
			left--
		case kLDDY:
			addr := (uint32(d[regY]) | uint32(d[regY+1])<<8) + uint32(o.k)
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			d[o.a] = d[addr%dataSpan]
			left--
		case kLDDZ:
			addr := (uint32(d[regZ]) | uint32(d[regZ+1])<<8) + uint32(o.k)
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			d[o.a] = d[addr%dataSpan]
			left--
		case kSTX, kSTXinc:
			addr := uint32(d[regX]) | uint32(d[regX+1])<<8
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			d[addr%dataSpan] = d[o.a]
			if o.kind == kSTXinc {
				d[regX], d[regX+1] = uint8(addr+1), uint8((addr+1)>>8)
			}
			left--
		case kSTYinc:
			addr := uint32(d[regY]) | uint32(d[regY+1])<<8
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			d[addr%dataSpan] = d[o.a]
			d[regY], d[regY+1] = uint8(addr+1), uint8((addr+1)>>8)
			left--
		case kSTZinc:
			addr := uint32(d[regZ]) | uint32(d[regZ+1])<<8
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			d[addr%dataSpan] = d[o.a]
			d[regZ], d[regZ+1] = uint8(addr+1), uint8((addr+1)>>8)
			left--
		case kSTXdec, kSTYdec, kSTZdec:
			p := pointerOf(o.kind)
			addr := (uint32(d[p]) | uint32(d[p+1])<<8) - 1
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			d[addr%dataSpan] = d[o.a]
			d[p], d[p+1] = uint8(addr), uint8(addr>>8)
			left--
		case kSTDY:
			addr := (uint32(d[regY]) | uint32(d[regY+1])<<8) + uint32(o.k)
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			d[addr%dataSpan] = d[o.a]
			left--
		case kSTDZ:
			addr := (uint32(d[regZ]) | uint32(d[regZ+1])<<8) + uint32(o.k)
			if addr-c.ramStart >= c.ramSize {
				goto hand
			}
			d[addr%dataSpan] = d[o.a]
			left--
		case kLPM, kLPMinc:
			addr := uint32(d[regZ]) | uint32(d[regZ+1])<<8
			if addr>>1 > c.lastPC {
				goto hand
			}
			v := uint8(c.flash[addr>>1] >> (addr & 1 * 8))
			if o.kind == kLPMinc {
				d[regZ], d[regZ+1] = uint8(addr+1), uint8((addr+1)>>8)
			}
			d[o.a] = v
			left -= 2
		case fINplain:
			d[o.a] = d[o.k%dataSpan]
		case fINSREG:
			d[o.a] = sreg
		case fOUTSREG:
			v := d[o.a]
			if v&^sreg&flagI != 0 {
				goto hand
			}
			sreg = v
		case fINSPL:
			d[o.a] = uint8(c.sp)
		case fINSPH:
			d[o.a] = uint8(c.sp >> 8)

		case fLDI2:
			d[o.a], d[o.b] = uint8(o.k), uint8(o.k>>8)
			pc++
			left--
		case fMOVW2:
			d[o.a], d[o.a+1] = d[o.b], d[o.b+1]
			to, from := o.c, uint8(o.k)
			d[to], d[to+1] = d[from], d[from+1]
			pc++
			left--
		case fADDADC:
			a, b := d[o.a], d[o.b]
			r := a + b
			d[o.a] = r
			carry := carryC(a, b, r)
			a, b = d[o.c], d[uint8(o.k)]
			r = a + b + carry
			d[o.c] = r
			sreg = f.sum(sreg, a, b, r)
			pc++
			left--
		case fADCADC:
			a, b := d[o.a], d[o.b]
			r := a + b + sreg&flagC
			d[o.a] = r
			carry := carryC(a, b, r)
			a, b = d[o.c], d[uint8(o.k)]
			r = a + b + carry
			d[o.c] = r
			sreg = f.sum(sreg, a, b, r)
			pc++
			left--
		case fSUBSBC:
			a, b := d[o.a], d[o.b]
			r := a - b
			d[o.a] = r
			carry, low := borrowC(a, b, r), r
			a, b = d[o.c], d[uint8(o.k)]
			r = a - b - carry
			d[o.c] = r
			sreg = f.diff2(sreg, low, a, b, r)
			pc++
			left--
		case fSBCSBC:
			a, b := d[o.a], d[o.b]
			r := a - b - sreg&flagC
			d[o.a] = r
			sreg = f.diffZ(sreg, a, b, r)
			a, b = d[o.c], d[uint8(o.k)]
			r = a - b - sreg&flagC
			d[o.c] = r
			sreg = f.diffZ(sreg, a, b, r)
			pc++
			left--
		case fCPCPC:
			a, b := d[o.a], d[o.b]
			low := a - b
			carry := borrowC(a, b, low)
			a, b = d[o.c], d[uint8(o.k)]
			sreg = f.diff2(sreg, low, a, b, a-b-carry)
			pc++
			left--
		case fCPICPC:
			a, b := d[o.a], uint8(o.k)
			low := a - b
			carry := borrowC(a, b, low)
			a, b = d[o.b], d[o.c]
			sreg = f.diff2(sreg, low, a, b, a-b-carry)
			pc++
			left--
		case fSUBISBCI:
			a, b := d[o.a], uint8(o.k)
			low := a - b
			d[o.a] = low
			carry := borrowC(a, b, low)
			a, b = d[o.b], uint8(o.k>>8)
			r := a - b - carry
			d[o.b] = r
			sreg = f.diff2(sreg, low, a, b, r)
			pc++
			left--
		case fLSRROR:
			a := d[o.a]
			d[o.a] = a >> 1
			b := d[o.c]
			r := b>>1 | a<<7
			d[o.c] = r
			sreg = f.shift(sreg, b, r)
			pc++
			left--
		case fLDS2:
			d[o.a], d[o.b] = d[o.k%dataSpan], d[o.to%dataSpan]
			pc += 3
			left -= 3
		case fSTS2:
			d[o.k%dataSpan] = d[o.a]
			d[o.to%dataSpan] = d[o.b]
			pc += 3
			left -= 3
		case fLDDY2, fLDDZ2:
			p := uint32(d[regY]) | uint32(d[regY+1])<<8
			if o.kind == fLDDZ2 {
				p = uint32(d[regZ]) | uint32(d[regZ+1])<<8
			}
			x, y := p+uint32(o.k), p+uint32(o.to)
			if x-c.ramStart >= c.ramSize || y-c.ramStart >= c.ramSize {
				goto hand
			}
			d[o.a], d[o.b] = d[x%dataSpan], d[y%dataSpan]
			pc++
			left -= 3
		case fSTDY2, fSTDZ2:
			p := uint32(d[regY]) | uint32(d[regY+1])<<8
			if o.kind == fSTDZ2 {
				p = uint32(d[regZ]) | uint32(d[regZ+1])<<8
			}
			x, y := p+uint32(o.k), p+uint32(o.to)
			if x-c.ramStart >= c.ramSize || y-c.ramStart >= c.ramSize {
				goto hand
			}
			d[x%dataSpan] = d[o.a]
			d[y%dataSpan] = d[o.b]
			pc++
			left -= 3
		case fPUSH2:
			sp := uint32(c.sp)
			if sp-1-c.ramStart >= c.ramSize-1 {
				goto hand
			}
			d[sp%dataSpan], d[(sp-1)%dataSpan] = d[o.a], d[o.b]
			c.sp = uint16(sp - 2)
			if c.sp < c.deepest {
				c.deepest = c.sp
			}
			pc++
			left -= 3
		case fPOP2:
			sp := uint32(c.sp)
			if sp+1-c.ramStart >= c.ramSize-1 {
				goto hand
			}
			d[o.a] = d[(sp+1)%dataSpan]
			d[o.b] = d[(sp+2)%dataSpan]
			c.sp = uint16(sp + 2)
			pc++
			left -= 3

		case fCPBS, fCPBC:
			a, b := d[o.a], d[o.b]
			sreg = f.diff(sreg, a, b, a-b)
			pc++
			left--
			if (sreg&o.c != 0) == (o.kind == fCPBS) {
				pc = uint32(o.to)
				left -= 2
				continue
			}
		case fCPIBS, fCPIBC:
			a, b := d[o.a], uint8(o.k)
			sreg = f.diff(sreg, a, b, a-b)
			pc++
			left--
			if (sreg&o.c != 0) == (o.kind == fCPIBS) {
				pc = uint32(o.to)
				left -= 2
				continue
			}
		case fCPCPCBS, fCPCPCBC:
			a, b := d[o.a], d[o.b]
			low := a - b
			carry := borrowC(a, b, low)
			a, b = d[o.c], d[uint8(o.k)]
			sreg = f.diff2(sreg, low, a, b, a-b-carry)
			pc += 2
			left -= 2
			if (sreg&uint8(o.k>>8) != 0) == (o.kind == fCPCPCBS) {
				pc = uint32(o.to)
				left -= 2
				continue
			}
		case fCPICPCBS, fCPICPCBC:
			a, b := d[o.a], uint8(o.k)
			low := a - b
			carry := borrowC(a, b, low)
			a, b = d[o.c], d[o.b]
			sreg = f.diff2(sreg, low, a, b, a-b-carry)
			pc += 2
			left -= 2
			if (sreg&uint8(o.k>>8) != 0) == (o.kind == fCPICPCBS) {
				pc = uint32(o.to)
				left -= 2
				continue
			}
		case fSUBIBS, fSUBIBC:
			a, b := d[o.a], uint8(o.k)
			r := a - b
			d[o.a] = r
			sreg = f.diff(sreg, a, b, r)
			pc++
			left--
			if (sreg&o.c != 0) == (o.kind == fSUBIBS) {
				pc = uint32(o.to)
				left -= 2
				continue
			}
		case fSUBISBCIBS, fSUBISBCIBC:
			a, b := d[o.a], uint8(o.k)
			low := a - b
			d[o.a] = low
			carry := borrowC(a, b, low)
			a, b = d[o.c], uint8(o.k>>8)
			r := a - b - carry
			d[o.c] = r
			sreg = f.diff2(sreg, low, a, b, r)
			pc += 2
			left -= 2
			if (sreg&o.b != 0) == (o.kind == fSUBISBCIBS) {
				pc = uint32(o.to)
				left -= 2
				continue
			}
		case fDECBS, fDECBC:
			r := d[o.a] - 1
			d[o.a] = r
			sreg = sreg&keepLog | f.dec[r]
			pc++
			left--
			if (sreg&o.c != 0) == (o.kind == fDECBS) {
				pc = uint32(o.to)
				left -= 2
				continue
			}
		case fANDBS, fANDBC:
			r := d[o.a] & d[o.b]
			d[o.a] = r
			sreg = sreg&keepLog | f.result[r]
			pc++
			left--
			if (sreg&o.c != 0) == (o.kind == fANDBS) {
				pc = uint32(o.to)
				left -= 2
				continue
			}
		case fORBS, fORBC:
			r := d[o.a] | d[o.b]
			d[o.a] = r
			sreg = sreg&keepLog | f.result[r]
			pc++
			left--
			if (sreg&o.c != 0) == (o.kind == fORBS) {
				pc = uint32(o.to)
				left -= 2
				continue
			}
		case fSBIWBC:
			old := uint16(d[o.a]) | uint16(d[o.a+1])<<8
			r := old - o.k
			d[o.a], d[o.a+1] = uint8(r), uint8(r>>8)
			sreg = sreg&keepTIH | wordFlags(r, ^old&r, old&^r)
			pc++
			left -= 2
			if sreg&o.c == 0 {
				pc = uint32(o.to)
				left -= 2
				continue
			}

		case fLoopDEC:
			// All but the last rounds at once; the rest goes the usual way.
			rounds := min(int64(d[o.a]-1), left/3-1)
			if rounds > 0 {
				d[o.a] -= uint8(rounds)
				left -= 3 * rounds
			}
			r := d[o.a] - 1
			d[o.a] = r
			sreg = sreg&keepLog | f.dec[r]
		case fLoopSBIW:
			old := uint16(d[o.a]) | uint16(d[o.a+1])<<8
			rounds := min(int64(old-1), left/4-1)
			if rounds > 0 {
				old -= uint16(rounds)
				left -= 4 * rounds
			}
			r := old - 1
			d[o.a], d[o.a+1] = uint8(r), uint8(r>>8)
			sreg = sreg&keepTIH | wordFlags(r, ^old&r, old&^r)
			left--
		case fLoopSUBI:
			round := int64(o.b) + 2
			if rounds := min(left/round-1, o.count(d)-1); rounds > 0 {
				o.setCount(d, o.count(d)-rounds)
				left -= round * rounds
			}
			a := d[o.a]
			d[o.a] = a - 1
			sreg = f.diff(sreg, a, 1, a-1)
		default:
			goto hand
		}
		pc++
		left--
	}
	goto end
hand:
	done = false
end:
	c.pc, c.sreg = pc&c.lastPC, sreg
	c.cycle = Cycle(int64(limit) - maxFused - left)
	return done
}

// pointerOf is the register of a load or store that counts down first.
func pointerOf(k kind) uint8 {
	switch k {
	case kLDXdec, kSTXdec:
		return regX
	case kLDYdec, kSTYdec:
		return regY
	}
	return regZ
}

// counters are the registers of a countdown loop, the lowest byte first.
func (o *fastOp) counters() [4]uint8 { return [4]uint8{o.a, o.c, uint8(o.k), uint8(o.k >> 8)} }

// count is how many rounds a countdown loop has still to go: all of them when it is zero.
func (o *fastOp) count(d *[dataSpan]uint8) int64 {
	v := int64(0)
	for i, r := range o.counters() {
		if i < int(o.b) {
			v |= int64(d[r]) << (8 * i)
		}
	}
	if v == 0 {
		v = 1 << (8 * o.b)
	}
	return v
}

func (o *fastOp) setCount(d *[dataSpan]uint8, v int64) {
	for i, r := range o.counters() {
		if i < int(o.b) {
			d[r] = uint8(v >> (8 * i))
		}
	}
}

func productFlags(sreg uint8, r uint16) uint8 {
	sreg = sreg&keepMul | uint8(r>>15)
	if r == 0 {
		sreg |= flagZ
	}
	return sreg
}
