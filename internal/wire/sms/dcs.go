package sms

import (
	"strings"

	"firstfix/internal/maybe"
)

// Alphabet says in what units a text is written, TS 23.038 clause 4.
type Alphabet byte

// The alphabets. A reserved one is to be read as the default alphabet.
const (
	Default7 Alphabet = iota // septets of the default alphabet or a national table
	Data8                    // octets that mean what sender and receiver agreed
	UCS2                     // 16-bit units, the high octet first
	Reserved                 // not assigned; read as Default7
)

// String names the alphabet.
func (a Alphabet) String() string {
	return [...]string{"default 7-bit alphabet", "8-bit data", "UCS2", "reserved alphabet (read as the default one)"}[a&3]
}

// Waiting is a message-waiting indication, TS 23.038 clause 4, groups 1100 to 1110.
type Waiting struct {
	Given   bool // the coding is one of the three groups
	Discard bool // the text may be thrown away (group 1100)
	Active  bool // the indicator is to be switched on; off otherwise
	Kind    byte // 0 voice, 1 fax, 2 mail, 3 other
}

var waitingKinds = [4]string{"voice mail", "fax", "electronic mail", "other"}

// Coding is a data coding scheme read in words, TS 23.038 clause 4.
type Coding struct {
	DCS        byte
	Alphabet   Alphabet
	Class      maybe.Value[int] // 0 shown at once, 1 device, 2 card, 3 external terminal
	Compressed bool             // TS 23.042; such a text is kept as octets
	AutoDelete bool             // marked for deletion after reading (group 01xx)
	Waiting    Waiting
	Text       string // the same in words
}

// ReadAs is the alphabet to read the text with: a reserved one counts as the
// default alphabet.
func (c Coding) ReadAs() Alphabet {
	if c.Alphabet == Reserved {
		return Default7
	}
	return c.Alphabet
}

// InOctets says whether the user data is counted in octets and not in septets,
// TS 23.040 clause 9.2.3.16.
func (c Coding) InOctets() bool { return c.Compressed || c.ReadAs() != Default7 }

// classWords is TS 23.038 clause 4, the message classes.
var classWords = [4]string{
	"class 0: shown at once and usually not kept (flash)",
	"class 1: kept in the device",
	"class 2: kept on the card",
	"class 3: for the external terminal",
}

// codings holds all 256 schemes, so that reading one costs nothing.
var codings = func() (all [256]Coding) {
	for i := range all {
		all[i] = readDCS(byte(i))
	}
	return all
}()

// ReadDCS says what a data coding scheme means. Every octet means something:
// reserved ones are the default alphabet.
func ReadDCS(dcs byte) Coding { return codings[dcs] }

func readDCS(dcs byte) Coding {
	c := Coding{DCS: dcs}
	low := int(dcs & 3)
	switch group := dcs >> 4; {
	case group < 8: // 00xx general coding, 01xx the same and delete after reading
		c.AutoDelete = group >= 4
		c.Compressed = dcs&0x20 != 0
		c.Alphabet = Alphabet(dcs >> 2 & 3)
		if dcs&0x10 != 0 {
			c.Class = maybe.Known(low)
		}
	case group < 12: // 1000 to 1011: reserved coding groups
		c.Alphabet = Reserved
	case group < 15: // 1100 discard, 1101 store, 1110 store and UCS2
		c.Waiting = Waiting{Given: true, Discard: group == 12, Active: dcs&8 != 0, Kind: byte(low)}
		if group == 14 {
			c.Alphabet = UCS2
		}
	default: // 1111 data coding and message class
		c.Class = maybe.Known(low)
		if dcs&4 != 0 {
			c.Alphabet = Data8
		}
	}
	c.Text = c.words()
	return c
}

func (c Coding) words() string {
	words := make([]string, 0, 6)
	words = append(words, c.Alphabet.String())
	if c.Compressed {
		words = append(words, "compressed (TS 23.042)")
	}
	if class, ok := c.Class.Get(); ok {
		words = append(words, classWords[class])
	}
	if c.AutoDelete {
		words = append(words, "deleted after reading")
	}
	if w := c.Waiting; w.Given {
		words = append(words, "message waiting: "+waitingKinds[w.Kind]+map[bool]string{true: " on", false: " off"}[w.Active])
		if w.Discard {
			words = append(words, "the text may be thrown away")
		}
	}
	return strings.Join(words, ", ")
}
