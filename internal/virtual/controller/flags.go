package controller

// flagTables turn results into bits of SREG. S is in both parts of a sum, and the two
// are joined with exclusive or: S is N xor V.
type flagTables struct {
	result [256]uint8 // Z, N and S of a result when V is 0
	carry  [256]uint8 // H, C, V and S of the carries out of each bit
	inc    [256]uint8 // Z, N, V and S of an increment to this
	dec    [256]uint8 // the same of a decrement
	right  [256]uint8 // Z, N and V of a shift to the right when C is 0
}

func (t *flagTables) fill() {
	for i := range 256 {
		r := uint8(i)
		if r == 0 {
			t.result[i] |= flagZ
			t.right[i] |= flagZ
		}
		if r&0x80 != 0 {
			t.result[i] |= flagN | flagS
			t.right[i] |= flagN | flagV
			t.carry[i] |= flagC
		}
		if r&0x08 != 0 {
			t.carry[i] |= flagH
		}
		if r>>7 != r>>6&1 {
			t.carry[i] |= flagV | flagS
		}
		t.inc[i], t.dec[i] = t.result[i], t.result[i]
		if r == 0x80 {
			t.inc[i] ^= flagV | flagS
		}
		if r == 0x7F {
			t.dec[i] ^= flagV | flagS
		}
	}
}

// What an instruction leaves of SREG.
const (
	keepTI  = flagT | flagI
	keepTIH = keepTI | flagH
	keepLog = keepTIH | flagC
	keepMul = ^uint8(flagZ | flagC)
	shiftC  = flagC | flagV | flagS // what the bit that falls out adds to right
)

// sum is all flags of r = a + b.
func (t *flagTables) sum(sreg, a, b, r uint8) uint8 {
	return sreg&keepTI | (t.result[r] ^ t.carry[a&b|(a|b)&^r])
}

// diff is all flags of r = a - b.
func (t *flagTables) diff(sreg, a, b, r uint8) uint8 {
	return sreg&keepTI | (t.result[r] ^ t.carry[^a&b|(^a|b)&r])
}

// diffZ is diff where Z stays 0 if it was.
func (t *flagTables) diffZ(sreg, a, b, r uint8) uint8 {
	return sreg&keepTI | (t.result[r]&(sreg|^uint8(flagZ)) ^ t.carry[^a&b|(^a|b)&r])
}

// diff2 is the flags of the high byte of a difference whose low byte is low.
func (t *flagTables) diff2(sreg, low, a, b, r uint8) uint8 {
	z := t.result[r]
	if low != 0 {
		z &^= flagZ
	}
	return sreg&keepTI | (z ^ t.carry[^a&b|(^a|b)&r])
}

// shift is the flags of a shift of a to the right, to r.
func (t *flagTables) shift(sreg, a, r uint8) uint8 {
	return sreg&keepTIH | (t.right[r] ^ -(a&1)&shiftC)
}

// wordFlags are S, V, N, Z and C of ADIW and SBIW.
func wordFlags(r, carry, overflow uint16) uint8 {
	v := uint8(carry>>15)*flagC | uint8(overflow>>15)*(flagV|flagS)
	v ^= uint8(r>>15) * (flagN | flagS)
	if r == 0 {
		v |= flagZ
	}
	return v
}

// borrowC is the carry of a - b - c, where r is the result.
func borrowC(a, b, r uint8) uint8 { return (^a&b | (^a|b)&r) >> 7 }

// carryC is the carry of a + b + c, where r is the result.
func carryC(a, b, r uint8) uint8 { return (a&b | (a|b)&^r) >> 7 }
