package sms

import (
	"encoding/binary"
	"fmt"
	"unicode/utf16"
	"unicode/utf8"
)

// maxWritten is the longest PDU that is written: 12 octets of service centre, and
// 1+1+12+1+1+7+1+140 of message; a COMMAND may hold 157 octets of data.
const maxWritten = 192

// encoder writes one PDU; the first error stays. The octets stand in an array, so
// that an encoder lives on the stack: each part is bounded before it is written, and
// all bounds together fit.
type encoder struct {
	space [maxWritten]byte
	n     int
	from  int // where the message begins, behind the service centre part
	err   error
}

// put takes what was appended to [encoder.written].
func (e *encoder) put(b []byte) { e.n = len(b) }

// written is what was written so far, to append to.
func (e *encoder) written() []byte { return e.space[:e.n] }

func flag(set bool, bit byte) byte {
	if set {
		return bit
	}
	return 0
}

func (e *encoder) fail(field, had, want, clause string) {
	if e.err == nil {
		e.err = &ValueError{Field: field, Had: had, Want: want, Clause: clause}
	}
}

func (e *encoder) octets(o ...byte) { e.put(append(e.written(), o...)) }

func (e *encoder) smsc(a Address) {
	if a.IsName() {
		e.fail("service centre", "a name", "a number", "TS 24.011 8.2.5.1")
	} else if err := a.check("service centre"); err != nil && e.err == nil {
		e.err = err
	}
	if e.err == nil {
		e.put(a.appendSMSC(e.written()))
	}
	e.from = e.n
}

func (e *encoder) address(field string, a Address) {
	if err := a.check(field); err != nil && e.err == nil {
		e.err = err
	}
	if e.err == nil {
		e.put(a.append(e.written()))
	}
}

// userData writes TP-UDL and TP-UD.
func (e *encoder) userData(dcs byte, h Header, text string, data []byte) {
	if e.err != nil {
		return
	}
	coding := &codings[dcs]
	size := h.size()
	if !h.fits() {
		e.fail("header", octetWords(size), "at most 140 octets, no element over 255", "TS 23.040 9.2.3.24")
		return
	}
	at := e.n
	e.octets(0)
	e.put(h.append(e.written()))
	switch {
	case coding.Compressed || coding.ReadAs() == Data8:
		if text != "" {
			e.fail("text", "a text", "octets: this data coding has no alphabet", "TS 23.038 4")
		}
		if size+len(data) > maxUserOctets {
			e.fail("data", octetWords(len(data)), octetWords(maxUserOctets-size)+" at most", "TS 23.040 9.2.3.24")
			return
		}
		e.octets(data...)
		e.space[at] = byte(size + len(data))
		return
	case len(data) > 0:
		e.fail("data", "octets", "a text: this data coding has an alphabet", "TS 23.038 4")
	case coding.ReadAs() == UCS2:
		b, n := appendUCS2(e.written(), text, (maxUserOctets-size)/2)
		if n > (maxUserOctets-size)/2 {
			e.fail("text", fmt.Sprintf("%d UCS2 units", n), fmt.Sprintf("at most %d", (maxUserOctets-size)/2), "TS 23.040 9.2.3.24")
			return
		}
		e.put(b)
		e.space[at] = byte(size + 2*n)
	default:
		e.septets(at, size, h, text)
	}
}

func (e *encoder) septets(at, size int, h Header, text string) {
	var space [maxUserSeptets + 1]byte
	shift := h.Shift()
	septets, bad := shift.AppendSeptets(space[:0], text)
	if bad >= 0 {
		r, _ := utf8.DecodeRuneInString(text[bad:])
		e.fail("text", fmt.Sprintf("%q (%U)", r, r), "characters of the 7-bit alphabet; UCS2 (data coding 8) holds the others", "TS 23.038 6.2.1")
		return
	}
	head, fill := 0, 0
	if size > 0 {
		head, fill = headSeptets(size), fillBits(size)
	}
	if head+len(septets) > maxUserSeptets {
		e.fail("text", fmt.Sprintf("%d septets", len(septets)), fmt.Sprintf("at most %d", maxUserSeptets-head), "TS 23.040 9.2.3.24")
		return
	}
	e.put(Pack(e.written(), septets, fill))
	e.space[at] = byte(head + len(septets))
}

// appendUCS2 appends text in 16-bit units, the high octet first, characters beyond
// them as surrogate pairs. It counts all units and writes at most limit.
func appendUCS2(dst []byte, text string, limit int) (out []byte, units int) {
	for _, r := range text {
		if r > 0xFFFF {
			high, low := utf16.EncodeRune(r)
			if units+2 <= limit {
				dst = append(dst, byte(high>>8), byte(high), byte(low>>8), byte(low))
			}
			units += 2
			continue
		}
		if units < limit {
			dst = append(dst, byte(r>>8), byte(r))
		}
		units++
	}
	return dst, units
}

const hexDigits = "0123456789ABCDEF"

// hexPairs holds both digits of each octet, the first in the low half.
var hexPairs = func() (pairs [256]uint16) {
	for i := range pairs {
		pairs[i] = uint16(hexDigits[i>>4]) | uint16(hexDigits[i&15])<<8
	}
	return pairs
}()

// hex returns what was written.
func (e *encoder) hex() (string, int, error) {
	if e.err != nil {
		return "", 0, e.err
	}
	var out [2 * maxWritten]byte
	for i, o := range e.written() {
		binary.LittleEndian.PutUint16(out[2*i:], hexPairs[o])
	}
	return string(out[:2*e.n]), e.n - e.from, nil
}
