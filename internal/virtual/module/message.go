package module

import (
	"encoding/hex"
	"fmt"
	"strings"
	"unicode/utf16"

	"firstfix/internal/wire/sms"
)

// message is a text as the module and the network keep it; or a status report,
// or a message of the cell.
type message struct {
	status   int    // 27.005 clause 3.1 <stat>: 0 unread, 1 read, 2 unsent, 3 sent
	incoming bool   // DELIVER; otherwise SUBMIT
	peer     string // sender or recipient
	fo       byte
	pid, dcs byte
	vp       sms.Validity
	stamp    sms.Stamp // of an incoming one
	header   sms.Header
	text     string // 7-bit texts
	octets   []byte // what is not 7-bit, without the header

	report *report // it is a status report
	page   *page   // it is a page of a broadcast
}

// inSeptets says that the text is in the default alphabet.
func (t *message) inSeptets() bool { return !sms.ReadDCS(t.dcs).InOctets() }

// units counts what 27.005 calls <length>: septets or octets.
func (t *message) units() int {
	if t.inSeptets() {
		return len(septets(t.text))
	}
	return len(t.octets)
}

// firstOctet is <fo>; that of a report says STATUS-REPORT, nothing more waits
// (23.040 clause 9.2.2.3).
func (t *message) firstOctet() byte {
	if t.report == nil {
		return t.fo
	}
	if t.report.command {
		return 0x26
	}
	return 0x06
}

// The most a message carries, 23.040 clause 9.2.3.16.
const (
	maxSeptets = 160
	maxOctets  = 140
)

// body writes the text for the line: as characters when it is 7-bit and has no
// header, otherwise each octet of the user data in hex (27.005 clause 3.1 <data>).
func (m *Module) body(t *message) string {
	switch {
	case t.inSeptets() && len(t.header) == 0:
		return m.toTerminal(t.text)
	case len(t.header) == 0:
		return strings.ToUpper(hex.EncodeToString(t.octets))
	}
	pdu, _ := m.pdu(t)
	p, err := sms.Decode(pdu, !t.incoming)
	if err != nil {
		return ""
	}
	at, _ := p.At(sms.PartHeader)
	return pdu[2*at:]
}

// shown is what a handset would show: UCS2 octets as characters, 8-bit data
// as nothing (23.038 clause 4: no alphabet is defined for it).
func (t *message) shown() string {
	coding := sms.ReadDCS(t.dcs)
	switch {
	case t.inSeptets():
		return t.text
	case coding.Alphabet == sms.UCS2 && !coding.Compressed:
		return fromUCS2(t.octets)
	}
	return ""
}

// toUCS2 is the way back.
func toUCS2(text string) []byte {
	var octets []byte
	for _, u := range utf16.Encode([]rune(text)) {
		octets = append(octets, byte(u>>8), byte(u))
	}
	return octets
}

func fromUCS2(octets []byte) string {
	units := make([]uint16, len(octets)/2)
	for i := range units {
		units[i] = uint16(octets[2*i])<<8 | uint16(octets[2*i+1])
	}
	return string(utf16.Decode(units))
}

// compose makes a message of what was typed in text mode, under +CSMP and
// +CSCS (27.005 clauses 3.1 and 3.3.2).
func (m *Module) compose(to string, typed []byte) (message, reply) {
	fo, vp, pid, dcs := m.settings.csmp[0], m.settings.csmp[1], m.settings.csmp[2], m.settings.csmp[3]
	t := message{status: statusUnsent, peer: to, fo: byte(fo), pid: byte(pid), dcs: byte(dcs)}
	switch form := sms.ReadFirstOctet(t.fo, sms.ToNetwork); {
	case form.Kind != sms.KindSubmit:
		return t, cms(305) // only a SUBMIT can be sent
	case form.Validity == sms.FormRelative:
		t.vp = sms.ValidOctet(byte(vp))
	case form.Validity != sms.FormNone:
		return t, cms(305) // a number does not fit these forms
	}
	if t.fo&0x40 != 0 {
		return withHeader(t, typed)
	}
	if t.inSeptets() {
		text, fits := m.fromTerminal(string(typed))
		if !fits {
			return t, cms(305)
		}
		t.text = text
		if t.units() > maxSeptets {
			return t, cms(305)
		}
		return t, ok
	}
	// Octets are typed as pairs of hex digits. What is no hex is taken as it
	// is, as some modules do: that is how blank texts come about.
	octets, err := hex.DecodeString(string(typed))
	if err != nil {
		octets = append([]byte(nil), typed...)
	}
	t.octets = octets
	if len(octets) > maxOctets {
		return t, cms(305)
	}
	return t, ok
}

