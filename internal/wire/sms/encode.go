package sms

import (
	"fmt"
	"unicode/utf16"
	"unicode/utf8"
)

// maxWritten is the longest PDU that is written: 12 octets of service centre, and
// 1+1+12+1+1+7+1+140 of message; a COMMAND may hold 157 octets of data.
const maxWritten = 192

// encoder writes one PDU; the first error stays.
type encoder struct {
	b    []byte
	from int // where the message begins, behind the service centre part
	err  error
}

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

func (e *encoder) octets(o ...byte) { e.b = append(e.b, o...) }

func (e *encoder) smsc(a Address) {
	if a.IsName() {
		e.fail("service centre", "a name", "a number", "TS 24.011 8.2.5.1")
	} else if err := a.check("service centre"); err != nil && e.err == nil {
		e.err = err
	}
	if e.err == nil {
		e.b = a.appendSMSC(e.b)
	}
	e.from = len(e.b)
}

func (e *encoder) address(field string, a Address) {
	if err := a.check(field); err != nil && e.err == nil {
		e.err = err
	}
	if e.err == nil {
		e.b = a.append(e.b)
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
	at := len(e.b)
	e.b = append(e.b, 0)
	e.b = h.append(e.b)
	switch {
	case coding.Compressed || coding.ReadAs() == Data8:
		if text != "" {
			e.fail("text", "a text", "octets: this data coding has no alphabet", "TS 23.038 4")
		}
		if size+len(data) > maxUserOctets {
			e.fail("data", octetWords(len(data)), octetWords(maxUserOctets-size)+" at most", "TS 23.040 9.2.3.24")
			return
		}
		e.b = append(e.b, data...)
		e.b[at] = byte(size + len(data))
		return
	case len(data) > 0:
		e.fail("data", "octets", "a text: this data coding has an alphabet", "TS 23.038 4")
	case coding.ReadAs() == UCS2:
		n := 0
		e.b, n = appendUCS2(e.b, text, (maxUserOctets-size)/2)
		if n > (maxUserOctets-size)/2 {
			e.fail("text", fmt.Sprintf("%d UCS2 units", n), fmt.Sprintf("at most %d", (maxUserOctets-size)/2), "TS 23.040 9.2.3.24")
			return
		}
		e.b[at] = byte(size + 2*n)
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
	e.b = Pack(e.b, septets, fill)
	e.b[at] = byte(head + len(septets))
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

// hex returns what was written.
func (e *encoder) hex() (string, int, error) {
	if e.err != nil {
		return "", 0, e.err
	}
	var space [2 * maxWritten]byte
	out := space[:0]
	for _, o := range e.b {
		out = append(out, hexDigits[o>>4], hexDigits[o&15])
	}
	return string(out), len(e.b) - e.from, nil
}
