package nmea

import (
	"time"

	"firstfix/internal/maybe"
)

// The methods here read one field of a sentence that scanQuick took. They
// answer false for every shape they do not know, right or wrong: then the table of
// the sentence has the word. Values they write are those the table would have
// written. They leave a value alone when its field is empty; the record was
// cleared before.
//
// A field's bytes are read as the word that ends with the field, so nothing is
// read beyond the text: before a field there are always "$GPRMC," at least.

const digitZeros = '0' * ones

// span returns where field n stands in the text. n must be at most s.Count.
func (s *Sentence) span(n int) (start, end int) {
	return int(s.cuts[(n-1)&127]) + 1, int(s.cuts[n&127])
}

// wordOf returns the last size bytes before end as digit values, the last one
// highest and zeros below. size must be 1 to 8.
func (s *Sentence) wordOf(size, end int) uint64 {
	return (wordAt(s.Text, end-8) ^ digitZeros) & (^uint64(0) << ((64 - uint(size)*8) & 63))
}

// allDigits says that every byte of a word of digit values is 0 to 9.
func allDigits(d uint64) bool { return (d|(d+0x76*ones))&flags == 0 }

// decimal is the number that eight digit values spell, the lowest byte first.
func decimal(d uint64) uint64 {
	d = d*10 + d>>8 // pairs, in every second byte
	const pairs = 0x000000ff000000ff
	return ((d&pairs)*(100+1000000<<32) + (d>>16&pairs)*(1+10000<<32)) >> 32
}

// number reads a decimal number of at most eight characters, from low to high.
func (s *Sentence) number(n int, low, high float64, v *maybe.Value[float64]) bool {
	start, end := s.span(n)
	if start == end {
		return true
	}
	negative := s.Text[start] == '-'
	if negative {
		start++
	}
	size := end - start
	if size < 1 || size > 8 {
		return false
	}
	d := s.wordOf(size, end)
	// Close the gap of the point: what is before it moves up by a byte.
	point := d ^ ('.'^'0')*ones
	point = (point - ones) & ^point & flags
	decimals := 0
	if point != 0 {
		point &= -point // its flag, the lowest: exact for the first match
		if size == 1 {
			return false
		}
		d = d&-(point<<1) | (d&(point>>7-1))<<8
		decimals = decimalsAfter(point)
	}
	if !allDigits(d) {
		return false
	}
	// Both are exact, so the quotient is the double nearest to the decimal.
	x := float64(int64(decimal(d))) / tens[decimals&7]
	if negative {
		x = -x
	}
	*v = maybe.Known(x)
	return x >= low && x <= high
}

var tens = [8]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7}

// decimalsAfter counts the bytes above the one flag in point.
func decimalsAfter(point uint64) int {
	// The flag is bit 8k+7; this moves k to the top byte, as 7-k.
	return int(point >> 7 * 0x0706050403020100 >> 56)
}

// whole reads a whole number of at most four digits, up to limit.
func (s *Sentence) whole(n, limit int, v *maybe.Value[int]) bool {
	start, end := s.span(n)
	if start == end {
		return true
	}
	if end-start > 4 {
		return false
	}
	d := s.wordOf(end-start, end)
	x := int(fourDigits(d))
	*v = maybe.Known(x)
	return allDigits(d) && x <= limit
}

// fourDigits is decimal for the upper four of eight digit values.
func fourDigits(d uint64) uint64 {
	d = d*10 + d>>8
	return d>>32&0xff*100 + d>>48&0xff
}

// letter returns the only character of field n, 0 when the field is empty and
// 1 when it is longer.
func (s *Sentence) letter(n int) byte {
	start, end := s.span(n)
	switch end - start {
	case 0:
		return 0
	case 1:
		return s.Text[start]
	}
	return 1
}

// fraction reads what follows the point at start as a number of hundred-millionths.
func (s *Sentence) fraction(start, end int) (f uint64, ok bool) {
	size := end - start - 1
	if size < 1 || size > 8 || s.Text[start] != '.' {
		return 0, false
	}
	d := s.wordOf(size, end) >> ((64 - uint(size)*8) & 63) // the first digit lowest, zeros after the last
	return decimal(d), allDigits(d)
}