// fromPDU makes a message of a PDU that is to be sent. length is what the
// command said: octets behind the service centre part. ownCentre says that the
// PDU names a service centre of its own.
func fromPDU(typed []byte, length int) (t message, ownCentre bool, r reply) {
	p, err := sms.Decode(strings.TrimSpace(string(typed)), sms.ToNetwork)
	if err != nil || p.TPDUOctets != length || p.Kind != sms.KindSubmit {
		return message{}, false, cms(304) // 27.005 clause 3.2.5: wrong PDU-mode parameter
	}
	t = message{status: statusUnsent, peer: p.Address.String(), fo: p.First.Octet, pid: p.PID, dcs: p.Coding.DCS, vp: p.Validity, header: p.Data.Header, text: p.Data.Text, octets: p.Data.Octets}
	t.settle(&p)
	return t, !p.SMSC.IsZero(), ok
}

// settle leaves a message that was read with its text or its octets, not both.
func (t *message) settle(p *sms.PDU) {
	if t.inSeptets() {
		return
	}
	if t.octets == nil {
		t.octets = toUCS2(p.Data.Text)
	}
	t.text = "" // the octets say it
}

// withHeader makes a message of user data that was typed in hex, its header
// first: 27.005 clause 3.1 <data>, when <fo> announces a header.
func withHeader(t message, typed []byte) (message, reply) {
	octets, err := hex.DecodeString(string(typed))
	if err != nil || len(octets) > maxOctets {
		return t, cms(305)
	}
	length := len(octets)
	if t.inSeptets() {
		length = len(octets) * 8 / 7
	}
	// A DELIVER is the shortest frame in which the octets can be read.
	pdu := fmt.Sprintf("004402911100%02X%014d%02X%X", t.dcs, 0, length, octets)
	p, err := sms.Decode(pdu, sms.FromNetwork)
	if err != nil || len(p.Data.Header) == 0 {
		return t, cms(305)
	}
	t.header, t.text, t.octets = p.Data.Header, p.Data.Text, p.Data.Octets
	t.settle(&p)
	return t, ok
}

// arrivedPDU makes a message of a DELIVER that is written to the store: +CMGW
// with the status of a received text.
func arrivedPDU(typed []byte, length, status int) (t message, r reply) {
	p, err := sms.Decode(strings.TrimSpace(string(typed)), sms.FromNetwork)
	if err != nil || p.TPDUOctets != length || p.Kind != sms.KindDeliver {
		return message{}, cms(304)
	}
	t = message{status: status, incoming: true, peer: p.Address.String(), fo: p.First.Octet, pid: p.PID, dcs: p.Coding.DCS, stamp: p.Stamp, header: p.Data.Header, text: p.Data.Text, octets: p.Data.Octets}
	t.settle(&p)
	return t, ok
}

// pdu writes the message in hex, and the length that goes with it.
func (m *Module) pdu(t *message) (string, int) {
	switch {
	case t.page != nil:
		pdu := t.page.pdu()
		return pdu, len(pdu) / 2
	case t.report != nil:
		r := t.report
		pdu, length, err := sms.StatusReport{SMSC: sms.NewAddress(m.settings.centre), AboutCommand: r.command, Reference: r.reference, Recipient: sms.NewAddress(t.peer),
			Stamp: r.left, Discharge: r.done, Status: sms.Status(r.status)}.Encode()
		if err != nil {
			return "", 0
		}
		return pdu, length
	case t.incoming:
		d := sms.Deliver{SMSC: sms.NewAddress(m.settings.centre), From: sms.NewAddress(t.peer), PID: t.pid, DCS: t.dcs, Stamp: t.stamp, Header: t.header, Text: t.text, Octets: t.octets,
			StatusIndication: t.fo&0x20 != 0, ReplyPath: t.fo&0x80 != 0}
		return inOctets(t, &d.DCS, func() (string, int, error) { return d.Encode() }, sms.FromNetwork)
	}
	s := sms.Submit{To: sms.NewAddress(t.peer), PID: t.pid, DCS: t.dcs, Validity: t.vp, Header: t.header, Text: t.text, Octets: t.octets,
		StatusRequest: t.fo&0x20 != 0, RejectDuplicates: t.fo&0x04 != 0, ReplyPath: t.fo&0x80 != 0}
	return inOctets(t, &s.DCS, func() (string, int, error) { return s.Encode() }, sms.ToNetwork)
}

// inOctets encodes a message whose octets need not be good text: it is written
// as 8-bit data, and the coding it really has is put in afterwards.
func inOctets(t *message, dcs *byte, encode func() (string, int, error), toNetwork bool) (string, int) {
	if !t.inSeptets() {
		*dcs = 4 // 8-bit data, 23.038 clause 4
	}
	pdu, length, err := encode()
	if err != nil {
		return "", 0
	}
	if t.inSeptets() || t.dcs == 4 {
		return pdu, length
	}
	p, err := sms.Decode(pdu, toNetwork)
	if err != nil {
		return "", 0
	}
	at, _ := p.At(sms.PartDCS)
	return pdu[:2*at] + fmt.Sprintf("%02X", t.dcs) + pdu[2*at+2:], length
}
