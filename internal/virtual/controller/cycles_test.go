package controller

import (
	"fmt"
	"testing"
)

// cycleRows is the "#Clocks" column of the instruction set manual for cores with a
// 16-bit program counter (DS40002198, "Instruction Set Summary", column AVRe), in own
// words and from memory: what a word costs, with the state that decides it.
var cycleRows = []struct {
	name  string
	words []uint16
	want  Cycle
	to    uint32 // where it goes on, in words; the instruction stands at 1
	set   func(c *Core)
}{
	{"nop", []uint16{0x0000}, 1, 2, nil},
	{"add", []uint16{0x0F45}, 1, 2, nil},
	{"movw", []uint16{0x0112}, 1, 2, nil},
	{"adiw", []uint16{0x9601}, 2, 2, nil},
	{"sbiw", []uint16{0x9701}, 2, 2, nil},
	{"mul", []uint16{0x9F45}, 2, 2, nil},
	{"muls", []uint16{0x0245}, 2, 2, nil},
	{"mulsu", []uint16{0x0345}, 2, 2, nil},
	{"fmul", []uint16{0x034D}, 2, 2, nil},
	{"rjmp", []uint16{0xC003}, 2, 5, nil},
	{"ijmp", []uint16{0x9409}, 2, 6, func(c *Core) { c.data[30], c.data[31] = 6, 0 }},
	{"jmp", []uint16{0x940C, 7}, 3, 7, nil},
	{"rcall", []uint16{0xD003}, 3, 5, nil},
	{"icall", []uint16{0x9509}, 3, 6, func(c *Core) { c.data[30], c.data[31] = 6, 0 }},
	{"call", []uint16{0x940E, 7}, 4, 7, nil},
	{"ret", []uint16{0x9508}, 4, 9, returnTo9},
	{"reti", []uint16{0x9518}, 4, 9, returnTo9},
	{"cpse, different", []uint16{0x1345}, 1, 2, func(c *Core) { c.data[20] = c.data[21] + 1 }},
	{"cpse, over one word", []uint16{0x1345}, 2, 3, func(c *Core) { c.data[20] = c.data[21] }},
	{"cpse, over two words", []uint16{0x1345, 0x940C, 7}, 3, 4, func(c *Core) { c.data[20] = c.data[21] }},
	{"sbrc, set", []uint16{0xFD40}, 1, 2, func(c *Core) { c.data[20] = 1 }},
	{"sbrc, clear", []uint16{0xFD40}, 2, 3, func(c *Core) { c.data[20] = 0 }},
	{"sbrs over lds", []uint16{0xFF40, 0x9140, 0x0100}, 3, 4, func(c *Core) { c.data[20] = 1 }},
	{"sbrs over sts", []uint16{0xFF40, 0x9340, 0x0100}, 3, 4, func(c *Core) { c.data[20] = 1 }},
	{"sbrs over call", []uint16{0xFF40, 0x940E, 0x0100}, 3, 4, func(c *Core) { c.data[20] = 1 }},
	{"sbic, set", []uint16{0x99F0}, 1, 2, func(c *Core) { c.data[0x3E] = 1 }},
	{"sbic, clear", []uint16{0x99F0}, 2, 3, func(c *Core) { c.data[0x3E] = 0 }},
	{"sbis, clear", []uint16{0x9BF0}, 1, 2, func(c *Core) { c.data[0x3E] = 0 }},
	{"sbis, set, over two words", []uint16{0x9BF0, 0x940C, 7}, 3, 4, func(c *Core) { c.data[0x3E] = 1 }},
	{"breq, not taken", []uint16{0xF019}, 1, 2, func(c *Core) { c.sreg = 0 }},
	{"breq, taken", []uint16{0xF019}, 2, 5, func(c *Core) { c.sreg = flagZ }},
	{"brne, taken", []uint16{0xF419}, 2, 5, func(c *Core) { c.sreg = 0 }},
	{"ld X", []uint16{0x914C}, 2, 2, pointers},
	{"ld X+", []uint16{0x914D}, 2, 2, pointers},
	{"ld -X", []uint16{0x914E}, 2, 2, pointers},
	{"ldd Y+1", []uint16{0x8149}, 2, 2, pointers},
	{"ld -Z", []uint16{0x9142}, 2, 2, pointers},
	{"lds", []uint16{0x9140, 0x0200}, 2, 3, nil},
	{"st X", []uint16{0x934C}, 2, 2, pointers},
	{"st X+", []uint16{0x934D}, 2, 2, pointers},
	{"st -Y", []uint16{0x934A}, 2, 2, pointers},
	{"std Z+2", []uint16{0x8342}, 2, 2, pointers},
	{"sts", []uint16{0x9340, 0x0200}, 2, 3, nil},
	{"lpm", []uint16{0x95C8}, 3, 2, nil},
	{"lpm Z", []uint16{0x9144}, 3, 2, nil},
	{"lpm Z+", []uint16{0x9145}, 3, 2, nil},
	{"in", []uint16{0xB74F}, 1, 2, nil},
	{"out", []uint16{0xBF4F}, 1, 2, nil},
	{"push", []uint16{0x934F}, 2, 2, nil},
	{"pop", []uint16{0x914F}, 2, 2, nil},
	{"sbi", []uint16{0x9AF0}, 2, 2, nil},
	{"cbi", []uint16{0x98F0}, 2, 2, nil},
	{"lsr", []uint16{0x9546}, 1, 2, nil},
	{"bst", []uint16{0xFB40}, 1, 2, nil},
	{"bld", []uint16{0xF940}, 1, 2, nil},
	{"sei", []uint16{0x9478}, 1, 2, nil},
	{"cli", []uint16{0x94F8}, 1, 2, nil},
	{"sleep", []uint16{0x9588}, 1, 2, nil},
	{"wdr", []uint16{0x95A8}, 1, 2, nil},
}

