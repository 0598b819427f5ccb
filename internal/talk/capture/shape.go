package capture

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Body returns the shape of what somebody wrote to somebody, so that it shows
// what went wrong and not what was written: letters become x and X, digits 0.
// Control bytes, marks and blanks stay, and so does what can be looked up
// elsewhere or speaks of no one: decimal numbers and hemispheres, GNSS
// sentences, "geo:" and "https://", the names of AT commands that a text
// swallowed, and the parts named in keep (from, to; a coordinate in another
// spelling). Raw messages become "pdu-1" as in [Privacy.Hide]. With Coordinates
// set positions go too.
func (p *Privacy) Body(text string, keep ...[2]int) string {
	bare := strings.TrimRight(text, "\x1a\x1b\r\n")
	if loc := pduShape.FindStringIndex(bare); loc != nil && loc[0] == 0 && loc[1] == len(bare) {
		return p.name("pdu", bare) + text[len(bare):]
	}
	kept := make([]bool, len(text))
	mark := func(from, to int) {
		for i := from; i < to; i++ {
			kept[i] = true
		}
	}
	for _, shape := range harmless {
		for _, at := range shape.FindAllStringIndex(text, -1) {
			mark(at[0], at[1])
		}
	}
	if !p.Coordinates {
		for _, at := range wholeSentence.FindAllStringIndex(text, -1) {
			mark(at[0], at[1])
		}
		for _, at := range keep {
			from := min(max(at[0], 0), len(text))
			to := min(max(at[1], from), len(text))
			mark(from, to)
			markHemispheres(text, from, to, mark)
		}
		for _, at := range decimalShape.FindAllStringIndex(text, -1) {
			if standsAlone(text, at[0], at[1]) {
				mark(at[0], at[1])
				markHemispheres(text, at[0], at[1], mark)
			}
		}
	}
	var b strings.Builder
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRuneInString(text[i:])
		switch {
		case kept[i]:
			b.WriteString(text[i : i+n])
		default:
			b.WriteRune(shapeOf(r, n))
		}
		i += n
	}
	return b.String()
}

// What a hidden text still shows.
var (
	harmless = [...]*regexp.Regexp{
		regexp.MustCompile(`(?i)\bgeo:|\bhttps?://`),
		// The words that name a coordinate.
		regexp.MustCompile(`(?i)\b(?:lat|lon|lng|latitude|longitude)\b`),
		// An extended command (V.250 5.4.1) with values of up to three digits: a PIN has four.
		regexp.MustCompile(`AT[-+*#$%^&@_!][A-Z]+(?:\?|=\?|=[0-9]{1,3}\b(?:,[0-9]{1,3}\b)*|=)?`),
		// A short command on a line of its own.
		regexp.MustCompile(`(?:^|[\r\n])AT(?:[A-Z][0-9]?)?(?:[\r\n]|$)`),
		// The end of a text, typed as letters.
		regexp.MustCompile(`(?i)\^z|<(?:ctrl[-+]z|sub|cr|lf)>|\\x1a|\\r|\\n|\[1a\]`),
	}

	// A sentence of IEC 61162-1 whose fields are numbers and single letters.
	wholeSentence = regexp.MustCompile(`[$!](?:G[A-Z]|BD|QZ)[A-Z]{3}(?:,(?:[A-Z]|-?[0-9.]+)?)+(?:\*[0-9A-Fa-f]{2}|[\r\n\x1a]|$)`)

	// Decimal degrees, and degrees with minutes as in a sentence (dddmm.mmmm).
	decimalShape = regexp.MustCompile(`[-+]?[0-9]{1,5}\.[0-9]+`)
)

// standsAlone says that a decimal number is not part of a longer row of digits
// and points, such as an address or a date.
func standsAlone(text string, from, to int) bool {
	digitOrPoint := func(b byte) bool { return b >= '0' && b <= '9' || b == '.' }
	if from > 0 && digitOrPoint(text[from-1]) {
		return false
	}
	return to+1 >= len(text) || text[to] != '.' || !digitOrPoint(text[to+1])
}

// markHemispheres keeps N, S, E and W right before or behind a number.
func markHemispheres(text string, from, to int, mark func(from, to int)) {
	isSide := func(i int) bool { return i >= 0 && i < len(text) && strings.IndexByte("NSEWnsew", text[i]) >= 0 }
	isLetter := func(i int) bool { return i >= 0 && i < len(text) && (letter(text[i]) || text[i] >= 0x80) }
	const between = " ,:=" // what may stand between the two
	i := to
	for i < len(text) && i < to+3 && strings.IndexByte(between, text[i]) >= 0 {
		i++
	}
	if isSide(i) && !isLetter(i+1) {
		mark(i, i+1)
	}
	i = from - 1
	for i > 0 && i > from-3 && strings.IndexByte(between, text[i]) >= 0 {
		i--
	}
	if isSide(i) && !isLetter(i-1) {
		mark(i, i+1)
	}
}

// shapeOf is what stands for a character; n is how many bytes it had.
func shapeOf(r rune, n int) rune {
	switch {
	case r == utf8.RuneError && n == 1: // no UTF-8: a letter in some other code
		return 'x'
	case r == '°', unicode.IsControl(r), unicode.IsSpace(r), unicode.IsPunct(r), unicode.Is(unicode.Sm, r), unicode.Is(unicode.Sc, r), unicode.Is(unicode.Sk, r):
		return r
	case unicode.IsNumber(r):
		return '0'
	case unicode.IsUpper(r):
		return 'X'
	}
	return 'x'
}
