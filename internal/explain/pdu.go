package explain

import (
	"errors"
	"fmt"
	"strings"

	"firstfix/internal/wire/sms"
)

// minPDUDigits: the shortest message that arrives has 15 octets or so; below
// ten, hex digits are more likely something else.
const minPDUDigits = 20

// minTextDigits is four characters of UCS2.
const minTextDigits = 16

func isHex(s string) bool {
	for i := range len(s) {
		if c := s[i]; !(c >= '0' && c <= '9' || c|0x20 >= 'a' && c|0x20 <= 'f') {
			return false
		}
	}
	return s != ""
}

// pdu reads a message in hex. Nothing in it says which way it travels, so both
// are tried.
func pdu(line string) (Explanation, int) {
	if len(line) < minPDUDigits || !isHex(line) {
		return Explanation{}, no
	}
	g := sms.GuessPDU(line)
	way := "as it arrives from the network"
	if g.ToNetwork {
		way = "as it is sent to the network"
	}
	e := Explanation{Kind: KindPDU, Title: fmt.Sprintf("a message in PDU mode: %s, %s", g.Kind, way)}
	if text := g.Text(); text != "" {
		e.Title += fmt.Sprintf(", text %q", text)
	}
	pduFields(&e, &g)
	if fault := (*sms.Fault)(nil); errors.As(g.Err, &fault) {
		e.problem("octet %d (%s): %s; wanted %s", fault.At, fault.Field, fault.Had, fault.Want)
		if fault.Hint != "" {
			e.hint("%s", fault.Hint)
		}
	}
	for _, n := range g.Notes {
		e.hint("octet %d: %s%s", n.At, n.Text, inBrackets(n.Clause))
	}
	if g.WithoutCentre {
		e.hint("no service-centre part stands in front; the PDU of +CMGS, +CMGW and +CMT has one, 00 at the least (3GPP TS 27.005 3.1)")
	}
	e.hint("its length for +CMGS, +CMGW and +CMT is %d: octets behind the service-centre part (3GPP TS 27.005 3.1)", g.TPDUOctets)
	switch {
	case g.Sure && g.Err == nil && !g.WithoutCentre:
		return e, likely
	case g.Has(sms.PartDCS), g.Sure && g.Err == nil:
		return e, maybe_
	}
	return Explanation{}, no
}

func inBrackets(s string) string {
	if s == "" {
		return ""
	}
	return " (" + s + ")"
}

// pduFields takes every octet from the anatomy of the message.
func pduFields(e *Explanation, g *sms.Guess) {
	for _, f := range g.Anatomy(g.Err) {
		meaning := f.Meaning
		switch {
		case meaning == "":
			meaning = f.Value
		case f.Value != "" && !strings.HasPrefix(f.Name, "not read"):
			meaning = f.Value + ": " + meaning
		}
		if f.Name == "TP-UDL" || f.Name == "TP-CDL" {
			meaning = f.Value + " " + f.Meaning
		}
		name := f.Name
		if name == "service centre length" && f.Octets == "00" {
			name, meaning = "service centre", f.Meaning
		}
		clause := f.Clause
		if strings.HasPrefix(clause, "TS ") {
			clause = "3GPP " + clause
		}
		from, to := min(2*f.At, len(g.Hex)), min(2*(f.At+f.Length), len(g.Hex))
		e.field(Field{Name: name, Value: g.Hex[from:to], Meaning: meaning, At: from, Clause: clause})
	}
}

// hexText reads a body in hex: a text in UCS2, as modules print it.
func hexText(line string) (Explanation, int) {
	if len(line) < minTextDigits || !isHex(line) {
		return Explanation{}, no
	}
	text, ok := sms.LooksUCS2Hex(line)
	if !ok {
		return Explanation{}, no
	}
	e := Explanation{Kind: KindHexText, Title: fmt.Sprintf("a text in UCS2, shown in hex: %q", text)}
	e.field(Field{Name: "text", Value: line, Meaning: text, Clause: "3GPP TS 27.005 3.1; 23.038 6.2.3"})
	e.hint(`four hex digits are one 16-bit character; AT+CSCS="UCS2" or a message with dcs 8 makes a module print them`)
	return e, likely
}
