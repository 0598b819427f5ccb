package sms

import "unicode/utf16"

// Fit says how a text travels and what it costs.
type Fit struct {
	Coding            // data coding 0 when the default alphabet holds the text, otherwise 8 (UCS2)
	Units      int    // septets or 16-bit units in all
	Septets    int    // the same for 7-bit texts, escapes counted; 0 for UCS2
	Parts      int    // messages to pay for; 1 for an empty text
	PerPart    int    // units that fit in each: 160 or 70 alone, 153 or 67 in a long message
	Left       int    // units free in the last part
	Foreign    []rune // characters that force UCS2, each once, in order
	Extension  int    // characters that cost two septets
	Surrogates int    // characters that cost two UCS2 units
}

// Units in one part of a long message with an 8-bit reference: the header takes
// 6 octets, TS 23.040 clause 9.2.3.24.1.
const (
	longSeptets = 153
	longUnits   = 67
)

// maxForeign bounds the list of foreign characters: enough to show a person.
const maxForeign = 64

// Measure says how text would be sent with data coding 0 or, where it must, 8.
// No national tables: many receivers do not know them.
func Measure(text string) Fit {
	var f Fit
	septets, units := 0, 0
	for _, r := range text {
		switch _, n := septetsOf(r, &defaultMain, &defaultShift); n {
		case 0:
			f.addForeign(r)
		case 2:
			f.Extension++
			septets += 2
		default:
			septets++
		}
		units += unitsOf(r)
		if r > 0xFFFF {
			f.Surrogates++
		}
	}
	if len(f.Foreign) > 0 {
		f.Coding, f.Units, f.Extension = ReadDCS(8), units, 0
		f.divide(text, unitsOf, maxUserUnits, longUnits)
		return f
	}
	f.Coding, f.Units, f.Septets, f.Surrogates = ReadDCS(0), septets, septets, 0
	f.divide(text, septetCost, maxUserSeptets, longSeptets)
	return f
}

func unitsOf(r rune) int {
	if n := utf16.RuneLen(r); n > 0 {
		return n
	}
	return 1
}

func septetCost(r rune) int {
	_, n := septetsOf(r, &defaultMain, &defaultShift)
	return n
}

func (f *Fit) addForeign(r rune) {
	for _, have := range f.Foreign {
		if have == r {
			return
		}
	}
	if len(f.Foreign) < maxForeign {
		f.Foreign = append(f.Foreign, r)
	}
}

// divide counts the parts: a character is never cut in two, so a part may stay
// one unit short.
func (f *Fit) divide(text string, cost func(rune) int, alone, long int) {
	f.Parts, f.PerPart = 1, alone
	if f.Units <= alone {
		f.Left = alone - f.Units
		return
	}
	f.PerPart = long
	used := 0
	for _, r := range text {
		n := cost(r)
		if used+n > long {
			f.Parts++
			used = 0
		}
		used += n
	}
	f.Left = long - used
}
