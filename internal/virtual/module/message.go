package module

import (
	"encoding/hex"
	"fmt"
	"strings"
	"unicode/utf16"

	"firstfix/internal/wire/sms"
)

// message is a text as the module and the network keep it.
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

// The most a message carries, 23.040 clause 9.2.3.16.
const (
	maxSeptets = 160
	maxOctets  = 140
)

// body writes the text for the line: as characters when it is 7-bit and has no
// header, otherwise in hex (27.005 clause 3.1 <data>).
func (m *Module) body(t *message) string {
	if t.inSeptets() && len(t.header) == 0 {
		return m.toTerminal(t.text)
	}
	if t.inSeptets() {
		return strings.ToUpper(hex.EncodeToString(septets(t.text)))
	}
	return strings.ToUpper(hex.EncodeToString(t.octets))
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
	t := message{status: 2, peer: to, fo: byte(fo), pid: byte(pid), dcs: byte(dcs)}
	switch form := sms.ReadFirstOctet(t.fo, sms.ToNetwork); {
	case form.Kind != sms.KindSubmit, form.HasHeader:
		return t, cms(305) // only a SUBMIT can be sent; headers are for PDU mode here
	case form.Validity == sms.FormRelative:
		t.vp = sms.ValidOctet(byte(vp))
	case form.Validity != sms.FormNone:
		return t, cms(305) // a number does not fit these forms
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
	t = message{status: 2, peer: p.Address.String(), fo: p.First.Octet, pid: p.PID, dcs: p.Coding.DCS, vp: p.Validity, header: p.Data.Header, text: p.Data.Text, octets: p.Data.Octets}
	if !t.inSeptets() && t.octets == nil {
		for _, u := range utf16.Encode([]rune(p.Data.Text)) {
			t.octets = append(t.octets, byte(u>>8), byte(u))
		}
	}
	if !t.inSeptets() {
		t.text = "" // the octets say it
	}
	return t, !p.SMSC.IsZero(), ok
}

// pdu writes the message in hex, and the length that goes with it.
func (m *Module) pdu(t *message) (string, int) {
	if t.incoming {
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
