package sms

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// Two octets end the entry of a text, TS 27.005 clause 3.5.1. They cannot be part of it.
const (
	endsText    = 0x1A // Ctrl-Z: sends
	cancelsText = 0x1B // ESC: throws away
)

// A Change is one character that does not arrive as it was written.
type Change struct {
	At      int    // octet in the text
	Rune    rune   // what was written
	Becomes string // what arrives; empty when nothing does
	Sure    bool   // false where modules differ
	Why     string
	Clause  string
}

// OnTheWay says which characters of text change when a controller writes the
// octets of text (UTF-8, as programs hold it) in text mode, data coding 0, while
// +CSCS is characterSet. With "UCS2" and "HEX" the text is typed as hex digits;
// one change says so when it is not.
func OnTheWay(text, characterSet string) []Change {
	_, changes := typed(text, characterSet)
	return changes
}

// typed returns what the module takes from the octets of text, and what changed.
func typed(text, characterSet string) (string, []Change) {
	switch strings.ToUpper(strings.Trim(characterSet, `"`)) {
	case "UCS2":
		if got, ok := FromUCS2Hex(text); ok {
			return convertible(got)
		}
		return "", []Change{{Rune: first(text), Why: "with +CSCS=\"UCS2\" every character is typed as four hex digits", Sure: true, Clause: "TS 27.007 5.5"}}
	case "HEX":
		if got, ok := fromSeptetHex(text); ok {
			return got, nil
		}
		return "", []Change{{Rune: first(text), Why: "with +CSCS=\"HEX\" every character is typed as two hex digits, 00 to 7F", Sure: true, Clause: "TS 27.007 5.5"}}
	case "GSM", "":
		return typedAs(text, fromGSM)
	case "8859-1":
		return typedAs(text, fromLatin1)
	case "UTF-8":
		return typedAs(text, nil)
	}
	return typedAs(text, fromIRA)
}

func first(text string) rune { r, _ := utf8.DecodeRuneInString(text); return r }

// reading says what a module makes of one character written as octets.
type reading func(r rune, octets string) (becomes string, sure bool, why string)

func typedAs(text string, read reading) (string, []Change) {
	var b strings.Builder
	var changes []Change
	for i, r := range text {
		if r == endsText || r == cancelsText {
			why, becomes := "0x1A ends the text: what follows is read as a command", b.String()
			if r == cancelsText {
				why, becomes = "0x1B throws the text away: nothing is sent", ""
			}
			return becomes, append(changes, Change{At: i, Rune: r, Why: why, Sure: true, Clause: "TS 27.005 3.5.1"})
		}
		size := utf8.RuneLen(r)
		if r == utf8.RuneError {
			_, size = utf8.DecodeRuneInString(text[i:])
		}
		becomes, sure, why := string(r), true, ""
		if read != nil {
			becomes, sure, why = read(r, text[i:i+size])
		} else if septetCost(r) == 0 {
			becomes, sure, why = "?", false, "not in the default alphabet"
		}
		if why != "" {
			changes = append(changes, Change{At: i, Rune: r, Becomes: becomes, Sure: sure, Why: why, Clause: "TS 27.005 annex A, TS 23.038 6.2.1"})
		}
		b.WriteString(becomes)
	}
	return b.String(), changes
}

// beyond stands for an octet of which modules make different things.
const beyond = "\uFFFD"

// fromGSM: octets are septets of the default alphabet as they are.
func fromGSM(r rune, octets string) (string, bool, string) {
	if r >= 128 {
		return strings.Repeat(beyond, len(octets)), false, fmt.Sprintf("written as %d octets above 0x7F, which the 7-bit alphabet does not have", len(octets))
	}
	becomes := rune(defaultMain[r])
	if becomes == r {
		return string(r), true, ""
	}
	why := fmt.Sprintf("octet 0x%02X is %q in the GSM alphabet", r, becomes)
	if septet, n := septetsOf(r, &defaultMain, &defaultShift); n == 1 {
		why += fmt.Sprintf("; %q would be octet 0x%02X", r, septet)
	} else if n == 2 {
		why += fmt.Sprintf("; %q needs the escape, which text entry takes for a cancel", r)
	}
	return string(becomes), true, why
}

// fromIRA: the module converts what both alphabets hold.
func fromIRA(r rune, octets string) (string, bool, string) {
	if r >= 128 {
		return strings.Repeat(beyond, len(octets)), false, fmt.Sprintf("written as %d octets above 0x7F, which this character set does not have", len(octets))
	}
	switch septetCost(r) {
	case 0:
		return "?", false, "not in the GSM alphabet"
	case 2:
		return string(r), false, "only in the extension of the GSM alphabet: some modules send it, some put another character"
	}
	return string(r), true, ""
}

// fromLatin1: each octet is a character of its own.
func fromLatin1(r rune, octets string) (string, bool, string) {
	if r < 128 {
		return fromIRA(r, octets)
	}
	becomes := make([]rune, 0, 4)
	for i := 0; i < len(octets); i++ {
		c := rune(octets[i])
		if septetCost(c) == 0 {
			c = '?'
		}
		becomes = append(becomes, c)
	}
	return string(becomes), false, fmt.Sprintf("written as %d octets (UTF-8), each of which is a character of its own in 8859-1", len(octets))
}

