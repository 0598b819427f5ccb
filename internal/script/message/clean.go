package message

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A Trouble is a character that cannot travel inside a text.
type Trouble struct {
	At      int    // octet in the text as given
	Had     string // what stands there, in words
	Why     string
	Becomes string // what stands there after cleaning
	Clause  string
}

// controls says what is wrong with each control character that people get into
// texts. What is not listed has no meaning in a text.
var controls = map[rune]struct{ why, becomes, clause string }{
	0x00: {"NUL: many controllers and modules take it for the end of the text", "", practice},
	0x08: {"backspace: in text mode it rubs out the character before it", "", "TS 27.005 3.5.1"},
	0x1A: {"Ctrl-Z: it would end the text here, and the rest would be read as a command", "", "TS 27.005 3.5.1"},
	0x1B: {"ESC: it would throw the whole text away", "", "TS 27.005 3.5.1"},
}

// Clean returns text as it can travel: line ends are LF, tabs are blanks, control
// characters, invisible marks and octets that are no UTF-8 are gone. troubles names what
// was refused; line ends, tabs and invisible marks are changed without a word,
// since nobody sees the difference.
func Clean(text string) (clean string, troubles []Trouble) {
	if plainLine(text) {
		return text, nil
	}
	var b strings.Builder
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		at := i
		i += size
		switch {
		case r == utf8.RuneError && size == 1:
			troubles = append(troubles, Trouble{At: at, Had: fmt.Sprintf("octet 0x%02X", text[at]), Why: "it is no UTF-8: the text was saved in another character set", Clause: "RFC 3629"})
		case r == '\r':
			if i < len(text) && text[i] == '\n' {
				continue
			}
			b.WriteByte('\n')
		case r == '\n' || r == '\f':
			b.WriteRune(r)
		case r == '\t':
			b.WriteByte(' ')
		case invisible(r):
		case r < 0x20 || r >= 0x7F && r < 0xA0:
			c, known := controls[r]
			if !known {
				c.why, c.clause = "a control character has no meaning in a text", "TS 23.038 6.2.1"
			}
			troubles = append(troubles, Trouble{At: at, Had: fmt.Sprintf("U+%04X", r), Why: c.why, Becomes: c.becomes, Clause: c.clause})
			b.WriteString(c.becomes)
		default:
			b.WriteRune(r)
		}
	}
	return b.String(), troubles
}

// plainLine says whether text is printable ASCII and line feeds: nothing to clean.
func plainLine(text string) bool {
	for i := range len(text) {
		if c := text[i]; c != '\n' && (c < ' ' || c > '~') {
			return false
		}
	}
	return true
}

// invisible are characters that show nothing and cost a dearer alphabet: marks
// left behind by word processors. Joiners inside emoji and Indic words mean
// something and stay.
func invisible(r rune) bool {
	switch r {
	case 0xAD, 0x200B, 0x2060, 0xFEFF: // soft hyphen, zero-width space, word joiner, byte order mark
		return true
	}
	return r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 || r == 0x200E || r == 0x200F // direction marks can make a text read as another
}

// printable says whether a handset shows something for r, or moves on for it.
func printable(r rune) bool {
	return r == '\n' || r == '\r' || r == '\f' || unicode.IsPrint(r) || r == 0x200C || r == 0x200D || unicode.Is(unicode.Zs, r)
}
