package sms

import (
	"fmt"
	"unicode/utf16"
	"unicode/utf8"
)

// maxUserOctets is the room for user data, TS 23.040 clause 9.2.3.24: 140 octets
// are 160 septets or 70 UCS2 units.
const (
	maxUserOctets  = 140
	maxUserSeptets = 160
	maxUserUnits   = 70
)

// userData reads TP-UDL and TP-UD (TP-CDL and TP-CD of a COMMAND).
func (d *decoder) userData() {
	p := &d.p
	length, clause := "TP-UDL", "TS 23.040 9.2.3.16"
	if p.Kind == KindCommand {
		length, clause = "TP-CDL", "TS 23.040 9.2.3.20"
	}
	o, ok := d.octet(PartLength, length, clause)
	if !ok {
		return
	}
	p.Data.Length = int(o)
	septets := p.Kind != KindCommand && !p.Coding.InOctets()
	octets := p.Data.Length
	if septets {
		octets = octetsFor(octets)
	}
	if octets > maxUserOctets && (p.Kind == KindSubmit || p.Kind == KindDeliver) {
		d.note(d.at-1, "TS 23.040 9.2.3.24", fmt.Sprintf("a length of %d needs %d octets, where 140 fit", p.Data.Length, octets))
	}
	ud := d.left()
	if len(ud) > octets {
		ud = ud[:octets]
	}
	start := d.at
	rest := d.header(ud)
	if rest != nil {
		d.bodyText(rest, septets)
	}
	if len(ud) < octets {
		d.at, d.short = start+len(ud), true
		unit := "octets"
		if septets {
			unit = "septets"
		}
		d.stop("TP-UD", fmt.Sprintf("%s behind a length of %d %s", octetWords(len(ud)), p.Data.Length, unit), octetWords(octets), clause)
	}
}

// header reads the user data header and returns what stands behind it; nil when
// the header runs past the end.
func (d *decoder) header(ud []byte) (rest []byte) {
	p := &d.p
	if !p.First.HasHeader {
		return ud
	}
	const clause = "TS 23.040 9.2.3.24"
	if len(ud) == 0 {
		d.note(d.at, clause, "a header is announced, but there is no user data")
		return ud
	}
	size := 1 + int(ud[0])
	if size > len(ud) {
		d.note(d.at, clause, fmt.Sprintf("a header of %s is announced in user data of %s", octetWords(size), octetWords(len(ud))))
		p.Data.Octets = append([]byte(nil), ud...)
		d.take(PartText, len(ud))
		return nil
	}
	at := d.at
	head := d.take(PartHeader, size)
	p.Data.HeadSize = size
	for i := 1; i < size; {
		if i+1 >= size || i+2+int(head[i+1]) > size {
			d.note(at+i, clause, fmt.Sprintf("element 0x%02X runs past the header; the whole header is ignored", head[i]))
			p.Data.Header = nil
			break
		}
		n := int(head[i+1])
		p.Data.Header = append(p.Data.Header, Element{ID: head[i], Data: append([]byte(nil), head[i+2:i+2+n]...)})
		i += 2 + n
	}
	return ud[size:]
}

// bodyText reads text or data behind the header.
func (d *decoder) bodyText(o []byte, septets bool) {
	p := &d.p
	at := d.at
	if len(o) > 0 {
		d.take(PartText, len(o))
	}
	switch {
	case septets:
		d.septets(o, at)
	case p.Kind == KindCommand || p.Coding.Compressed || p.Coding.ReadAs() == Data8:
		p.Data.Octets = append([]byte(nil), o...)
	default:
		d.ucs2(o, at)
	}
}

func (d *decoder) septets(o []byte, at int) {
	p := &d.p
	n := p.Data.Length
	if size := p.Data.HeadSize; size > 0 {
		p.Data.Fill = fillBits(size)
		n -= headSeptets(size)
	}
	if n < 0 {
		n = 0
	}
	var shift Shift
	if p.Data.Header != nil {
		shift = p.Data.Header.Shift()
	}
	text, groups := d.text[:d.texts], 0
	if shift == (Shift{}) && p.Data.Fill == 0 {
		text, groups = appendPlain(text, o, n)
	}
	if n > 8*groups {
		var odd oddities
		text = shift.appendPacked(text, o[7*groups:], p.Data.Fill, n-8*groups, &odd)
		if odd != (oddities{}) {
			d.odd(at, odd)
		}
	}
	d.body, p.Data.Text = d.say(text)
}

// appendPacked appends the characters of up to n packed septets.
func (s Shift) appendPacked(dst, octets []byte, fill, n int, odd *oddities) []byte {
	var space [256]byte // a length is one octet
	return s.appendText(dst, Unpack(space[:0], octets, fill, n), odd)
}

func (d *decoder) odd(at int, odd oddities) {
	const clause = "TS 23.038 6.2.1.1"
	if odd.endEscape {
		d.note(at, clause, "the text ends with an escape: an escape pair was cut in two")
	}
	if odd.reserved > 0 {
		d.note(at, clause, "a double escape is reserved; it is shown as a space")
	}
	if odd.fellBack > 0 {
		d.note(at, clause, "an escape stands before a septet without a second meaning; the plain character is shown")
	}
	if odd.noChar > 0 {
		d.note(at, "TS 23.038 A.3", "septets without a character in the national table")
	}
}

// fillBits is how many bits stand between a header of size octets and 7-bit text.
func fillBits(size int) int { return (7 - 8*size%7) % 7 }

// headSeptets is how many septets such a header takes, its fill bits included.
func headSeptets(size int) int { return (8*size + 6) / 7 }

// appendFromUCS2 appends the characters of 16-bit units. The standard knows no
// surrogate pairs; handsets send them all the same, so they are read, and counted.
func appendFromUCS2(dst, o []byte) (out []byte, pairs, lone int) {
	for i := 0; i+1 < len(o); i += 2 {
		r := rune(o[i])<<8 | rune(o[i+1])
		if r < 128 {
			dst = append(dst, byte(r))
			continue
		}
		if utf16.IsSurrogate(r) {
			low := rune(0)
			if i+3 < len(o) {
				low = rune(o[i+2])<<8 | rune(o[i+3])
			}
			if r = utf16.DecodeRune(r, low); r == utf8.RuneError {
				lone++
			} else {
				pairs++
				i += 2
			}
		}
		dst = utf8.AppendRune(dst, r)
	}
	return dst, pairs, lone
}

// ucs2 reads 16-bit units and notes what is odd.
func (d *decoder) ucs2(o []byte, at int) {
	p := &d.p
	with, pairs, lone := appendFromUCS2(d.text[:d.texts], o)
	d.body, p.Data.Text = d.say(with)
	if pairs > 0 {
		d.note(at, "TS 23.038 6.2.3", fmt.Sprintf("%d characters outside UCS2 travel as surrogate pairs; an old handset shows two boxes for each", pairs))
	}
	if lone > 0 {
		d.note(at, "TS 23.038 6.2.3", fmt.Sprintf("%d halves of surrogate pairs without the other half", lone))
	}
	if len(o)%2 == 1 {
		d.note(at+len(o)-1, "TS 23.038 6.2.3", "an odd number of octets: the last one is half a character and is not read")
	}
}
