package sms

import (
	"fmt"
	"strings"
)

// A Field is one field of a PDU, for a labelled strip of octets.
type Field struct {
	At      int    // first octet, counted from 0
	Length  int    // octets; 0 for a field that is announced but empty
	Octets  string // the octets in hex
	Name    string // the standard's name: "TP-DA length"
	Value   string // the value as a person writes it
	Meaning string // what it means; empty when the value says it
	Clause  string
}

// Private says that the field tells who wrote to whom, or what: it is hidden in what is
// passed on. What could not be read may hold anything, so it is private too.
func (f *Field) Private() bool {
	for _, part := range [...]string{"number", "left over", "not read", "element 0x22"} { // 0x22: a reply address
		if strings.Contains(f.Name, part) {
			return true
		}
	}
	return f.Name == "TP-UD" || f.Name == "TP-CD"
}

// Anatomy names every octet of a PDU, in order, without gaps. What could not be
// read is one field at the end that says why.
func Anatomy(hex string, toNetwork bool) []Field {
	p, err := Decode(hex, toNetwork)
	return p.Anatomy(err)
}

// Anatomy names every octet of p; err is the one that [Decode] returned with it.
func (p *PDU) Anatomy(err error) []Field {
	var space [maxOctets]byte
	n, _ := readHex(space[:], p.Hex)
	a := anatomist{p: p, octets: space[:n]}
	for _, row := range anatomy {
		if at, n := p.At(row.part); n > 0 {
			a.part = row.part
			a.at = at
			row.describe(&a, n)
		}
	}
	a.sort()
	if at := a.end(); at < n {
		a.at = at
		f := Field{Name: "not read", Clause: "TS 27.005 3.1 <pdu>"}
		if fault, ok := err.(*Fault); ok {
			f.Meaning, f.Clause = fault.Error(), fault.Clause
			if at >= fault.At {
				f.Name = "not read: " + fault.Field
			}
		}
		a.add(n-at, f)
	}
	return a.fields
}

type anatomist struct {
	p      *PDU
	octets []byte
	at     int
	part   Part
	fields []Field
}

// add describes the next n octets.
func (a *anatomist) add(n int, f Field) {
	f.At, f.Length = a.at, n
	f.Octets = fmt.Sprintf("%X", a.octets[a.at:a.at+n])
	a.fields = append(a.fields, f)
	a.at += n
}

// end is the first octet behind all fields.
func (a *anatomist) end() int {
	if len(a.fields) == 0 {
		return 0
	}
	last := a.fields[len(a.fields)-1]
	return last.At + last.Length
}

// sort puts the fields in order of their octets. Insertion: they nearly are.
func (a *anatomist) sort() {
	for i := 1; i < len(a.fields); i++ {
		for j := i; j > 0 && a.fields[j].At < a.fields[j-1].At; j-- {
			a.fields[j], a.fields[j-1] = a.fields[j-1], a.fields[j]
		}
	}
}

// anatomy says how each part is described.
var anatomy = [...]struct {
	part     Part
	describe func(a *anatomist, n int)
}{
	{PartSMSC, (*anatomist).smsc},
	{PartFirst, func(a *anatomist, n int) {
		a.add(n, Field{Name: "first octet", Value: fmt.Sprintf("0x%02X", a.p.First.Octet), Meaning: a.p.First.String(), Clause: firstClause(a.p.Kind)})
	}},
	{PartCause, func(a *anatomist, n int) {
		a.add(n, Field{Name: "TP-FCS", Value: fmt.Sprintf("0x%02X", byte(a.p.Cause)), Meaning: a.p.Cause.String(), Clause: "TS 23.040 9.2.3.22"})
	}},
	{PartIndicator, func(a *anatomist, n int) {
		a.add(n, Field{Name: "TP-PI", Value: fmt.Sprintf("0x%02X", a.p.Indicator), Meaning: indicatorWords(a.p.Indicator), Clause: "TS 23.040 9.2.3.27"})
	}},
	{PartReference, func(a *anatomist, n int) {
		a.add(n, Field{Name: "TP-MR", Value: fmt.Sprint(a.p.Reference), Meaning: "message reference: pairs a message with its reports", Clause: "TS 23.040 9.2.3.6"})
	}},
	{PartAddress, (*anatomist).address},
	{PartPID, func(a *anatomist, n int) {
		a.add(n, Field{Name: "TP-PID", Value: fmt.Sprintf("0x%02X", a.p.PID), Meaning: ReadPID(a.p.PID), Clause: "TS 23.040 9.2.3.9"})
	}},
	{PartDCS, func(a *anatomist, n int) {
		a.add(n, Field{Name: "TP-DCS", Value: fmt.Sprintf("0x%02X", a.p.Coding.DCS), Meaning: a.p.Coding.Text, Clause: "TS 23.038 4"})
	}},
	{PartValidity, func(a *anatomist, n int) {
		a.add(n, Field{Name: "TP-VP", Value: a.p.Validity.String(), Meaning: a.p.Validity.Form.String(), Clause: "TS 23.040 9.2.3.12"})
	}},
	{PartStamp, func(a *anatomist, n int) {
		a.add(n, Field{Name: "TP-SCTS", Value: a.p.Stamp.String(), Meaning: "service centre time", Clause: "TS 23.040 9.2.3.11"})
	}},
	{PartDischarge, func(a *anatomist, n int) {
		a.add(n, Field{Name: "TP-DT", Value: a.p.Discharge.String(), Meaning: "when it was delivered, last tried or given up", Clause: "TS 23.040 9.2.3.13"})
	}},
	{PartStatus, func(a *anatomist, n int) {
		a.add(n, Field{Name: "TP-ST", Value: fmt.Sprintf("0x%02X", byte(a.p.Status)), Meaning: a.p.Status.String(), Clause: "TS 23.040 9.2.3.15"})
	}},
	{PartCommand, func(a *anatomist, n int) {
		a.add(n, Field{Name: "TP-CT", Value: fmt.Sprintf("0x%02X", byte(a.p.Order)), Meaning: a.p.Order.String(), Clause: "TS 23.040 9.2.3.19"})
	}},
	{PartNumber, func(a *anatomist, n int) {
		a.add(n, Field{Name: "TP-MN", Value: fmt.Sprint(a.p.Number), Meaning: "reference of the message it is about", Clause: "TS 23.040 9.2.3.18"})
	}},
	{PartLength, (*anatomist).length},
	{PartHeader, (*anatomist).header},
	{PartText, (*anatomist).text},
	{PartLeft, func(a *anatomist, n int) {
		a.add(n, Field{Name: "left over", Value: octetWords(n), Meaning: "behind the end of the message", Clause: "TS 23.040 9.2.3.16"})
	}},
}

