package sms

// A table gives the character of each septet; 0 where there is none.
type table [128]uint16

// Language is a national language identifier, TS 23.038 clause 6.2.1.2.4.
// It travels in the header elements 0x24 (single shift) and 0x25 (locking shift).
type Language byte

// NoLanguage is the default alphabet with its own extension.
const NoLanguage Language = 0

// languages is the list of TS 23.038 clause 6.2.1.2.4; the index is the identifier.
var languages = [...]struct {
	name  string
	main  *table // annex A.3; nil when the language has no locking shift
	shift *table // annex A.2
}{
	0:  {"default", &defaultMain, &defaultShift},
	1:  {"Turkish", &turkishLocking, &turkishShift},
	2:  {"Spanish", nil, &spanishShift},
	3:  {"Portuguese", &portugueseLocking, &portugueseShift},
	4:  {"Bengali", &bengaliLocking, &bengaliShift},
	5:  {"Gujarati", &gujaratiLocking, &gujaratiShift},
	6:  {"Hindi", &hindiLocking, &hindiShift},
	7:  {"Kannada", &kannadaLocking, &kannadaShift},
	8:  {"Malayalam", &malayalamLocking, &malayalamShift},
	9:  {"Oriya", &oriyaLocking, &oriyaShift},
	10: {"Punjabi", &punjabiLocking, &punjabiShift},
	11: {"Tamil", &tamilLocking, &tamilShift},
	12: {"Telugu", &teluguLocking, &teluguShift},
	13: {"Urdu", &urduLocking, &urduShift},
}

// String is the English name of the language.
func (l Language) String() string {
	if int(l) < len(languages) {
		return languages[l].name
	}
	return "reserved language"
}

// HasLocking says whether the standard has a locking shift table for l.
func (l Language) HasLocking() bool { return int(l) < len(languages) && languages[l].main != nil }

// HasSingle says whether the standard has a single shift table for l.
func (l Language) HasSingle() bool { return int(l) < len(languages) && languages[l].shift != nil }

// A Shift says which two tables a 7-bit text is written with.
// The zero Shift is the default alphabet and its extension.
type Shift struct {
	Locking Language // replaces the default alphabet (element 0x25)
	Single  Language // replaces the extension (element 0x24)
}

// tables returns the two tables of s. A reserved or missing table falls back
// to the default one: TS 23.038 clause 6.2.1.2.4, reserved identifiers.
func (s Shift) tables() (main, shift *table) {
	main, shift = &defaultMain, &defaultShift
	if s.Locking.HasLocking() {
		main = languages[s.Locking].main
	}
	if s.Single.HasSingle() {
		shift = languages[s.Single].shift
	}
	return main, shift
}

// escape is the septet that announces one septet of the shift table, TS 23.038 clause 6.2.1.1.
const escape = 0x1B

// notDirect marks what needs the slow way in the two tables below.
const notDirect = 0xFF

// direct is the quick way for the default alphabet: the septet of each ASCII
// character that the main table holds.
var direct = func() (d [256]byte) {
	for i := range d {
		d[i] = notDirect
	}
	for septet, r := range defaultMain {
		if r != 0 && r < 128 {
			d[r] = byte(septet)
		}
	}
	return d
}()

// plain is the way back: the ASCII character of a septet.
var plain = func() (p [128]byte) {
	for septet, r := range defaultMain {
		p[septet] = notDirect
		if r != 0 && r < 128 {
			p[septet] = byte(r)
		}
	}
	return p
}()

// find returns the septet of r in t.
func (t *table) find(r rune) (byte, bool) {
	if r <= 0 || r > 0xFFFF {
		return 0, false
	}
	for septet, have := range t {
		if rune(have) == r {
			return byte(septet), true
		}
	}
	return 0, false
}

// septetsOf says how r is written with the two tables: one septet, an escape and
// one septet, or (0) not at all.
func septetsOf(r rune, main, shift *table) (septet byte, n int) {
	if main == &defaultMain && r >= 0 && r < 128 && direct[r] != notDirect {
		return direct[r], 1
	}
	if s, ok := main.find(r); ok {
		return s, 1
	}
	if s, ok := shift.find(r); ok {
		return s, 2
	}
	return 0, 0
}

// AppendSeptets appends text as septets, one per octet, not packed. It stops at
// the first character that the tables do not hold and returns its offset in
// text; -1 means that the whole text was written.
func (s Shift) AppendSeptets(dst []byte, text string) (out []byte, stoppedAt int) {
	main, shift := s.tables()
	from := 0
	if main == &defaultMain {
		for from < len(text) {
			septet := direct[text[from]]
			if septet == notDirect {
				break
			}
			dst = append(dst, septet)
			from++
		}
	}
	for i, r := range text[from:] {
		septet, n := septetsOf(r, main, shift)
		switch n {
		case 0:
			return dst, from + i
		case 1:
			dst = append(dst, septet)
		default:
			dst = append(dst, escape, septet)
		}
	}
	return dst, -1
}
