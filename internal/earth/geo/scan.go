package geo

import (
	"strconv"
	"strings"
)

const (
	// No receiver and no program writes longer numbers; what is longer is something else.
	maxIntDigits  = 7 // dddmmss, the widest whole part of any spelling
	maxFracDigits = 18

	// A gap between the parts of one position is a blank or two, or a tab.
	maxBlanks = 4
)

// number is one number as written.
type number struct {
	start, end    int // in the text, sign included
	signed, minus bool
	intDigits     int
	decimals      int
	comma         bool // a decimal comma was written
	value         float64
}

// scanner reads the pieces of a position at given offsets. It remembers how far
// it came, to say where a text stopped making sense.
type scanner struct {
	text  string
	comma bool // read "51,7" as one number
	far   int
	want  string
}

// miss notes that something was wanted at i, and returns false.
func (s *scanner) miss(i int, want string) bool {
	if i > s.far || s.want == "" {
		s.far, s.want = i, want
	}
	return false
}

func isDigit(b byte) bool { return b-'0' <= 9 }

func isLetter(b byte) bool { return (b|0x20)-'a' <= 'z'-'a' }

func (s *scanner) byteAt(i int) byte {
	if i < 0 || i >= len(s.text) {
		return 0
	}
	return s.text[i]
}

// signAt reads a sign that stands directly before a digit.
func (s *scanner) signAt(i int) (width int, minus bool) {
	switch {
	case s.byteAt(i) == '+':
		width = 1
	case s.byteAt(i) == '-':
		width, minus = 1, true
	case strings.HasPrefix(s.text[min(i, len(s.text)):], "\u2212"): // the true minus sign
		width, minus = len("\u2212"), true
	}
	return width, minus
}

// numberAt reads digits, with a sign and a decimal point where they are written.
func (s *scanner) numberAt(i int) (n number, ok bool) {
	n.start = i
	width, minus := s.signAt(i)
	n.signed, n.minus = width > 0, minus
	i += width
	digits := i
	for isDigit(s.byteAt(i)) && i-digits <= maxIntDigits {
		i++
	}
	n.intDigits = i - digits
	if n.intDigits == 0 || n.intDigits > maxIntDigits {
		return n, s.miss(digits, "a number")
	}
	n.end = i
	if point := s.byteAt(i); (point == '.' || (s.comma && point == ',')) && isDigit(s.byteAt(i+1)) {
		j := i + 1
		for isDigit(s.byteAt(j)) && j-i <= maxFracDigits+1 {
			j++
		}
		n.decimals, n.comma, n.end = j-i-1, point == ',', j
		if n.decimals > maxFracDigits {
			return n, s.miss(j, "fewer decimals")
		}
	}
	n.value = parseDecimal(s.text[digits:n.end])
	return n, true
}

// parseDecimal is the nearest float of digits with a point or a comma. A whole
// number below 2^53 over a power of ten up to 22 is exact in both, so their
// quotient is the nearest float; longer ones go the long way.
func parseDecimal(digits string) float64 {
	var whole uint64
	decimals, point := 0, false
	for i := range len(digits) {
		if !isDigit(digits[i]) {
			point = true
			continue
		}
		whole = whole*10 + uint64(digits[i]-'0')
		if point {
			decimals++
		}
		if whole >= 1<<53 {
			v, _ := strconv.ParseFloat(strings.Replace(digits, ",", ".", 1), 64)
			return v
		}
	}
	return float64(whole) / powersOfTen[decimals]
}

// powersOfTen are those that a float holds exactly, as far as decimals go here.
var powersOfTen = [maxFracDigits + 1]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9,
	1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18}

// blanks returns the offset after the blanks at i. "%20" is how a web link writes one.
func (s *scanner) blanks(i int) int {
	for n := 0; n < maxBlanks; n++ {
		switch {
		case s.byteAt(i) == ' ' || s.byteAt(i) == '\t':
			i++
		case strings.HasPrefix(s.text[min(i, len(s.text)):], "\u00a0"):
			i += len("\u00a0")
		case strings.HasPrefix(s.text[min(i, len(s.text)):], "%20"):
			i += len("%20")
		default:
			return i
		}
	}
	return i
}

// signs are the marks of degrees, minutes and seconds that people type: the
// true ones, those of other keyboards, letters, and a raw Latin-1 degree byte.
// Longer ones stand before those they begin with. Common practice, no source.
var signs = [3][]string{
	{"\u00b0", "\u00ba", "\u02da", "degrees", "deg", "d", "D", "%C2%B0", "\xb0"},
	{"\u2032", "\u2019", "\u2018", "\u02b9", "\u00b4", "'", "minutes", "min", "m", "M", "%27"},
	{"\u2033", "\u2032\u2032", "\u201d", "\u201c", "\u02ba", "''", "\"", "seconds", "sec", "s", "%22"},
}

// signOf reads the mark of a rank (0 degrees, 1 minutes, 2 seconds) at i.
func (s *scanner) signOf(rank, i int) (end int, ok bool) {
	if i >= len(s.text) {
		return i, false
	}
	rest := s.text[i:]
	for _, sign := range signs[rank] {
		if !strings.HasPrefix(rest, sign) {
			continue
		}
		end = i + len(sign)
		if isLetter(sign[0]) && isLetter(s.byteAt(end)) {
			continue // the beginning of some word
		}
		if rank == 1 && sign == "'" && s.byteAt(end) == '\'' {
			continue // two strokes are seconds
		}
		return end, true
	}
	return i, false
}

// hemispheres are the letters and words for the four sides.
var hemispheres = []struct {
	word   string
	letter byte
}{
	{"north", 'N'}, {"south", 'S'}, {"east", 'E'}, {"west", 'W'},
	{"n", 'N'}, {"s", 'S'}, {"e", 'E'}, {"w", 'W'},
}

// hemisphereAt reads a letter or a word that does not go on as a longer word.
func (s *scanner) hemisphereAt(i int) (letter byte, end int) {
	if !isLetter(s.byteAt(i)) {
		return 0, i
	}
	for _, h := range hemispheres {
		end = i + len(h.word)
		if end <= len(s.text) && strings.EqualFold(s.text[i:end], h.word) && !isLetter(s.byteAt(end)) {
			return h.letter, end
		}
	}
	return 0, i
}