// convertible replaces what data coding 0 cannot hold.
func convertible(text string) (string, []Change) {
	return typedAs(text, func(r rune, _ string) (string, bool, string) {
		if septetCost(r) == 0 {
			return "?", false, "not in the default alphabet: data coding 8 would carry it"
		}
		return string(r), true, ""
	})
}

// allHex says whether text is hex digits only, at least one.
func allHex(text string) bool {
	for i := 0; i < len(text); i++ {
		if hexLow[text[i]] == notHex {
			return false
		}
	}
	return text != ""
}

// hexOctets returns the octets of an even number of hex digits.
func hexOctets(text string) ([]byte, bool) {
	if len(text)%2 != 0 || !allHex(text) {
		return nil, false
	}
	out := make([]byte, len(text)/2)
	readHex(out, text)
	return out, true
}

// UCS2Hex writes text as +CSCS="UCS2" wants it: four hex digits per unit.
func UCS2Hex(text string) string {
	octets, _ := appendUCS2(nil, text, 2*len(text))
	out := make([]byte, 0, 2*len(octets))
	for _, o := range octets {
		out = append(out, hexDigits[o>>4], hexDigits[o&15])
	}
	return string(out)
}

// FromUCS2Hex reads what [UCS2Hex] writes; false when it is not hex of whole units.
func FromUCS2Hex(hex string) (string, bool) {
	octets, ok := hexOctets(hex)
	if !ok || len(octets)%2 != 0 {
		return "", false
	}
	units := make([]uint16, len(octets)/2)
	for i := range units {
		units[i] = uint16(octets[2*i])<<8 | uint16(octets[2*i+1])
	}
	return string(utf16.Decode(units)), true
}

// fromSeptetHex reads pairs of hex digits as characters of the default alphabet.
func fromSeptetHex(hex string) (string, bool) {
	octets, ok := hexOctets(hex)
	if !ok {
		return "", false
	}
	for _, o := range octets {
		if o > 0x7F {
			return "", false
		}
	}
	return Shift{}.Text(octets), true
}

// LooksUCS2Hex says whether a body that a module printed is a UCS2 text shown in
// hex, and which. It is careful, since a text may well consist of digits: at least
// two characters, all of them printable, most of them letters, in one script
// (besides Latin). Where chance is likely it wants more: three characters of another
// script than Latin, four of the East Asian ones and not decimal digits only.
func LooksUCS2Hex(body string) (text string, ok bool) {
	body = strings.TrimSpace(body)
	if len(body) < 8 || len(body)%4 != 0 {
		return "", false
	}
	text, ok = FromUCS2Hex(body)
	if !ok {
		return "", false
	}
	runes, latin, letters, scripts := 0, 0, 0, map[string]bool{}
	for _, r := range text {
		runes++
		script := scriptOf(r)
		switch {
		case r == '\n' || r == '\r' || r == '\t':
			continue
		case r == utf8.RuneError || !unicode.IsPrint(r):
			return "", false
		case script != "":
			scripts[script] = true
			letters++
		case r < 0x250:
			latin++
		}
	}
	switch {
	case len(scripts) > 1, 2*(letters+latin) < runes:
		return "", false
	case scripts["East Asian"], scripts["Hangul"]:
		ok = runes >= 4 && strings.ContainsAny(body, "abcdefABCDEF")
	case len(scripts) == 1:
		ok = runes >= 3 || latin > 0
	default:
		ok = latin >= 2
	}
	if !ok {
		return "", false
	}
	return text, true
}

// scriptOf names the script of a letter beyond Latin; marks belong to the letter
// before them, signs to no script.
func scriptOf(r rune) string {
	switch {
	case !unicode.IsLetter(r) || unicode.Is(unicode.Latin, r):
		return ""
	case unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Bopomofo):
		return "East Asian"
	case unicode.Is(unicode.Hangul, r):
		return "Hangul"
	}
	for _, s := range scripts {
		if unicode.Is(s.table, r) {
			return s.name
		}
	}
	return "another"
}

// scripts are those in which texts are commonly written, besides the ones above.
var scripts = [...]struct {
	name  string
	table *unicode.RangeTable
}{
	{"Cyrillic", unicode.Cyrillic}, {"Greek", unicode.Greek}, {"Arabic", unicode.Arabic}, {"Hebrew", unicode.Hebrew},
	{"Thai", unicode.Thai}, {"Devanagari", unicode.Devanagari}, {"Bengali", unicode.Bengali}, {"Gurmukhi", unicode.Gurmukhi},
	{"Gujarati", unicode.Gujarati}, {"Oriya", unicode.Oriya}, {"Tamil", unicode.Tamil}, {"Telugu", unicode.Telugu},
	{"Kannada", unicode.Kannada}, {"Malayalam", unicode.Malayalam}, {"Armenian", unicode.Armenian}, {"Georgian", unicode.Georgian},
}
