package controller

import (
	"cmp"
	"fmt"
	"slices"
)

// An Image is a program as it comes from a compiler: what goes into flash and EEPROM,
// and the names of its places when there are any.
type Image struct {
	Name    string // for messages
	Part    string // that it says it was built for; empty when it does not say
	Flash   []byte // from address 0; 0xFF where nothing was given
	EEPROM  []byte // the same
	Symbols []Symbol

	flashFrom, eepromFrom []int32 // the line or part of the file each byte is from; 0: none
}

// Symbol names a place in flash or, with Data set, in RAM.
type Symbol struct {
	Name string
	Addr uint32 // in bytes
	Size uint32 // 0: not known
	Data bool

	weak bool // another name is better
}

// Addresses at which the tools of this family put the other memories (avr-libc
// manual, "Memory sections").
const (
	dataOffset   = 0x800000
	eepromOffset = 0x810000
	fuseOffset   = 0x820000
	fuseEnd      = 0x850000 // fuses, lock bits and signature lie between
)

// The largest memories of the family: more is no image.
const (
	maxFlash  = 256 << 10
	maxEEPROM = 4 << 10
)

// put places bytes at an address of the tools' common address space. from is the line
// of the text, or the part of the file, that they are from.
func (m *Image) put(addr uint32, data []byte, from int32, unit string) error {
	place, origin, start, limit, what := &m.Flash, &m.flashFrom, uint32(0), uint32(maxFlash), "flash"
	switch {
	case addr >= fuseOffset && addr < fuseEnd:
		return nil // fuses and lock bits are the board's affair: see Options
	case addr >= eepromOffset && addr < fuseOffset:
		place, origin, start, limit, what = &m.EEPROM, &m.eepromFrom, eepromOffset, maxEEPROM, "EEPROM"
	}
	if uint64(addr-start)+uint64(len(data)) > uint64(limit) {
		return fmt.Errorf("%s: %s %d: %d bytes at address 0x%X: want %s to end at 0x%X at most, the largest of the family", m.Name, unit, from, len(data), addr, what, limit-1)
	}
	addr -= start
	if need := int(addr) + len(data); need > len(*place) {
		*place = append(*place, slices.Repeat([]byte{0xFF}, need-len(*place))...)
		*origin = append(*origin, make([]int32, need-len(*origin))...)
	}
	for i, b := range data {
		at := int(addr) + i
		if old := (*origin)[at]; old != 0 {
			return fmt.Errorf("%s: %s %d: gives the byte at address 0x%X of %s, which %s %d gave already: want each byte once", m.Name, unit, from, at, what, unit, old)
		}
		(*place)[at], (*origin)[at] = b, from
	}
	return nil
}

// sortSymbols puts them in the order of their addresses, functions before labels.
func (m *Image) sortSymbols() {
	slices.SortStableFunc(m.Symbols, func(a, b Symbol) int {
		if a.Data != b.Data {
			if a.Data {
				return 1
			}
			return -1
		}
		return cmp.Or(cmp.Compare(a.Addr, b.Addr), cmp.Compare(b.Size, a.Size), weakLast(a, b), cmp.Compare(a.Name, b.Name))
	})
}

func weakLast(a, b Symbol) int {
	switch {
	case a.weak == b.weak:
		return 0
	case a.weak:
		return 1
	}
	return -1
}

// Place names a byte address of flash: "main+0x12"; empty when there are no symbols.
func (m *Image) Place(addr uint32) string { return m.nearest(addr, false) }

// Variable names a byte address of RAM.
func (m *Image) Variable(addr uint32) string { return m.nearest(addr, true) }