func returnTo9(c *Core) { c.data[0x501], c.data[0x502] = 0, 9 }

func pointers(c *Core) { c.data[27], c.data[29], c.data[31] = 3, 4, 5 }

func TestCycles(t *testing.T) {
	for _, row := range cycleRows {
		cores := newBoth(t, row.words...)
		for _, fast := range []bool{false, true} {
			c := cores.plain
			if fast {
				c = cores.fast
			}
			c.cycle, c.pc, c.sp, c.fresh = 100, 1, 0x500, false
			if row.set != nil {
				row.set(c)
			}
			if fast && !c.sprint(101+maxFused) && c.cycle == 100 {
				continue // left to step
			}
			if !fast {
				c.step()
			}
			if c.cycle-100 != row.want || c.pc != row.to {
				t.Errorf("%s (fast %v): %d cycles, goes on at %d; want %d and %d", row.name, fast, c.cycle-100, c.pc, row.want, row.to)
			}
		}
	}
}

// TestEveryRowHasCycles wants every instruction of the table in the list above.
func TestEveryRowHasCycles(t *testing.T) {
	same := map[kind]kind{ // costs what another costs, and is decoded next to it
		kADC: kADD, kSUB: kADD, kSBC: kADD, kAND: kADD, kOR: kADD, kEOR: kADD, kMOV: kADD, kCP: kADD, kCPC: kADD, kSUBI: kADD, kSBCI: kADD, kANDI: kADD,
		kORI: kADD, kCPI: kADD, kLDI: kADD, kCOM: kLSR, kNEG: kLSR, kSWAP: kLSR, kINC: kLSR, kDEC: kLSR, kASR: kLSR, kROR: kLSR, kFMULS: kFMUL, kFMULSU: kFMUL,
		kLDDZ: kLDDY, kSTDY: kSTDZ, kLDYinc: kLDXinc, kLDZinc: kLDXinc, kLDYdec: kLDXdec, kSTYinc: kSTXinc, kSTZinc: kSTXinc, kSTXdec: kSTYdec, kSTZdec: kSTYdec,
		kBREAK: kNOP, kSPM: kNOP,
	}
	tested := map[kind]bool{}
	for _, row := range cycleRows {
		tested[oneOp(row.words[0]).kind] = true
	}
	for i := range words.patterns {
		k := words.patterns[i].kind
		if s, ok := same[k]; ok {
			k = s
		}
		if !tested[k] {
			t.Errorf("%s: no row in the test's table of cycles", words.patterns[i].text)
		}
	}
}

// TestEveryWordDecodesOnce wants each of the 65,536 words to be one instruction or none.
func TestEveryWordDecodesOnce(t *testing.T) {
	known := 0
	for w := range 1 << 16 {
		n := 0
		for i := range words.patterns {
			if p := &words.patterns[i]; uint16(w)&p.mask == p.want {
				n++
			}
		}
		if n > 1 {
			t.Errorf("0x%04X is %d instructions", w, n)
		}
		known += n
	}
	if known < 60_000 {
		t.Errorf("only %d words are instructions", known)
	}
}

func ExampleCore_Disassemble() {
	c := New(ATmega328P(), Options{})
	copy(c.flash, []uint16{0x0F45, 0x9601, 0x940C, 0x0034, 0xB74F, 0x9A5D, 0x8149, 0xF419, 0xFFFF})
	for addr := uint32(0); addr < 18; {
		text, size := c.Disassemble(addr)
		fmt.Println(text)
		addr += size
	}
	// Output:
	// add r20, r21
	// adiw r24, 0x01
	// jmp 0x0068
	// in r20, 0x3F
	// sbi 0x0B, 5
	// ldd r20, Y+1
	// brbc 1, 0x0016
	// .word 0xFFFF
}
