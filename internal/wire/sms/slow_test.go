package sms

import (
	"fmt"
	"strings"
	"unicode/utf16"
)

// This file is a second way to write messages, as plain as the standard's own
// drawings: strings of the characters 0 and 1, one list of letters, no tables and
// no code of the package. Vectors that were computed are derived again with it.

// slowAlphabet is the default alphabet of TS 23.038 clause 6.2.1 typed in reading
// order, column by column as it is printed; the escape is shown as ESC.
const slowAlphabet = "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞ\x1bÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?" +
	"¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"

// slowExtension is TS 23.038 clause 6.2.1.1: character, then the septet behind the escape.
var slowExtension = map[rune]int{'\f': 0x0A, '^': 0x14, '{': 0x28, '}': 0x29, '\\': 0x2F, '[': 0x3C, '~': 0x3D, ']': 0x3E, '|': 0x40, '€': 0x65}

func slowSeptets(text string) (septets []int) {
	letters := []rune(slowAlphabet)
next:
	for _, r := range text {
		for i, have := range letters {
			if have == r {
				septets = append(septets, i)
				continue next
			}
		}
		s, ok := slowExtension[r]
		if !ok {
			panic(fmt.Sprintf("%q is not in the alphabet", r))
		}
		septets = append(septets, 0x1B, s)
	}
	return septets
}

// slowPack draws the bits from right to left, as TS 23.038 clause 6.1.2.1.1 does,
// behind fill zeros, and cuts octets from the right.
func slowPack(septets []int, fill int) string {
	bits := strings.Repeat("0", fill)
	for _, s := range septets {
		bits = fmt.Sprintf("%07b", s) + bits
	}
	for len(bits)%8 != 0 {
		bits = "0" + bits
	}
	hex := ""
	for len(bits) > 0 {
		var octet int
		fmt.Sscanf(bits[len(bits)-8:], "%b", &octet)
		hex += fmt.Sprintf("%02X", octet)
		bits = bits[:len(bits)-8]
	}
	return hex
}

// slowSwap writes digits as swapped half octets, TS 23.040 clause 9.1.2.3.
func slowSwap(digits string) (hex string) {
	if len(digits)%2 == 1 {
		digits += "F"
	}
	for i := 0; i < len(digits); i += 2 {
		hex += digits[i+1:i+2] + digits[i:i+1]
	}
	return hex
}

func slowUCS2(text string) (hex string) {
	for _, u := range utf16.Encode([]rune(text)) {
		hex += fmt.Sprintf("%04X", u)
	}
	return hex
}

// slowSubmit writes TS 23.040 clause 9.2.2.2 with a relative validity period and
// without a service centre. udh is the header in hex with its length octet.
func slowSubmit(fo, toa, number string, pid, dcs, vp, udh, text string) string {
	head := "00" + fo + "00" + fmt.Sprintf("%02X", len(number)) + toa + slowSwap(number) + pid + dcs + vp
	headOctets := len(udh) / 2
	if dcs == "08" {
		body := slowUCS2(text)
		return head + fmt.Sprintf("%02X", headOctets+len(body)/2) + udh + body
	}
	septets := slowSeptets(text)
	taken, fill := 0, 0
	for taken*7 < headOctets*8 {
		taken++
	}
	fill = taken*7 - headOctets*8
	return head + fmt.Sprintf("%02X", taken+len(septets)) + udh + slowPack(septets, fill)
}