func (m *Image) nearest(addr uint32, data bool) string {
	i, _ := slices.BinarySearchFunc(m.Symbols, addr+1, func(s Symbol, want uint32) int {
		if s.Data != data {
			if s.Data {
				return 1
			}
			return -1
		}
		if s.Addr < want {
			return -1
		}
		return 1
	})
	for i--; i >= 0 && m.Symbols[i].Data == data; i-- {
		s := m.Symbols[i]
		if s.Size != 0 && addr >= s.Addr+s.Size {
			continue // the function ends before: a label may still reach
		}
		for i > 0 && m.Symbols[i-1].Addr == s.Addr && m.Symbols[i-1].Data == data {
			i--
			s = m.Symbols[i]
		}
		if addr == s.Addr {
			return s.Name
		}
		return fmt.Sprintf("%s+0x%X", s.Name, addr-s.Addr)
	}
	return ""
}

// Load puts an image into the controller, which starts as if power had just come.
func (c *Core) Load(m *Image) error {
	if err := c.part.fits(m); err != nil {
		return err
	}
	for i := range c.flash {
		c.flash[i] = 0xFFFF
	}
	for i, b := range m.Flash {
		word := &c.flash[i/2]
		if i%2 == 0 {
			*word = *word&0xFF00 | uint16(b)
		} else {
			*word = *word&0x00FF | uint16(b)<<8
		}
	}
	copy(c.eeprom.data, m.EEPROM)
	c.image = m
	c.predecode()
	if err := c.looksRight(); err != nil {
		return err
	}
	c.restart()
	return nil
}

// fits says whether the part has room for an image and is the one it was built for.
func (p *Part) fits(m *Image) error {
	if m.Part != "" && m.Part != p.Name {
		return fmt.Errorf("%s: built for the %s: want an image for the %s", m.Name, m.Part, p.Name)
	}
	if n := uint32(len(m.Flash)); n > p.FlashBytes {
		where := ""
		if from := m.flashFrom[p.FlashBytes]; from != 0 {
			where = fmt.Sprintf(" (line or part %d)", from)
		}
		return fmt.Errorf("%s: %d bytes of program, the first too many at address 0x%X%s: want at most %d, the flash of the %s", m.Name, n, p.FlashBytes, where, p.FlashBytes, p.Name)
	}
	if n := uint32(len(m.EEPROM)); n > p.EEPROMBytes {
		return fmt.Errorf("%s: %d bytes of EEPROM: want at most %d on the %s", m.Name, n, p.EEPROMBytes, p.Name)
	}
	if len(m.Flash) == 0 {
		return fmt.Errorf("%s: no program in it: want at least an instruction at address 0", m.Name)
	}
	return nil
}

// startupWords is how far the start-up code is followed to where it sets the stack.
const startupWords = 24

// looksRight looks for signs that a program without a part's name is for another
// part: a jump out of flash, or a stack above the end of RAM.
func (c *Core) looksRight() error {
	d := c.decoder
	word := c.flash[0]
	o := d.at(c.flash, 0)
	if p := d.find(word); p != nil && p.kind == kJMP {
		if target := uint32(p.field('k', word))<<16 | uint32(c.flash[1]); target > c.lastPC {
			return fmt.Errorf("%s: the reset vector jumps to 0x%X: want an address below 0x%X, the flash of the %s; it is for a larger part", c.image.Name, target*2, c.part.FlashBytes, c.part.Name)
		}
	}
	if o.kind != kJMP && o.kind != kRJMP {
		return nil
	}
	var reg [32]uint8
	var known [32]bool
	var sp uint32
	pc, low, high := o.to, false, false
	for range startupWords {
		o := d.at(c.flash, pc)
		switch {
		case o.kind == kLDI:
			reg[o.a], known[o.a] = uint8(o.k), true
		case o.kind == kOUT && known[o.a] && o.k == c.where[regSPL]:
			sp, low = sp&0xFF00|uint32(reg[o.a]), true
		case o.kind == kOUT && known[o.a] && o.k == c.where[regSPH]:
			sp, high = sp&0xFF|uint32(reg[o.a])<<8, true
		}
		pc = (pc + uint32(o.words)) & c.lastPC
	}
	if low && high && sp > c.ramEnd {
		return fmt.Errorf("%s: its start-up code puts the stack at 0x%04X: want at most 0x%04X, where the RAM of the %s ends; it is for another part", c.image.Name, sp, c.ramEnd, c.part.Name)
	}
	return nil
}
