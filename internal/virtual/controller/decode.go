package controller

import (
	"fmt"
	"math/bits"
	"strings"
)

// op is one instruction, decoded once.
type op struct {
	kind   kind
	a, b   uint8  // registers or addresses of bits; see the kind
	cycles uint8  // when nothing is skipped and no branch is taken
	words  uint8  // of flash
	k      uint16 // constant, address or mask
	to     uint32 // word address of a jump, a branch or what follows a skip
}

// pattern is a row in the shape that decoding wants.
type pattern struct {
	row
	mask, want uint16
	fields     [len(letters)]uint16 // the bits of each letter
}

// letters are those that stand for operands in a row's spelling.
const letters = "drKkAbsq"

// A decoder knows the instructions of one part, sorted by the high byte of the word.
type decoder struct {
	patterns []pattern
	byHigh   [256][]uint8
}

func newDecoder(p *Part) *decoder {
	d := &decoder{}
	for _, r := range rows {
		if r.needs&^p.features() == 0 {
			d.patterns = append(d.patterns, compile(r))
		}
	}
	for i, p := range d.patterns {
		for high := range d.byHigh {
			if (uint16(high)<<8^p.want)&p.mask&0xFF00 == 0 {
				d.byHigh[high] = append(d.byHigh[high], uint8(i))
			}
		}
	}
	return d
}

// compile turns a row's spelling into masks.
func compile(r row) pattern {
	p := pattern{row: r}
	for _, letter := range strings.ReplaceAll(r.bits, " ", "") {
		p.mask, p.want = p.mask<<1, p.want<<1
		for i := range p.fields {
			p.fields[i] <<= 1
		}
		switch letter {
		case '0', '1':
			p.mask |= 1
			p.want |= uint16(letter - '0')
		default:
			p.fields[strings.IndexRune(letters, letter)] |= 1
		}
	}
	return p
}

// field collects the bits of one letter, the highest first.
func (p *pattern) field(letter byte, word uint16) uint16 {
	var v uint16
	for m := p.fields[strings.IndexByte(letters, letter)]; m != 0; {
		top := uint16(1) << (bits.Len16(m) - 1)
		v <<= 1
		if word&top != 0 {
			v |= 1
		}
		m &^= top
	}
	return v
}

// reg reads a register field.
func (p *pattern) reg(letter byte, word uint16) uint8 {
	v := uint8(p.field(letter, word))
	switch p.regs {
	case highReg, midReg:
		return v + 16
	case pairReg:
		return v * 2
	case wordReg:
		return v*2 + 24
	}
	return v
}

func (d *decoder) find(word uint16) *pattern {
	for _, i := range d.byHigh[word>>8] {
		if p := &d.patterns[i]; word&p.mask == p.want {
			return p
		}
	}
	return nil
}

// twoWords says that the instruction at a word has a second word behind it.
func (d *decoder) twoWords(word uint16) bool {
	p := d.find(word)
	if p == nil {
		return false
	}
	switch p.kind {
	case kLDS, kSTS, kJMP, kCALL:
		return true
	}
	return false
}

// at decodes the instruction at a word address. Flash is as long as a power of
// two of words, and the program counter wraps.
func (d *decoder) at(flash []uint16, pc uint32) op {
	last := uint32(len(flash) - 1)
	word := flash[pc&last]
	if word == 0xFFFF {
		return op{kind: kErased, words: 1, k: word}
	}
	p := d.find(word)
	if p == nil {
		return op{kind: kIllegal, words: 1, k: word}
	}
	next := flash[(pc+1)&last]
	o := op{kind: p.kind, cycles: p.cycles, words: 1}
	switch p.kind {
	case kLDS, kSTS:
		o.a, o.k, o.words = p.reg('d', word), next, 2
	case kJMP, kCALL:
		o.to, o.words = (uint32(p.field('k', word))<<16|uint32(next))&last, 2
	case kRJMP, kRCALL:
		o.to = (pc + 1 + signed(p.field('k', word), 12)) & last
	case kBRBS, kBRBC:
		o.to = (pc + 1 + signed(p.field('k', word), 7)) & last
		o.a = 1 << p.field('s', word)
	case kBSET, kBCLR:
		o.a = 1 << p.field('s', word)
	case kSBI, kCBI, kSBIS, kSBIC:
		o.k, o.b = p.field('A', word)+ioBase, 1<<p.field('b', word)
	case kIN, kOUT:
		o.a, o.k = p.reg('d', word), p.field('A', word)+ioBase
	case kBLD, kBST, kSBRC, kSBRS:
		o.a, o.b = p.reg('d', word), 1<<p.field('b', word)
	case kLDDY, kLDDZ, kSTDY, kSTDZ:
		o.a, o.k = p.reg('d', word), p.field('q', word)
	case kADIW, kSBIW, kCPI, kSUBI, kSBCI, kORI, kANDI, kLDI:
		o.a, o.k = p.reg('d', word), p.field('K', word)
	default:
		o.a, o.b = p.reg('d', word), p.reg('r', word)
	}
	switch p.kind {
	case kCPSE, kSBRC, kSBRS, kSBIC, kSBIS:
		o.to = pc + 2
		if d.twoWords(next) {
			o.to++
		}
		o.to &= last
	}
	return o
}

// signed makes a number of n bits one of 32.
func signed(v uint16, n int) uint32 {
	return uint32(int32(uint32(v)<<(32-n)) >> (32 - n))
}

// Disassemble spells the instruction at a byte address of an image, as the
// manual does, and says how many bytes it takes.
func (c *Core) Disassemble(addr uint32) (text string, size uint32) {
	pc := addr / 2 & uint32(len(c.flash)-1)
	word := c.flash[pc]
	o := c.decoder.at(c.flash, pc)
	p := c.decoder.find(word)
	if p == nil || o.kind == kErased {
		return fmt.Sprintf(".word 0x%04X", word), 2
	}
	var b strings.Builder
	name, operands, _ := strings.Cut(p.text, " ")
	b.WriteString(name)
	if operands == "" {
		return b.String(), uint32(o.words) * 2
	}
	b.WriteByte(' ')
	for _, letter := range []byte(operands) {
		switch letter {
		case 'd', 'r':
			fmt.Fprintf(&b, "r%d", p.reg(letter, word))
		case 'K':
			fmt.Fprintf(&b, "0x%02X", p.field(letter, word))
		case 'A':
			fmt.Fprintf(&b, "0x%02X", p.field(letter, word))
		case 'b', 's', 'q':
			fmt.Fprintf(&b, "%d", p.field(letter, word))
		case 'k':
			if o.kind == kLDS || o.kind == kSTS {
				fmt.Fprintf(&b, "0x%04X", o.k)
			} else {
				fmt.Fprintf(&b, "0x%04X", o.to*2)
			}
		default:
			b.WriteByte(letter)
		}
	}
	return b.String(), uint32(o.words) * 2
}
