package controller

import (
	"math/rand/v2"
	"testing"
)

// runOne carries out the word at address 1 both ways and returns the state. d, r and
// sreg are put in first.
type both struct{ plain, fast *Core }

func newBoth(t testing.TB, word ...uint16) both {
	code := append([]uint16{0}, word...)
	code = append(code, 0, 0, 0, 0, 0, 0, 0, 0)
	return both{load(t, code, Options{Plain: true}), load(t, code, Options{})}
}

// run sets registers and flags, runs one instruction the plain way and the same with
// sprint, and gives back both cores.
func (b both) run(set func(c *Core)) (plain, fast *Core) {
	for _, c := range []*Core{b.plain, b.fast} {
		c.cycle, c.pc, c.fresh = 100, 1, false
		set(c)
	}
	b.plain.step()
	// sprint runs in steps, which may be more than one instruction: leave room for
	// exactly the first.
	b.fast.sprint(b.fast.cycle + maxFused + 1)
	return b.plain, b.fast
}

// expected is what the manual's "Operation" and "Boolean Formula" come to, worked out
// with whole numbers instead of bits: a carry is a sum that does not fit, an overflow
// is a signed sum that does not fit.
type expected struct {
	r       uint8
	z, c, h bool
	signed  int // the true result as a signed number: S is its sign, V says that it does not fit
}