func firstClause(k Kind) string {
	return "TS 23.040 " + [...]string{"9.2.2", "9.2.2.1", "9.2.2.1a", "9.2.2.2", "9.2.2.2a", "9.2.2.3", "9.2.2.4"}[k]
}

func indicatorWords(pi byte) string {
	words := "follow:"
	for i, name := range [...]string{" TP-PID", " TP-DCS", " TP-UDL"} {
		if pi>>i&1 == 1 {
			words += name
		}
	}
	if pi&7 == 0 {
		return "nothing more follows"
	}
	return words
}

func (a *anatomist) smsc(n int) {
	const clause = "TS 24.011 8.2.5.1"
	f := Field{Name: "service centre length", Value: fmt.Sprint(n - 1), Meaning: octetsFollow(n - 1), Clause: clause}
	if n == 1 {
		f.Meaning = "none given: the module uses the one that +CSCA set"
	}
	a.add(1, f)
	a.typeAndDigits(n-1, "service centre", a.p.SMSC, clause)
}

func octetsFollow(n int) string { return octetWords(n) + " of type and number follow" }

// typeAndDigits describes what follows the length of an address: n octets.
func (a *anatomist) typeAndDigits(n int, name string, address Address, clause string) {
	if n == 0 {
		return
	}
	a.add(1, Field{Name: name + " type", Value: fmt.Sprintf("0x%02X (%d)", address.Type, address.Type), Meaning: address.TypeWords(), Clause: "TS 23.040 9.1.2.5"})
	if n > 1 {
		meaning := "two digits in each octet, the first in the low half"
		if address.IsName() {
			meaning = "septets of the default alphabet"
		}
		a.add(n-1, Field{Name: name + " number", Value: address.String(), Meaning: meaning, Clause: clause})
	}
}

func (a *anatomist) address(n int) {
	name := map[Kind]string{KindDeliver: "TP-OA", KindStatusReport: "TP-RA"}[a.p.Kind]
	if name == "" {
		name = "TP-DA"
	}
	a.add(1, Field{Name: name + " length", Value: fmt.Sprint(a.octets[a.at]), Meaning: "half octets of number that count", Clause: "TS 23.040 9.1.2.5"})
	a.typeAndDigits(n-1, name, a.p.Address, "TS 23.040 9.1.2.3")
}

func (a *anatomist) length(n int) {
	f := Field{Name: "TP-UDL", Value: fmt.Sprint(a.p.Data.Length), Meaning: "septets of user data, the header counted", Clause: "TS 23.040 9.2.3.16"}
	switch {
	case a.p.Kind == KindCommand:
		f.Name, f.Meaning, f.Clause = "TP-CDL", "octets of command data", "TS 23.040 9.2.3.20"
	case a.p.Coding.InOctets():
		f.Meaning = "octets of user data, the header counted"
	case a.p.Data.HeadSize == 0:
		f.Meaning = "septets of text"
	}
	a.add(n, f)
}

func (a *anatomist) header(n int) {
	a.add(1, Field{Name: "header length", Value: fmt.Sprint(n - 1), Meaning: octetWords(n-1) + " of header follow", Clause: "TS 23.040 9.2.3.24"})
	if a.p.Data.Header == nil && n > 1 {
		a.add(n-1, Field{Name: "header", Value: "makes no sense", Meaning: "an element runs past the header, so all of it is ignored", Clause: "TS 23.040 9.2.3.24"})
	}
	for _, e := range a.p.Data.Header {
		a.add(2+len(e.Data), Field{Name: fmt.Sprintf("element 0x%02X", e.ID), Value: e.String(), Meaning: e.Name(), Clause: e.Clause()})
	}
}

func (a *anatomist) text(n int) {
	d := &a.p.Data
	f := Field{Name: "TP-UD", Value: fmt.Sprintf("%q", d.Text), Meaning: a.p.Coding.ReadAs().String(), Clause: "TS 23.040 9.2.3.24"}
	switch {
	case a.p.Kind == KindCommand:
		f.Name, f.Value, f.Meaning, f.Clause = "TP-CD", fmt.Sprintf("%X", d.Octets), "command data", "TS 23.040 9.2.3.21"
	case d.Octets != nil:
		f.Value = fmt.Sprintf("%X", d.Octets)
	case d.Fill > 0:
		f.Meaning += fmt.Sprintf(", behind %d fill bits", d.Fill)
	}
	if a.p.Coding.Compressed {
		f.Meaning = "compressed text (TS 23.042), not read"
	}
	a.add(n, f)
}
