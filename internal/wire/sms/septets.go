package sms

import "unicode/utf8"

// Pack appends septets (one per octet, the top bit ignored) as the bit string of
// TS 23.038 clause 6.1.2.1.1, after fill bits of zero (0 to 6, TS 23.040 clause
// 9.2.3.24: a text behind a header begins on a septet boundary). It does not
// pad with a carriage return: that is USSD's rule (clause 6.1.2.3.1), not ours.
func Pack(dst, septets []byte, fill int) []byte {
	var acc uint64
	bits := uint(fill)
	// Eight septets are seven octets: move them in one go.
	for len(septets) >= 8 {
		s := septets[:8]
		acc |= (uint64(s[0]&0x7F) | uint64(s[1]&0x7F)<<7 | uint64(s[2]&0x7F)<<14 | uint64(s[3]&0x7F)<<21 |
			uint64(s[4]&0x7F)<<28 | uint64(s[5]&0x7F)<<35 | uint64(s[6]&0x7F)<<42 | uint64(s[7]&0x7F)<<49) << bits
		dst = append(dst, byte(acc), byte(acc>>8), byte(acc>>16), byte(acc>>24), byte(acc>>32), byte(acc>>40), byte(acc>>48))
		acc >>= 56
		septets = septets[8:]
	}
	for _, s := range septets {
		acc |= uint64(s&0x7F) << bits
		bits += 7
		if bits >= 8 {
			dst = append(dst, byte(acc))
			acc >>= 8
			bits -= 8
		}
	}
	if bits > 0 {
		dst = append(dst, byte(acc))
	}
	return dst
}

// Unpack appends up to n septets read from octets after fill bits. Fewer come
// out when the octets end first.
func Unpack(dst, octets []byte, fill, n int) []byte {
	var acc uint64
	bits := 0
	if fill > 0 && len(octets) > 0 {
		acc, bits = uint64(octets[0])>>uint(fill), 8-fill
		octets = octets[1:]
	}
	for n >= 8 && len(octets) >= 7 {
		o := octets[:7]
		acc |= (uint64(o[0]) | uint64(o[1])<<8 | uint64(o[2])<<16 | uint64(o[3])<<24 |
			uint64(o[4])<<32 | uint64(o[5])<<40 | uint64(o[6])<<48) << uint(bits)
		dst = append(dst, byte(acc)&0x7F, byte(acc>>7)&0x7F, byte(acc>>14)&0x7F, byte(acc>>21)&0x7F,
			byte(acc>>28)&0x7F, byte(acc>>35)&0x7F, byte(acc>>42)&0x7F, byte(acc>>49)&0x7F)
		acc >>= 56
		octets = octets[7:]
		n -= 8
	}
	for n > 0 {
		if bits < 7 {
			if len(octets) == 0 {
				return dst
			}
			acc |= uint64(octets[0]) << uint(bits)
			bits += 8
			octets = octets[1:]
		}
		dst = append(dst, byte(acc)&0x7F)
		acc >>= 7
		bits -= 7
		n--
	}
	return dst
}

// octetsFor is how many octets n septets fill.
func octetsFor(n int) int { return (7*n + 7) / 8 }

// oddities are what a decoder of septets met and shows in some other way.
type oddities struct {
	reserved  int // escape + escape: a further table that does not exist; shown as a space
	fellBack  int // escape + septet without a character: the main table's character is shown
	noChar    int // a septet without a character in a national table; shown as U+FFFD
	endEscape bool
}

// appendText appends the characters of septets to dst, TS 23.038 clause 6.2.1.
func (s Shift) appendText(dst, septets []byte, odd *oddities) []byte {
	main, shift := s.tables()
	for i := 0; i < len(septets); i++ {
		c := septets[i] & 0x7F
		r := main[c]
		if c == escape {
			if i+1 == len(septets) {
				odd.endEscape = true
				return append(dst, ' ')
			}
			i++
			c = septets[i] & 0x7F
			if c == escape {
				odd.reserved++
				dst = append(dst, ' ')
				continue
			}
			if r = shift[c]; r == 0 {
				odd.fellBack++
				r = main[c]
			}
		}
		switch {
		case r == 0:
			odd.noChar++
			dst = utf8.AppendRune(dst, utf8.RuneError)
		case r < 128:
			dst = append(dst, byte(r))
		default:
			dst = utf8.AppendRune(dst, rune(r))
		}
	}
	return dst
}

// appendPlain appends the characters of packed septets, eight at a time, as long as
// all eight are ASCII characters of the default alphabet: nearly every text. It
// returns how many groups of eight septets (seven octets) it read.
func appendPlain(dst, octets []byte, n int) (out []byte, groups int) {
	for ; n >= 8 && len(octets) >= 7; n, octets, groups = n-8, octets[7:], groups+1 {
		o := octets[:7]
		v := uint64(o[0]) | uint64(o[1])<<8 | uint64(o[2])<<16 | uint64(o[3])<<24 |
			uint64(o[4])<<32 | uint64(o[5])<<40 | uint64(o[6])<<48
		c0, c1, c2, c3 := plain[v&0x7F], plain[v>>7&0x7F], plain[v>>14&0x7F], plain[v>>21&0x7F]
		c4, c5, c6, c7 := plain[v>>28&0x7F], plain[v>>35&0x7F], plain[v>>42&0x7F], plain[v>>49&0x7F]
		if c0|c1|c2|c3|c4|c5|c6|c7 >= 0x80 { // one is notDirect
			break
		}
		dst = append(dst, c0, c1, c2, c3, c4, c5, c6, c7)
	}
	return dst, groups
}

// Text returns the characters of septets (one per octet, not packed).
func (s Shift) Text(septets []byte) string {
	var odd oddities
	return string(s.appendText(nil, septets, &odd))
}

// septetCost is how many septets r takes in the default alphabet; 0 when it has none.
func septetCost(r rune) int {
	_, n := septetsOf(r, &defaultMain, &defaultShift)
	return n
}