func (e expected) flags() uint8 {
	var f uint8
	set := func(bit uint8, on bool) {
		if on {
			f |= bit
		}
	}
	set(flagC, e.c)
	set(flagZ, e.z)
	set(flagN, int8(e.r) < 0)
	set(flagV, e.signed < -128 || e.signed > 127)
	set(flagS, e.signed < 0)
	set(flagH, e.h)
	return f
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Registers of the words below: r20 is the destination, r21 the source.
const (
	dReg = 20
	rReg = 21
)

// arithmetic is the manual's pages of instructions with two operands and all flags
// (from memory: DS40002198, "Instruction Description").
var arithmetic = []struct {
	name string
	word func(b uint8) uint16 // with b as the constant, where there is one
	want func(a, b, c int, z bool) expected
	keep bool // the destination stays
}{
	{"add", func(uint8) uint16 { return 0x0F45 }, func(a, b, c int, z bool) expected {
		return expected{uint8(a + b), uint8(a+b) == 0, a+b > 255, a%16+b%16 > 15, int(int8(a)) + int(int8(b))}
	}, false},
	{"adc", func(uint8) uint16 { return 0x1F45 }, func(a, b, c int, z bool) expected {
		return expected{uint8(a + b + c), uint8(a+b+c) == 0, a+b+c > 255, a%16+b%16+c > 15, int(int8(a)) + int(int8(b)) + c}
	}, false},
	{"sub", func(uint8) uint16 { return 0x1B45 }, wantSub, false},
	{"subi", func(b uint8) uint16 { return 0x5040 | uint16(b&0xF0)<<4 | uint16(b&0x0F) }, wantSub, false},
	{"cp", func(uint8) uint16 { return 0x1745 }, wantSub, true},
	{"cpi", func(b uint8) uint16 { return 0x3040 | uint16(b&0xF0)<<4 | uint16(b&0x0F) }, wantSub, true},
	{"sbc", func(uint8) uint16 { return 0x0B45 }, wantSbc, false},
	{"sbci", func(b uint8) uint16 { return 0x4040 | uint16(b&0xF0)<<4 | uint16(b&0x0F) }, wantSbc, false},
	{"cpc", func(uint8) uint16 { return 0x0745 }, wantSbc, true},
}

func wantSub(a, b, c int, z bool) expected {
	return expected{uint8(a - b), a == b, a < b, a%16 < b%16, int(int8(a)) - int(int8(b))}
}

func wantSbc(a, b, c int, z bool) expected {
	return expected{uint8(a - b - c), uint8(a-b-c) == 0 && z, a < b+c, a%16 < b%16+c, int(int8(a)) - int(int8(b)) - c}
}

// TestArithmetic tries every pair of operands with every carry and zero before.
func TestArithmetic(t *testing.T) {
	for _, row := range arithmetic {
		for b := range 256 {
			cores := newBothCached(t, row.word(uint8(b)))
			for a := range 256 {
				for before := range uint8(4) {
					if before>>1&1 == 1 && before&1 == 0 && row.name != "sbc" && row.name != "cpc" && row.name != "sbci" && row.name != "adc" {
						continue
					}
					sreg := before&1*flagC | before>>1*flagZ | flagT
					want := row.want(a, b, int(before&1), before>>1 == 1)
					r := want.r
					if row.keep {
						r = uint8(a)
					}
					for _, c := range cores.each(func(c *Core) {
						c.data[dReg], c.data[rReg], c.sreg = uint8(a), uint8(b), sreg
					}) {
						if c.data[dReg] != r || c.sreg != flagT|want.flags() {
							t.Fatalf("%s %d, %d with SREG 0x%02X: 0x%02X, SREG 0x%02X; want 0x%02X, 0x%02X", row.name, a, b, sreg, c.data[dReg], c.sreg, r, flagT|want.flags())
						}
					}
				}
			}
		}
	}
}

// newBothCached keeps one pair of cores and changes its flash.
func newBothCached(t testing.TB, word ...uint16) both {
	key := t.Name()
	if cached.name != key {
		cached.name, cached.cores = key, newBoth(t, word...)
	}
	b := cached.cores
	for _, c := range []*Core{b.plain, b.fast} {
		copy(c.flash[1:], word)
		for pc := range uint32(len(word) + 2) {
			if pc > 0 {
				c.plain[pc] = c.decoder.at(c.flash, pc)
			}
		}
		for pc := range uint32(len(word) + 1) {
			c.fast[pc] = c.single(pc)
		}
	}
	return b
}

var cached struct {
	name  string
	cores both
}

func (b both) each(set func(c *Core)) [2]*Core {
	plain, fast := b.run(set)
	return [2]*Core{plain, fast}
}

// unary is the instructions with one operand, with what they leave of the flags before.
var unary = []struct {
	name string
	word uint16
	keep uint8
	want func(a int, c bool) (r uint8, flags uint8)
}{
	{"inc", 0x9543, flagC | flagH, func(a int, c bool) (uint8, uint8) {
		return uint8(a + 1), expected{r: uint8(a + 1), z: a == 255, signed: int(int8(a)) + 1}.flags()
	}},
	{"dec", 0x954A, flagC | flagH, func(a int, c bool) (uint8, uint8) {
		return uint8(a - 1), expected{r: uint8(a - 1), z: a == 1, signed: int(int8(a)) - 1}.flags()
	}},
	{"neg", 0x9541, 0, func(a int, c bool) (uint8, uint8) {
		return uint8(-a), expected{uint8(-a), a == 0, a != 0, a%16 != 0, -int(int8(a))}.flags()
	}},
	{"com", 0x9540, flagH, func(a int, c bool) (uint8, uint8) {
		r := uint8(255 - a)
		return r, expected{r: r, z: r == 0, c: true, signed: int(int8(r))}.flags()
	}},
	{"swap", 0x9542, flagH | flagS | flagV | flagN | flagZ | flagC, func(a int, c bool) (uint8, uint8) {
		return uint8(a/16 + a%16*16), 0
	}},
	{"lsr", 0x9546, flagH, func(a int, c bool) (uint8, uint8) { return shifted(uint8(a/2), a%2 == 1) }},
	{"asr", 0x9545, flagH, func(a int, c bool) (uint8, uint8) { return shifted(uint8(a/2+a/128*128), a%2 == 1) }},
	{"ror", 0x9547, flagH, func(a int, c bool) (uint8, uint8) { return shifted(uint8(a/2+128*bit(c)), a%2 == 1) }},
}

// shifted is the flags of the three shifts: V is N xor C, and so S is C.
func shifted(r uint8, c bool) (uint8, uint8) {
	var f uint8
	if r == 0 {
		f |= flagZ
	}
	if r >= 128 {
		f |= flagN
	}
	if (r >= 128) != c {
		f |= flagV
	}
	if c {
		f |= flagC | flagS
	}
	return r, f
}

func TestUnary(t *testing.T) {
	for _, row := range unary {
		cores := newBothCached(t, row.word)
		for a := range 256 {
			for _, before := range []uint8{0, 0xFF, flagC, ^uint8(flagC), flagH | flagI} {
				r, flags := row.want(a, before&flagC != 0)
				flags |= before & (row.keep | flagT | flagI)
				for _, c := range cores.each(func(c *Core) { c.data[dReg], c.sreg = uint8(a), before }) {
					if c.data[dReg] != r || c.sreg != flags {
						t.Fatalf("%s 0x%02X with SREG 0x%02X: 0x%02X, 0x%02X; want 0x%02X, 0x%02X", row.name, a, before, c.data[dReg], c.sreg, r, flags)
					}
				}
			}
		}
	}
}

func TestLogic(t *testing.T) {
	for _, row := range []struct {
		name string
		word func(b uint8) uint16
		op   func(a, b uint8) uint8
	}{
		{"and", func(uint8) uint16 { return 0x2345 }, func(a, b uint8) uint8 { return a & b }},
		{"or", func(uint8) uint16 { return 0x2B45 }, func(a, b uint8) uint8 { return a | b }},
		{"eor", func(uint8) uint16 { return 0x2745 }, func(a, b uint8) uint8 { return a ^ b }},
		{"andi", func(b uint8) uint16 { return 0x7040 | uint16(b&0xF0)<<4 | uint16(b&0x0F) }, func(a, b uint8) uint8 { return a & b }},
		{"ori", func(b uint8) uint16 { return 0x6040 | uint16(b&0xF0)<<4 | uint16(b&0x0F) }, func(a, b uint8) uint8 { return a | b }},
	} {
		for b := range 256 {
			cores := newBothCached(t, row.word(uint8(b)))
			for a := range 256 {
				r := row.op(uint8(a), uint8(b))
				want := expected{r: r, z: r == 0, signed: int(int8(r))}.flags()
				for _, c := range cores.each(func(c *Core) {
					c.data[dReg], c.data[rReg], c.sreg = uint8(a), uint8(b), flagC|flagH|flagV
				}) {
					if c.data[dReg] != r || c.sreg != want|flagC|flagH {
						t.Fatalf("%s 0x%02X, 0x%02X: 0x%02X, SREG 0x%02X; want 0x%02X, 0x%02X", row.name, a, b, c.data[dReg], c.sreg, r, want|flagC|flagH)
					}
				}
			}
		}
	}
}

// TestWords tries adiw and sbiw with r25:r24: flags of sixteen bits, H left alone.
func TestWords(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for k := range 64 {
		for _, add := range []bool{true, false} {
			word := uint16(0x9600) | uint16(k&0x30)<<2 | uint16(k&0x0F)
			if !add {
				word |= 0x100
			}
			cores := newBothCached(t, word)
			for n := range 400 {
				a := int(uint16(r.Uint32()))
				if n < 140 {
					a = int(uint16([]int{0, 0x7FFF, 0x8000, 0xFFFF}[n%4] + n/4 - 17))
				}
				sum, signed := a+k, int(int16(a))+k
				if !add {
					sum, signed = a-k, int(int16(a))-k
				}
				want := flagH*uint8(1) | uint8(bit(sum < 0 || sum > 0xFFFF))*flagC | uint8(bit(uint16(sum) == 0))*flagZ |
					uint8(bit(int16(sum) < 0))*flagN | uint8(bit(signed != int(int16(signed))))*flagV | uint8(bit(signed < 0))*flagS
				for _, c := range cores.each(func(c *Core) { c.data[24], c.data[25], c.sreg = uint8(a), uint8(a>>8), flagH }) {
					if got := uint16(c.pair(24)); got != uint16(sum) || c.sreg != want {
						t.Fatalf("0x%04X and %d (add %v): 0x%04X, SREG 0x%02X; want 0x%04X, 0x%02X", a, k, add, got, c.sreg, uint16(sum), want)
					}
				}
			}
		}
	}
}

// TestProducts tries the six multiplications: C is bit 15 of the product before the
// shift of the fractional ones, Z the result, the rest stays.
func TestProducts(t *testing.T) {
	unsigned, signed := func(v int) int { return v }, func(v int) int { return int(int8(v)) }
	for _, row := range []struct {
		name   string
		word   uint16 // r20 and r21
		da, db func(int) int
		shift  int
	}{
		{"mul", 0x9F45, unsigned, unsigned, 0}, {"muls", 0x0245, signed, signed, 0}, {"mulsu", 0x0345, signed, unsigned, 0},
		{"fmul", 0x034D, unsigned, unsigned, 1}, {"fmuls", 0x03C5, signed, signed, 1}, {"fmulsu", 0x03CD, signed, unsigned, 1},
	} {
		cores := newBothCached(t, row.word)
		for a := range 256 {
			for b := 0; b < 256; b += 1 + a%3 {
				p := row.da(a) * row.db(b)
				r := uint16(p << row.shift)
				want := uint8(flagH|flagV|flagN) | uint8(uint16(p)>>15)*flagC | uint8(bit(r == 0))*flagZ
				for i, c := range cores.each(func(c *Core) {
					c.data[dReg], c.data[rReg], c.sreg = uint8(a), uint8(b), flagH|flagV|flagN
				}) {
					if c.pc == 1 && i == 1 {
						continue // left to step
					}
					if got := uint16(c.pair(0)); got != r || c.sreg != want {
						t.Fatalf("%s %d, %d: 0x%04X, SREG 0x%02X; want 0x%04X, 0x%02X", row.name, a, b, got, c.sreg, r, want)
					}
				}
			}
		}
	}
}

// mayChange is the "Flags" column of the manual's instruction set summary, in own
// words: which flags an instruction may touch. All others must stay as they were.
var mayChange = map[kind]uint8{
	kADD: flagH | flagS | flagV | flagN | flagZ | flagC, kADC: flagH | flagS | flagV | flagN | flagZ | flagC,
	kSUB: flagH | flagS | flagV | flagN | flagZ | flagC, kSUBI: flagH | flagS | flagV | flagN | flagZ | flagC,
	kSBC: flagH | flagS | flagV | flagN | flagZ | flagC, kSBCI: flagH | flagS | flagV | flagN | flagZ | flagC,
	kCP: flagH | flagS | flagV | flagN | flagZ | flagC, kCPC: flagH | flagS | flagV | flagN | flagZ | flagC,
	kCPI: flagH | flagS | flagV | flagN | flagZ | flagC, kNEG: flagH | flagS | flagV | flagN | flagZ | flagC,
	kADIW: flagS | flagV | flagN | flagZ | flagC, kSBIW: flagS | flagV | flagN | flagZ | flagC,
	kCOM: flagS | flagV | flagN | flagZ | flagC, kLSR: flagS | flagV | flagN | flagZ | flagC,
	kROR: flagS | flagV | flagN | flagZ | flagC, kASR: flagS | flagV | flagN | flagZ | flagC,
	kAND: flagS | flagV | flagN | flagZ, kANDI: flagS | flagV | flagN | flagZ, kOR: flagS | flagV | flagN | flagZ,
	kORI: flagS | flagV | flagN | flagZ, kEOR: flagS | flagV | flagN | flagZ, kINC: flagS | flagV | flagN | flagZ, kDEC: flagS | flagV | flagN | flagZ,
	kMUL: flagZ | flagC, kMULS: flagZ | flagC, kMULSU: flagZ | flagC, kFMUL: flagZ | flagC, kFMULS: flagZ | flagC, kFMULSU: flagZ | flagC,
	kBSET: 0xFF, kBCLR: 0xFF, kBST: flagT, kRETI: flagI, kOUT: 0xFF, kSTS: 0xFF, // the last two may write SREG itself
}

// TestOtherFlagsStay runs every instruction from random states.
func TestOtherFlagsStay(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for i := range words.patterns {
		p := &words.patterns[i]
		if p.kind == kSPM || p.kind == kSLEEP {
			continue
		}
		for range 50 {
			word := p.want | uint16(r.Uint32())&^p.mask
			if oneOp(word).kind != p.kind {
				continue
			}
			cores := newBothCached(t, word, uint16(0x100+r.IntN(0x700)))
			sreg := uint8(r.Uint32())
			c := cores.plain
			c.cycle, c.pc, c.fresh = 100, 1, false
			for k := range 32 {
				c.data[k] = uint8(r.Uint32())
			}
			c.data[27], c.data[29], c.data[31] = 3, 4, 5
			c.sp, c.sreg = 0x500, sreg
			c.step()
			if p.kind == kSTDY || p.kind == kSTDZ || p.kind == kOUT || p.kind == kSTS {
				continue
			}
			if (c.sreg^sreg)&^mayChange[p.kind] != 0 {
				t.Errorf("%s (0x%04X): SREG 0x%02X became 0x%02X; only 0x%02X may change", p.text, word, sreg, c.sreg, mayChange[p.kind])
			}
		}
	}
}
