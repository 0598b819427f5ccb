package controller

import (
	"bytes"
	"encoding/hex"
	"fmt"
)

// The record types of Intel's "Hexadecimal Object File Format Specification" (1988).
const (
	hexData         = 0
	hexEnd          = 1
	hexSegment      = 2
	hexStartSegment = 3
	hexLinear       = 4
	hexStartLinear  = 5
)

// hexOverhead is what a record has besides its data: count, address, type, checksum.
const hexOverhead = 5

// ReadHex reads an image in Intel's HEX format. It stops at the first thing that is
// wrong and says on which line: half a program is worse than none.
func ReadHex(name string, text []byte) (*Image, error) {
	m := &Image{Name: name}
	var base uint32
	var ended int
	n := 0
	for len(text) > 0 {
		var line []byte
		line, text, _ = bytes.Cut(text, []byte("\n"))
		n++
		line = bytes.TrimSpace(line)
		if len(line) == 0 {
			continue
		}
		if ended != 0 {
			return nil, fmt.Errorf("%s: line %d: %.20q after the end record of line %d: want nothing more", name, n, line, ended)
		}
		r, err := hexRecord(line)
		if err != nil {
			return nil, fmt.Errorf("%s: line %d: %w", name, n, err)
		}
		data := r[4 : len(r)-1]
		switch kind := r[3]; kind {
		case hexData:
			err = m.putHex(base, uint32(r[1])<<8|uint32(r[2]), data, int32(n))
		case hexEnd:
			ended = n
		case hexSegment, hexLinear:
			if len(data) != 2 {
				return nil, fmt.Errorf("%s: line %d: an address record with %d bytes: want 2", name, n, len(data))
			}
			base = (uint32(data[0])<<8 | uint32(data[1])) << 4
			if kind == hexLinear {
				base <<= 12
			}
		case hexStartSegment, hexStartLinear:
			// Where to begin: this family always begins at its reset vector.
		default:
			return nil, fmt.Errorf("%s: line %d: a record of type %d: want 0 to 5", name, n, kind)
		}
		if err != nil {
			return nil, err
		}
	}
	if ended == 0 {
		return nil, fmt.Errorf("%s: line %d: the file ends without an end record (\":00000001FF\"): it is cut short", name, max(n, 1))
	}
	return m, nil
}

// putHex places a data record, whose 16-bit address wraps around in its segment.
func (m *Image) putHex(base, offset uint32, data []byte, line int32) error {
	if room := 0x10000 - offset; uint32(len(data)) > room {
		if err := m.put(base+offset, data[:room], line, "line"); err != nil {
			return err
		}
		return m.put(base, data[room:], line, "line")
	}
	return m.put(base+offset, data, line, "line")
}

// hexRecord turns one line to bytes and checks that nothing is missing.
func hexRecord(line []byte) ([]byte, error) {
	if line[0] != ':' {
		return nil, fmt.Errorf("begins with %q: want a colon", line[0])
	}
	r := make([]byte, len(line)/2)
	if len(line)%2 == 0 {
		return nil, fmt.Errorf("%d digits: want an even number; the line is cut short", len(line)-1)
	}
	if _, err := hex.Decode(r, line[1:]); err != nil {
		return nil, fmt.Errorf("%.40q: want hexadecimal digits: %w", line, err)
	}
	if len(r) < hexOverhead {
		return nil, fmt.Errorf("%d bytes: want at least %d; the line is cut short", len(r), hexOverhead)
	}
	if want := int(r[0]) + hexOverhead; len(r) != want {
		return nil, fmt.Errorf("%d bytes, but its count says %d: the line is cut short or joined", len(r), want)
	}
	var sum byte
	for _, b := range r {
		sum += b
	}
	if sum != 0 {
		last := r[len(r)-1]
		return nil, fmt.Errorf("checksum 0x%02X: want 0x%02X", last, last-sum)
	}
	return r, nil
}
