package sms

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Address is a number or a name, with its type octet, TS 23.040 clause 9.1.2.5.
type Address struct {
	Type   byte   // type of address as written: 0x91 international, 0x81 not said, 0xD0 name
	Number string // the digits without "+", or the name
}

// The usual types of address. In commands they are decimal: 145, 129, 208.
const (
	TypeInternational byte = 0x91 // 145: country code first, E.164
	TypeUnknown       byte = 0x81 // 129: as dialled
	TypeNational      byte = 0xA1 // 161: without country code
	TypeName          byte = 0xD0 // 208: alphanumeric, septets
)

// maxDigits is the longest number of an address, TS 23.040 clause 9.1.2.3: ten octets.
const maxDigits = 20

// maxNameSeptets is the longest name: ten octets of septets.
const maxNameSeptets = 11

// NewAddress makes an address of a number as people write it: with "+" it is
// international, digits alone are of unknown type (as text mode does, TS 27.005
// clause 3.1), anything else is a name. Blanks, dots, dashes and brackets between
// digits are left out.
func NewAddress(text string) Address {
	n := ReadNumber(text)
	switch {
	case n.Name:
		return Address{Type: TypeName, Number: text}
	case strings.HasPrefix(n.Normal, "+"):
		return Address{Type: TypeInternational, Number: n.Normal[1:]}
	}
	return Address{Type: TypeUnknown, Number: n.Normal}
}

// typesOfNumber is bits 7 to 5 of the type octet, TS 23.040 clause 9.1.2.5.
var typesOfNumber = [8]string{
	"unknown type", "international number", "national number", "network specific number",
	"subscriber number", "alphanumeric name", "abbreviated number", "reserved type",
}

// numberingPlans is bits 4 to 1, same clause; empty is reserved.
var numberingPlans = [16]string{
	0: "plan not said", 1: "telephone numbering plan (E.164)", 3: "data numbering plan (X.121)", 4: "telex numbering plan",
	5: "plan 5 of the service centre", 6: "plan 6 of the service centre", 8: "national numbering plan",
	9: "private numbering plan", 10: "ERMES numbering plan",
}

// TON is the type of number, 0 to 7.
func (a Address) TON() int { return int(a.Type >> 4 & 7) }

// IsName says whether the address is alphanumeric.
func (a Address) IsName() bool { return a.TON() == 5 }

// IsZero says whether there is no address at all.
func (a Address) IsZero() bool { return a == Address{} }

// TypeWords says the type octet in words.
func (a Address) TypeWords() string {
	plan := numberingPlans[a.Type&15]
	if plan == "" {
		plan = "reserved plan"
	}
	words := typesOfNumber[a.TON()] + ", " + plan
	if a.Type&0x80 == 0 {
		words += ", top bit clear where the standard sets it"
	}
	return words
}

// String writes the number as people do, "+" in front when it is international.
func (a Address) String() string {
	if a.TON() == 1 && a.Number != "" {
		return "+" + a.Number
	}
	return a.Number
}

// digitNames is the semi-octet of each digit, TS 23.040 clause 9.1.2.3; 15 fills up.
const digitNames = "0123456789*#abcF"

// nibbleOf returns the semi-octet of a dialled digit; false for what has none.
func nibbleOf(c byte) (byte, bool) {
	switch {
	case c >= '0' && c <= '9':
		return c - '0', true
	case c == '*':
		return 10, true
	case c == '#':
		return 11, true
	case c >= 'a' && c <= 'c':
		return c - 'a' + 12, true
	}
	return 0, false
}

// appendDigits appends the swapped semi-octets of number, filled up with 15.
func appendDigits(dst []byte, number string) []byte {
	for i := 0; i < len(number); i += 2 {
		low, _ := nibbleOf(number[i])
		high := byte(15)
		if i+1 < len(number) {
			high, _ = nibbleOf(number[i+1])
		}
		dst = append(dst, high<<4|low)
	}
	return dst
}

// check says what is wrong with a before it is written; nil when it fits.
func (a Address) check(field string) error {
	if a.IsName() {
		septets, bad := Shift{}.AppendSeptets(nil, a.Number)
		if bad >= 0 {
			r, _ := utf8.DecodeRuneInString(a.Number[bad:])
			return &ValueError{Field: field, Had: fmt.Sprintf("%q", r), Want: "characters of the default alphabet in a name", Clause: "TS 23.040 9.1.2.5"}
		}
		if len(septets) > maxNameSeptets {
			return &ValueError{Field: field, Had: fmt.Sprintf("a name of %d septets", len(septets)), Want: "at most 11", Clause: "TS 23.040 9.1.2.5"}
		}
		return nil
	}
	if len(a.Number) > maxDigits {
		return &ValueError{Field: field, Had: fmt.Sprintf("%d digits", len(a.Number)), Want: "at most 20", Clause: "TS 23.040 9.1.2.3"}
	}
	for i := 0; i < len(a.Number); i++ {
		if _, ok := nibbleOf(a.Number[i]); !ok {
			return &ValueError{Field: field, Had: fmt.Sprintf("%q", a.Number[i]), Want: "digits 0-9, *, #, a, b, c", Clause: "TS 23.040 9.1.2.3"}
		}
	}
	return nil
}

// append writes the address with its length in useful semi-octets.
func (a Address) append(dst []byte) []byte {
	if !a.IsName() {
		dst = append(dst, byte(len(a.Number)), a.Type)
		return appendDigits(dst, a.Number)
	}
	var space [2 * maxNameSeptets]byte
	septets, _ := Shift{}.AppendSeptets(space[:0], a.Number)
	dst = append(dst, byte((7*len(septets)+3)/4), a.Type)
	return Pack(dst, septets, 0)
}

// appendSMSC writes the service centre part, whose length counts octets (TS
// 24.011 clause 8.2.5, TS 27.005 clause 3.1 <pdu>). No address is a single zero.
func (a Address) appendSMSC(dst []byte) []byte {
	if a.IsZero() {
		return append(dst, 0)
	}
	dst = append(dst, byte(1+(len(a.Number)+1)/2), a.Type)
	return appendDigits(dst, a.Number)
}
