package controller

import (
	"bytes"
	"debug/elf"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
)

const (
	elfAVR      = 83 // EM_AVR
	elfFlagsAt  = 36 // e_flags in a 32-bit header
	elfArchMask = 0x7F
	elfArch5    = 5 // avr5, the core of the ATmega328P (GNU binutils, include/elf/avr.h)
	elfDevice   = ".note.gnu.avr.deviceinfo"
)

// ReadImage reads an ELF or HEX file, whichever it is.
func ReadImage(name string, data []byte) (*Image, error) {
	if bytes.HasPrefix(data, []byte(elf.ELFMAG)) {
		return ReadELF(name, data)
	}
	return ReadHex(name, data)
}

// ReadELF reads an image as the linker leaves it, with its symbols.
func ReadELF(name string, data []byte) (*Image, error) {
	f, err := elf.NewFile(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%s: no readable ELF file: %w", name, err)
	}
	if f.Class != elf.ELFCLASS32 || f.Data != elf.ELFDATA2LSB || f.Machine != elfAVR {
		return nil, fmt.Errorf("%s: an ELF file for %v (%v): want one for AVR", name, f.Machine, f.Class)
	}
	if arch := binary.LittleEndian.Uint32(data[elfFlagsAt:]) & elfArchMask; arch != elfArch5 {
		return nil, fmt.Errorf("%s: built for the core variant avr%d: want avr%d", name, arch, elfArch5)
	}
	m := &Image{Name: name, Part: deviceOf(f)}
	for i, p := range f.Progs {
		if p.Type != elf.PT_LOAD || p.Filesz == 0 {
			continue
		}
		if p.Off+p.Filesz > uint64(len(data)) || p.Off+p.Filesz < p.Off {
			return nil, fmt.Errorf("%s: segment %d: ends at byte %d of the file, which has %d: it is cut short", name, i+1, p.Off+p.Filesz, len(data))
		}
		if p.Paddr >= dataOffset && p.Paddr < eepromOffset || p.Paddr > 0xFFFFFFFF {
			return nil, fmt.Errorf("%s: segment %d: loads into RAM at 0x%X: want flash or EEPROM, which keep what is put in", name, i+1, p.Paddr)
		}
		if err := m.put(uint32(p.Paddr), data[p.Off:p.Off+p.Filesz], int32(i+1), "segment"); err != nil {
			return nil, err
		}
	}
	symbols, err := f.Symbols()
	if err != nil && !errors.Is(err, elf.ErrNoSymbols) {
		return nil, fmt.Errorf("%s: symbols: %w", name, err)
	}
	for _, s := range symbols {
		m.addSymbol(s)
	}
	m.sortSymbols()
	return m, nil
}

// addSymbol keeps what names a place, and leaves constants and inner labels out.
func (m *Image) addSymbol(s elf.Symbol) {
	kind := elf.ST_TYPE(s.Info)
	if s.Name == "" || strings.HasPrefix(s.Name, ".L") || s.Section == elf.SHN_ABS || s.Section == elf.SHN_UNDEF ||
		kind == elf.STT_SECTION || kind == elf.STT_FILE {
		return
	}
	weak := elf.ST_BIND(s.Info) == elf.STB_WEAK
	switch {
	case s.Value < maxFlash:
		m.Symbols = append(m.Symbols, Symbol{Name: s.Name, Addr: uint32(s.Value), Size: uint32(s.Size), weak: weak})
	case s.Value >= dataOffset && s.Value < eepromOffset:
		m.Symbols = append(m.Symbols, Symbol{Name: s.Name, Addr: uint32(s.Value - dataOffset), Size: uint32(s.Size), Data: true, weak: weak})
	}
}

// deviceOf reads the name of the part from the note that start-up files carry: six
// words of memory sizes, an offset table and a table of strings.
func deviceOf(f *elf.File) string {
	s := f.Section(elfDevice)
	if s == nil {
		return ""
	}
	note, err := s.Data()
	if err != nil || len(note) < 12 {
		return ""
	}
	word := func(at uint32) uint32 {
		if uint64(at)+4 > uint64(len(note)) {
			return 1 << 30
		}
		return binary.LittleEndian.Uint32(note[at:])
	}
	const sizes = 6 * 4
	desc := 12 + (word(0)+3)&^3
	table := desc + sizes
	name := uint64(table) + uint64(word(table)) + uint64(word(table+4))
	if name >= uint64(len(note)) {
		return ""
	}
	text, _, _ := bytes.Cut(note[name:], []byte{0})
	return string(text)
}