// clock reads hhmmss or hhmmss.s… with at most eight decimals; not the leap second.
func (s *Sentence) clock(n int, v *maybe.Value[time.Duration]) bool {
	start, end := s.span(n)
	if start == end {
		return true
	}
	if end-start < 6 {
		return false
	}
	d := s.wordOf(6, start+6)
	pairs := d*10 + d>>8
	h, m, sec := pairs>>16&0xff, pairs>>32&0xff, pairs>>48&0xff
	if !allDigits(d) || h > 23 || m > 59 || sec > 59 {
		return false
	}
	ns := (h*3600 + m*60 + sec) * 1e9
	if start+6 != end {
		f, ok := s.fraction(start+6, end)
		if !ok {
			return false
		}
		ns += f * 10
	}
	*v = maybe.Known(time.Duration(ns))
	return true
}

// date reads ddmmyy.
func (s *Sentence) date(n int, v *maybe.Value[Date]) bool {
	start, end := s.span(n)
	if start == end {
		return true
	}
	if end-start != 6 {
		return false
	}
	d := s.wordOf(6, end)
	pairs := d*10 + d>>8
	date := shortDate(int(pairs>>16&0xff), int(pairs>>32&0xff), int(pairs>>48&0xff))
	*v = maybe.Known(date)
	return allDigits(d) && date.exists()
}

// angle reads dd…mm.m… in field n and its hemisphere in the next. whole is how
// many digits precede the point: 4 for a latitude, 5 for a longitude.
func (s *Sentence) angle(n, whole int, plus, minus byte, v *maybe.Value[Angle]) bool {
	start, end := s.span(n)
	point := start + whole
	decimals := end - point - 1
	side := s.letter(n + 1)
	if decimals < 1 || decimals > 8 || (side != plus && side != minus) {
		return start == end && (side == 0 || side == plus || side == minus)
	}
	d := s.wordOf(whole, point)
	pairs := d*10 + d>>8
	deg, minutes := d>>24&0xff*100+pairs>>32&0xff, pairs>>48&0xff
	f := (wordAt(s.Text, end-8) ^ digitZeros) >> ((64 - uint(decimals)*8) & 63)
	scaled := (deg*60+minutes)*1e8 + decimal(f)
	if s.Text[point] != '.' || !allDigits(d) || !allDigits(f) || minutes > 59 || scaled > uint64(whole-3)*(90*60*1e8) {
		return false
	}
	// Both are exact, so the quotient is the double nearest to the angle.
	x := float64(int64(scaled)) / (60 * 1e8)
	if side == minus {
		x = -x
	}
	*v = maybe.Known(Angle{Deg: x, Text: s.Text[start:end], Side: side})
	return true
}

// status reads A or V.
func (s *Sentence) status(n int, v *maybe.Value[bool]) bool {
	switch s.letter(n) {
	case 0:
	case 'A':
		*v = maybe.Known(true)
	case 'V':
		*v = maybe.Known(false)
	default:
		return false
	}
	return true
}

// constant accepts one letter or nothing.
func (s *Sentence) constant(n int, letter byte) bool {
	c := s.letter(n)
	return c == letter || c == 0
}

// satellite reads a satellite id of at most four digits; 0 for an empty field.
func (s *Sentence) satellite(n int) (id int, ok bool) {
	start, end := s.span(n)
	if start == end {
		return 0, true
	}
	if end-start > 4 {
		return 0, false
	}
	d := s.wordOf(end-start, end)
	id = int(fourDigits(d))
	return id, allDigits(d) && id > 0
}

// hexDigit reads one hexadecimal digit.
func (s *Sentence) hexDigit(n int, v *maybe.Value[int]) bool {
	c := s.letter(n)
	if c == 0 {
		return true
	}
	x := hexValues[c]
	*v = maybe.Known(int(x))
	return x < 16
}
