package nmea

import "encoding/binary"

// Eight bytes of text are handled at once, as one machine word with the first
// byte lowest. A "flag" of a byte is its top bit. Subtractions and additions
// below never carry from byte to byte as long as no byte is above 0x7f, and one
// that is ends the quick reading anyway.
const (
	ones  = 0x0101010101010101 // times a byte: that byte eight times
	flags = 0x80 * ones
)

// maxQuick is the longest text that is scanned by words: its offsets fit a byte,
// and a mask of 127 keeps every index inside cuts without a check. The written
// limit is 82; the longest sentence met has 88.
const maxQuick = 127

// maxCuts leaves room for the eight offsets that are stored at a time.
const maxCuts = maxQuick + 1 + 8

// scanQuick is Scan for the usual sentence: a five-letter address that is no
// maker's, bytes that need no thought, a checksum at the end. When it returns false,
// scanAny has to read the text; cuts may then hold anything.
func scanQuick(text string, s *Sentence) bool {
	if len(text) < len("$GPRMC,1*00") || len(text) > maxQuick {
		return false
	}
	end := len(text) - len("*00")
	if text[0] != '$' || text[1] == 'P' || text[end] != '*' {
		return false
	}
	sum, odd, count := cut(text, end, &s.cuts)
	high, low := hexValues[text[end+1]], hexValues[text[end+2]]
	if odd || high|low > 15 || s.cuts[0] != uint8(len("$GPRMC")) || count > MaxFields {
		return false
	}
	s.dropFields()
	s.Text, s.Tag, s.Talker, s.Type = text, "", text[1:3], text[3:6]
	s.Count, s.Checksum, s.Said = count, sum, high<<4|low
	s.HasSum, s.TooMany, s.quick = true, false, true
	return true
}

// cut XORs text[1:end], stores where its commas are and then end, and counts the
// commas. It says odd when there is any byte but a comma below "-" or above "~".
// end must be at least 8 and at most maxQuick.
func cut(text string, end int, cuts *[maxCuts]uint8) (sum byte, odd bool, count int) {
	var xor, strange uint64
	at := uint64(1 * ones) // offset of the word's first byte, eight times
	i := 1
	for ; i < end-8; i += 8 {
		w := wordAt(text, i)
		commas := commasOf(w)
		putWord(cuts, count, places(commas)+at)
		count += int(commas * ones >> 56)
		strange |= strangers(w, commas)
		xor ^= w
		at += 8 * ones
	}
	// The last 1 to 8 bytes: read the word that ends with them and drop its head.
	// What is missing is filled with "@", which the checksum never sees.
	drop := uint(8-(end-i)) * 8
	w := wordAt(text, end-8) >> (drop & 63)
	xor ^= w
	w |= '@' * ones << (64 - drop)
	commas := commasOf(w)
	strange |= strangers(w, commas)
	putWord(cuts, count, places(commas)+at)
	count += int(commas * ones >> 56)
	cuts[count&127] = uint8(end)

	xor ^= xor >> 32
	xor ^= xor >> 16
	xor ^= xor >> 8
	return byte(xor), strange&flags != 0, count
}

// commasOf returns 1 in each byte of w that is a comma, 0 in the others: only what
// is 0x7f after the exclusive or reaches the flag.
func commasOf(w uint64) uint64 { return ((w ^ (','^0x7f)*ones) + ones) >> 7 & ones }

// strangers flags bytes that the quick reading does not take, at least one of them if
// there are any. A comma made one greater is a "-", the first byte that is plain.
func strangers(w, commas uint64) uint64 {
	w |= commas
	return (w - '-'*ones) | (w + ones)
}

// places are the offsets of the commas in a word, one a byte from the lowest.
func places(commas uint64) uint64 {
	return placesOf[commas*0x0102040810204080>>56] // side by side into the top byte
}

// wordAt reads text[at:at+8], the first byte lowest.
func wordAt(text string, at int) uint64 { return binary.LittleEndian.Uint64([]byte(text[at : at+8])) }

// halfAt reads text[at:at+4], the first byte lowest.
func halfAt(text string, at int) uint32 { return binary.LittleEndian.Uint32([]byte(text[at : at+4])) }

// putWord writes the bytes of w to cuts[at:at+8], the lowest first. at is a count of commas, so
// at most maxQuick; the mask says so to the compiler.
func putWord(cuts *[maxCuts]uint8, at int, w uint64) {
	binary.LittleEndian.PutUint64(cuts[at&127:at&127+8], w)
}

// placesOf is places for each of the 256 patterns.
var placesOf = func() (places [256]uint64) {
	for m := range 256 {
		count := 0
		for bit := range 8 {
			if m>>bit&1 == 1 {
				places[m] |= uint64(bit) << (8 * count)
				count++
			}
		}
	}
	return
}()

// hexValues is hexValue as a table; 0xff for what is no digit.
var hexValues = func() (t [256]uint8) {
	for c := range 256 {
		t[c] = uint8(hexValue(byte(c)))
	}
	return
}()
