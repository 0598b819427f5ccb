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
	in, errIn := sms.Decode(line, sms.FromNetwork)
	out, errOut := sms.Decode(line, sms.ToNetwork)
	scoreIn, scoreOut := pduScore(&in, errIn), pduScore(&out, errOut)
	p, err, way := &in, errIn, "as it arrives from the network"
	if scoreOut > scoreIn {
		p, err, way = &out, errOut, "as it is sent to the network"
	}
	e := Explanation{Kind: KindPDU, Title: fmt.Sprintf("a message in PDU mode: %s, %s", p.Kind, way)}
	if text := p.Text(); text != "" {
		e.Title += fmt.Sprintf(", text %q", text)
	}
	pduFields(&e, p)
	if fault := (*sms.Fault)(nil); errors.As(err, &fault) {
		e.problem("octet %d (%s): %s; wanted %s", fault.At, fault.Field, fault.Had, fault.Want)
		if fault.Hint != "" {
			e.hint("%s", fault.Hint)
		}
	}
	for _, n := range p.Notes {
		e.hint("octet %d: %s%s", n.At, n.Text, inBrackets(n.Clause))
	}
	e.hint("its length for +CMGS, +CMGW and +CMT is %d: octets behind the service-centre part (3GPP TS 27.005 3.1)", p.TPDUOctets)
	switch {
	case err == nil && max(scoreIn, scoreOut) >= cleanPDU:
		return e, likely
	case p.Has(sms.PartDCS):
		return e, maybe_
	}
	return Explanation{}, no
}

// cleanPDU is the score of a message that was read whole with nothing odd.
const cleanPDU = 100

// pduScore says how well a reading fits.
func pduScore(p *sms.PDU, err error) int {
	score := 0
	for part := sms.PartSMSC; part <= sms.PartText; part++ {
		if p.Has(part) {
			score++
		}
	}
	if err == nil && len(p.Left) == 0 && p.Kind != sms.KindUnknown {
		score += cleanPDU
	}
	if p.Has(sms.PartStamp) {
		if _, ok := p.Stamp.Time(); !ok {
			score -= cleanPDU / 2
		}
	}
	return score - 2*len(p.Notes)
}

func inBrackets(s string) string {
	if s == "" {
		return ""
	}
	return " (" + s + ")"
}

// pduRows is the message part by part: 3GPP TS 23.040 9.2.3.
var pduRows = [...]struct {
	part   sms.Part
	name   string
	clause string
	words  func(p *sms.PDU) string
}{
	{sms.PartSMSC, "service centre", "3GPP TS 27.005 3.1; 24.011 8.2.5.2", func(p *sms.PDU) string {
		if p.SMSC.IsZero() {
			return "none given: the one of +CSCA is used"
		}
		return "number of the service centre: " + p.SMSC.String()
	}},
	{sms.PartFirst, "first octet", "3GPP TS 23.040 9.2.2", func(p *sms.PDU) string { return p.First.String() }},
	{sms.PartCause, "TP-FCS", "3GPP TS 23.040 9.2.3.22", func(p *sms.PDU) string { return "why it failed: " + p.Cause.String() }},
	{sms.PartIndicator, "TP-PI", "3GPP TS 23.040 9.2.3.27", func(*sms.PDU) string { return "which parts follow" }},
	{sms.PartReference, "TP-MR", "3GPP TS 23.040 9.2.3.6", func(p *sms.PDU) string {
		return fmt.Sprintf("reference %d: a status report quotes it", p.Reference)
	}},
	{sms.PartAddress, "address", "3GPP TS 23.040 9.1.2.5", func(p *sms.PDU) string {
		return addressRole(p.Kind) + ": " + p.Address.String() + ", " + p.Address.TypeWords()
	}},
	{sms.PartPID, "TP-PID", "3GPP TS 23.040 9.2.3.9", func(p *sms.PDU) string { return "protocol: " + sms.ReadPID(p.PID) }},
	{sms.PartDCS, "TP-DCS", "3GPP TS 23.038 4", func(p *sms.PDU) string { return "alphabet: " + p.Coding.Text }},
	{sms.PartValidity, "TP-VP", "3GPP TS 23.040 9.2.3.12", func(p *sms.PDU) string {
		if d, ok := p.Validity.Period().Get(); ok {
			return "the service centre tries for " + durationWords(d)
		}
		return "how long the service centre tries: " + p.Validity.String()
	}},
	{sms.PartStamp, "TP-SCTS", "3GPP TS 23.040 9.2.3.11", func(p *sms.PDU) string { return "time at the service centre: " + p.Stamp.String() }},
	{sms.PartDischarge, "TP-DT", "3GPP TS 23.040 9.2.3.13", func(p *sms.PDU) string { return "delivered, or last tried: " + p.Discharge.String() }},
	{sms.PartStatus, "TP-ST", "3GPP TS 23.040 9.2.3.15", func(p *sms.PDU) string { return "outcome: " + p.Status.String() }},
	{sms.PartCommand, "TP-CT", "3GPP TS 23.040 9.2.3.19", func(p *sms.PDU) string { return "order: " + p.Order.String() }},
	{sms.PartNumber, "TP-MN", "3GPP TS 23.040 9.2.3.18", func(p *sms.PDU) string { return fmt.Sprintf("about the message with reference %d", p.Number) }},
	{sms.PartLength, "TP-UDL", "3GPP TS 23.040 9.2.3.16", func(p *sms.PDU) string {
		unit := "septets"
		if p.Coding.InOctets() {
			unit = "octets"
		}
		return fmt.Sprintf("%d %s follow", p.Data.Length, unit)
	}},
	{sms.PartHeader, "header", "3GPP TS 23.040 9.2.3.24", func(p *sms.PDU) string {
		var words []string
		for _, element := range p.Data.Header {
			words = append(words, element.String())
		}
		return strings.Join(words, "; ")
	}},
	{sms.PartText, "TP-UD", "3GPP TS 23.040 9.2.3.24", func(p *sms.PDU) string {
		if p.Data.Text == "" && len(p.Data.Octets) > 0 {
			return fmt.Sprintf("%d octets of data", len(p.Data.Octets))
		}
		return fmt.Sprintf("text: %q", p.Text())
	}},
	{sms.PartLeft, "rest", "", func(p *sms.PDU) string { return fmt.Sprintf("%d octets behind the end of the message", len(p.Left)) }},
}

func addressRole(k sms.Kind) string {
	switch k {
	case sms.KindDeliver:
		return "sender"
	case sms.KindStatusReport:
		return "receiver of the message reported on"
	}
	return "receiver"
}

func pduFields(e *Explanation, p *sms.PDU) {
	for _, row := range pduRows {
		if !p.Has(row.part) {
			continue
		}
		octet, n := p.At(row.part)
		from, to := min(2*octet, len(p.Hex)), min(2*(octet+n), len(p.Hex))
		e.field(Field{Name: row.name, Value: p.Hex[from:to], Meaning: row.words(p), At: from, Clause: row.clause})
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
