package module

import (
	"encoding/hex"
	"strings"

	"firstfix/internal/wire/sms"
)

// The terminal's character set, +CSCS: 27.007 clause 5.5. Inside, the module
// keeps texts as characters; on the line they are what +CSCS says.

// toTerminal writes a string for the line.
func (m *Module) toTerminal(s string) string {
	switch m.settings.cscs {
	case "UCS2":
		return sms.UCS2Hex(s)
	case "HEX":
		return strings.ToUpper(hex.EncodeToString(septets(s)))
	case "GSM":
		return string(septets(s))
	}
	return plain(s)
}

// fromTerminal reads a string off the line; false when it is not in the set.
func (m *Module) fromTerminal(s string) (string, bool) {
	switch m.settings.cscs {
	case "UCS2":
		return sms.FromUCS2Hex(s)
	case "HEX":
		octets, err := hex.DecodeString(s)
		for _, o := range octets {
			if o > 0x7f {
				return "", false
			}
		}
		return sms.Shift{}.Text(octets), err == nil
	case "GSM":
		octets := []byte(s)
		for i, o := range octets {
			if o > 0x7f {
				octets[i] = '?' // there is no eighth bit in the alphabet
			}
		}
		return sms.Shift{}.Text(octets), true
	}
	return plain(s), true
}

// septets writes text in the default alphabet, one septet per octet; what it
// does not hold becomes a question mark.
func septets(text string) []byte {
	var out []byte
	for _, r := range text {
		var stopped int
		if out, stopped = (sms.Shift{}).AppendSeptets(out, string(r)); stopped >= 0 {
			out = append(out, '?')
		}
	}
	return out
}

// plain keeps the characters of the International Reference Alphabet.
func plain(s string) string {
	clean := true
	for i := range len(s) {
		clean = clean && s[i] < 0x80
	}
	if clean {
		return s
	}
	return strings.Map(func(r rune) rune {
		if r > 0x7f {
			return '?'
		}
		return r
	}, s)
}
