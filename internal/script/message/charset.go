package message

import (
	"strings"

	"firstfix/internal/wire/sms"
)

// The character sets of +CSCS that text mode is written with, TS 27.007 clause 5.5.
const (
	SetGSM  = "GSM"  // octets are septets of the default alphabet
	SetIRA  = "IRA"  // ASCII; the module converts
	SetUCS2 = "UCS2" // four hex digits a character; numbers too
	SetHEX  = "HEX"  // two hex digits a septet; numbers too
)

// otherInGSM are the ASCII characters that have another code in the default alphabet,
// or none: TS 23.038 clause 6.2.1.
const otherInGSM = "@$_`[\\]^{|}~"

// extensionASCII are those of them that need the escape 0x1B, which text entry takes
// for a cancel: clause 6.2.1.1.
const extensionASCII = "[\\]^{|}~"

// setFor picks the character set in which text can be typed with the fewest chances of
// a mistake. Letters and figures are the same in GSM and IRA, and every module has
// GSM; @ $ _ are octets 0x00, 0x02 and 0x11 in GSM, of which drivers drop
// two, so IRA types them; all else is typed in hex.
func setFor(text string) (set, why string) {
	set, why = SetGSM, "every character has the same code in ASCII and in the default alphabet"
	for _, r := range text {
		switch {
		case r >= 0x7F || r != '\n' && r < ' ', strings.ContainsRune(extensionASCII+"`", r):
			return SetUCS2, "a character is not typed as one plain octet, so all are typed in hex, and the module converts them"
		case strings.ContainsRune(otherInGSM, r):
			set, why = SetIRA, "@, $ or _ have other codes in the default alphabet; with IRA the module converts them"
		}
	}
	return set, why
}

// typedIn returns the octets to type at the prompt for text in a character set and
// coding; false when the set cannot write it. With UCS2 coding the text is hex
// whatever the set (TS 27.005 clause 3.1, <data>).
func typedIn(text, set string, coding sms.Coding) (string, bool) {
	if coding.InOctets() || set == SetUCS2 {
		return sms.UCS2Hex(text), true
	}
	if set == SetHEX {
		return septetHex(text)
	}
	for i := range len(text) {
		if c := text[i]; c != '\n' && (c < ' ' || c > '~') || set == SetGSM && strings.IndexByte(otherInGSM, c) >= 0 {
			return "", false
		}
	}
	return text, true
}

// septetHex writes two hex digits for each septet.
func septetHex(text string) (string, bool) {
	septets, stopped := sms.Shift{}.AppendSeptets(nil, text)
	return hexOf(septets), stopped < 0
}

func hexOf(octets []byte) string {
	const digits = "0123456789ABCDEF"
	out := make([]byte, 0, 2*len(octets))
	for _, o := range octets {
		out = append(out, digits[o>>4], digits[o&15])
	}
	return string(out)
}

// inSet writes an address for a command while +CSCS is set: in hex where the set says so.
func inSet(number, set string) string {
	switch set {
	case SetUCS2:
		return sms.UCS2Hex(number)
	case SetHEX:
		hex, _ := septetHex(number)
		return hex
	}
	return number
}

// fromSet reads an address that a module printed while +CSCS was set.
func fromSet(text, set string) string {
	switch strings.ToUpper(set) {
	case SetUCS2:
		if plain, ok := sms.FromUCS2Hex(text); ok {
			return plain
		}
	case SetHEX:
		if octets, ok := octetsOf(text); ok {
			return sms.Shift{}.Text(octets)
		}
	}
	return text
}

// octetsOf reads pairs of hex digits.
func octetsOf(hex string) ([]byte, bool) {
	if len(hex)%2 != 0 || hex == "" {
		return nil, false
	}
	out := make([]byte, len(hex)/2)
	for i := range hex {
		v := hexValue(hex[i])
		if v < 0 {
			return nil, false
		}
		out[i/2] = out[i/2]<<4 | byte(v)
	}
	return out, true
}

func hexValue(c byte) int {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0')
	case c|0x20 >= 'a' && c|0x20 <= 'f':
		return int(c|0x20-'a') + 10
	}
	return -1
}

func isHex(s string) bool {
	for i := range len(s) {
		if hexValue(s[i]) < 0 {
			return false
		}
	}
	return s != ""
}
