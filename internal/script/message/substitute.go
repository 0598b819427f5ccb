package message

import (
	"strings"
	"unicode/utf8"

	"firstfix/internal/wire/sms"
)

// A Forcer is a character outside the default alphabet: one of them makes the
// whole text UCS2, 70 characters a part instead of 160 (TS 23.038 clause 6.2).
type Forcer struct {
	Rune       rune
	At         int    // octet of the first one in the text
	Count      int    // how often it stands there
	Substitute string // what to write in its place; "" when there is nothing
	Offered    bool   // there is a substitute, be it nothing at all
	Same       bool   // it means the same; otherwise it is only near
}

// sameMeaning lists what means the same to a reader. Typographic signs mostly come from
// telephones and word processors that "improve" what is typed.
var sameMeaning = map[rune]string{
	'\u2018': "'", '\u2019': "'", '\u201A': "'", '\u201B': "'", '\u2032': "'", '\u02BC': "'", '\u00B4': "'", '`': "'",
	'\u201C': "\"", '\u201D': "\"", '\u201E': "\"", '\u201F': "\"", '\u2033': "\"", '\u00AB': "\"", '\u00BB': "\"", '\u2039': "'", '\u203A': "'",
	'\u2010': "-", '\u2011': "-", '\u2012': "-", '\u2013': "-", '\u2014': "-", '\u2015': "-", '\u2212': "-",
	'\u2026': "...", '\u2022': "*", '\u00B7': ".", '\u2024': ".", '\u2025': "..",
	'\u00A0': " ", '\u2000': " ", '\u2001': " ", '\u2002': " ", '\u2003': " ", '\u2004': " ", '\u2005': " ", '\u2006': " ", '\u2007': " ",
	'\u2008': " ", '\u2009': " ", '\u200A': " ", '\u202F': " ", '\u205F': " ", '\u3000': " ", '\u2028': "\n", '\u2029': "\n",
	'\u00D7': "x", '\u00F7': "/", '\u00B1': "+/-", '\u2264': "<=", '\u2248': "~", '\u2713': "ok", '\u2714': "ok", '\u1E9E': "SS", '\u2265': ">=", '\u2260': "<>",
	'\u00BD': "1/2", '\u00BC': "1/4", '\u00BE': "3/4", '\u00B2': "2", '\u00B3': "3", '\u00B9': "1", '\u2030': "/1000",
	'\u00B5': "u", '\u03BC': "u", '\u2190': "<-", '\u2192': "->", '\u2116': "No", '\u2122': "(TM)", '\u00A9': "(C)", '\u00AE': "(R)",
	'\uFB00': "ff", '\uFB01': "fi", '\uFB02': "fl", '\uFB03': "ffi", '\uFB04': "ffl", '\u0153': "oe", '\u0152': "OE", '\u2044': "/",
}

// nearLetters are letters that the default alphabet lacks, and the bare letter in
// the same place. The word can still be read; it is not the same word.
const (
	marked = "áâãāăąÁÂÃĀĂĄÀçćčĉċćďđĎĐêëēĕėęěÈÊËĒĔĖĘĚ" + "íîïĩīĭįıÍÌÎÏĨĪĬĮİ" + "ĝğġģĜĞĠĢĥħĤĦĵĴķĶĺļľłĹĻĽŁńņňŃŅŇ" + "óôõōŏőÓÒÔÕŌŎŐŕŗřŔŖŘśŝşșšŚŜŞȘŠ" + "ţťțŢŤȚúûũūŭůűųÚÙÛŨŪŬŮŰŲŵŴýÿŷÝŸŶźżžŹŻŽ"
	bare   = "aaaaaaAAAAAAAccccccddDDeeeeeeeEEEEEEEE" + "iiiiiiiiIIIIIIIII" + "ggggGGGGhhHHjJkKllllLLLLnnnNNN" + "ooooooOOOOOOOrrrRRRsssssSSSSS" + "tttTTTuuuuuuuuUUUUUUUUUwWyyyYYYzzzZZZ"
)

// near finds the bare letter of a marked one.
func near(r rune) (string, bool) {
	i := 0
	for _, m := range marked {
		if m == r {
			return bare[i : i+1], true
		}
		i++
	}
	return "", false
}

// inAlphabet says whether the default alphabet or its extension holds r.
func inAlphabet(r rune) bool {
	if r < utf8.RuneSelf && r >= ' ' && r != '`' && r != 0x7F || r == '\n' {
		return true
	}
	_, stopped := sms.Shift{}.AppendSeptets(nil, string(r))
	return stopped < 0
}

// Forcers lists the characters that make a text dearer, in the order of the text,
// each with a substitute where there is one.
func Forcers(text string) []Forcer {
	var list []Forcer
	index := map[rune]int{}
	for i, r := range text {
		if inAlphabet(r) {
			continue
		}
		at, known := index[r]
		if !known {
			if len(list) == maxForcers {
				continue
			}
			at = len(list)
			index[r] = at
			f := Forcer{Rune: r, At: i}
			f.Substitute, f.Same, f.Offered = substitute(text, i, r)
			list = append(list, f)
		}
		list[at].Count++
	}
	return list
}

// maxForcers bounds the list: who writes in another alphabet does not want it spelled out.
const maxForcers = 64

// substitute says what can stand in place of r at octet i of text.
func substitute(text string, i int, r rune) (with string, same, ok bool) {
	if r == '°' {
		return degrees(text, i), true, true
	}
	if with, ok = sameMeaning[r]; ok {
		return with, true, true
	}
	if with, ok = near(r); ok {
		return with, false, true
	}
	return "", false, false
}

// degrees writes a degree sign in letters: a blank between the figures of a
// position, "deg" anywhere else.
func degrees(text string, i int) string {
	before := i > 0 && text[i-1] >= '0' && text[i-1] <= '9'
	rest := text[i+len("°"):]
	if before && rest != "" && rest[0] >= '0' && rest[0] <= '9' {
		return " "
	}
	with := "deg"
	if before {
		with = " deg"
	}
	if next, _ := utf8.DecodeRuneInString(rest); rest != "" && next != ' ' && next != '\n' && !strings.ContainsRune(".,;:!?)", next) {
		with += " "
	}
	return with
}

// Substituted returns text with every substitute in place: those that mean the
// same, and with nearToo also those that are only near.
func Substituted(text string, nearToo bool) string {
	var b strings.Builder
	for i, r := range text {
		if r == utf8.RuneError || inAlphabet(r) {
			b.WriteRune(r)
			continue
		}
		if with, same, ok := substitute(text, i, r); ok && (same || nearToo) {
			b.WriteString(with)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}
