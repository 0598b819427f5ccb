package sms

import (
	"reflect"
	"testing"

	"firstfix/internal/maybe"

	"pgregory.net/rapid"
)

// This file draws messages of every kind, writes and reads them: what comes back is
// what went in.

func anyByte(t *rapid.T, label string) byte { return rapid.Byte().Draw(t, label) }

func anyBool(t *rapid.T, label string) bool { return rapid.Bool().Draw(t, label) }

func anyAddress(t *rapid.T) Address {
	if rapid.IntRange(0, 3).Draw(t, "kind of address") == 0 {
		return Address{Type: TypeName, Number: rapid.StringOfN(rapid.SampledFrom([]rune(slowAlphabet[:26]+"Farm07")), 1, 11, -1).
			Filter(func(s string) bool { n, bad := Shift{}.AppendSeptets(nil, s); return bad < 0 && len(n) <= 11 }).Draw(t, "name")}
	}
	kind := rapid.SampledFrom([]byte{TypeInternational, TypeUnknown, TypeNational, 0xC8, 0xB1}).Draw(t, "type")
	return Address{Type: kind, Number: rapid.StringMatching(`[0-9*#abc]{0,20}`).Draw(t, "digits")}
}

func anySMSC(t *rapid.T) Address {
	if anyBool(t, "own service centre") {
		return Address{}
	}
	return Address{Type: TypeInternational, Number: rapid.StringMatching(`[0-9]{0,20}`).Draw(t, "service centre")}
}

// anyStamp draws seven octets of which each half is a digit, date or not.
func anyStamp(t *rapid.T, label string) Stamp {
	d := rapid.SliceOfN(rapid.IntRange(0, 99), 6, 6).Draw(t, label)
	return NewStamp(d[0], d[1], d[2], d[3], d[4], d[5], rapid.IntRange(-79, 79).Draw(t, label+" zone"))
}

func anyHeader(t *rapid.T, s Shift) Header {
	h := ShiftElements(s)
	for range rapid.IntRange(0, 3).Draw(t, "elements") {
		id := rapid.ByteRange(0, 255).Filter(func(b byte) bool { return b != ElementSingle && b != ElementLocking }).Draw(t, "id")
		e := Element{ID: id}
		if data := rapid.SliceOfN(rapid.Byte(), 0, 12).Draw(t, "element"); len(data) > 0 {
			e.Data = data
		}
		h = append(h, e)
	}
	if len(h) == 0 {
		return nil
	}
	return h
}

// anyBody draws data coding, header and what fits behind it.
func anyBody(t *rapid.T) (dcs byte, h Header, text string, octets []byte) {
	dcs = anyByte(t, "dcs")
	coding := ReadDCS(dcs)
	var shift Shift
	if !coding.InOctets() {
		shift = anyShift(t)
	}
	h = anyHeader(t, shift)
	size := h.size()
	switch {
	case coding.Compressed || coding.ReadAs() == Data8:
		octets = rapid.SliceOfN(rapid.Byte(), 0, maxUserOctets-size).Draw(t, "octets")
		if len(octets) == 0 {
			octets = nil
		}
	case coding.ReadAs() == UCS2:
		text = cutTo(rapid.String().Draw(t, "text"), plan{}, (maxUserOctets-size)/2)
	default:
		main, single := shift.tables()
		text = cutTo(textIn(t, shift, 170), plan{main: main, shift: single}, maxUserSeptets-headSeptets(size))
	}
	return dcs, h, text, octets
}

func cutTo(text string, p plan, room int) string {
	n, _ := p.next(text, room)
	return text[:n]
}

func anyOptional(t *rapid.T) Optional {
	var o Optional
	if anyBool(t, "has pid") {
		o.PID = maybe.Known(anyByte(t, "pid"))
	}
	if !anyBool(t, "has data") {
		return o
	}
	var dcs byte
	dcs, o.Header, o.Text, o.Octets = anyBody(t)
	o.DCS, o.Data = maybe.Known(dcs), true
	return o
}

func anyCause(t *rapid.T) maybe.Value[Cause] {
	if anyBool(t, "refused") {
		return maybe.Known(Cause(rapid.ByteRange(0x80, 0xFF).Draw(t, "cause")))
	}
	return maybe.Value[Cause]{}
}

// encoded is any of the six messages.
type encoded interface {
	Encode() (hex string, tpduOctets int, err error)
}

// backAndForth writes m, reads it and compares; again returns what was read. The
// octets that +CMGS counts must agree.
func backAndForth[M encoded](t *rapid.T, m M, toNetwork, withSMSC bool, again func(*PDU) (M, bool)) {
	hex, octets, err := m.Encode()
	if err != nil {
		t.Fatalf("%+v: %v", m, err)
	}
	read := Decode
	if !withSMSC {
		read = DecodeTPDU
	}
	p, err := read(hex, toNetwork)
	if err != nil {
		t.Fatalf("%s: %v", hex, err)
	}
	if p.TPDUOctets != octets {
		t.Fatalf("%s: %d octets counted, %d read", hex, octets, p.TPDUOctets)
	}
	got, ok := again(&p)
	if !ok || !reflect.DeepEqual(got, m) {
		t.Fatalf("%s\nwrote %+v\nread  %+v\nnotes %v", hex, m, got, p.Notes)
	}
	checkAnatomy(t, &p, hex, err)
}

func TestSubmitRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Submit{
			SMSC: anySMSC(t), RejectDuplicates: anyBool(t, "rd"), StatusRequest: anyBool(t, "srr"), ReplyPath: anyBool(t, "rp"),
			Reference: anyByte(t, "mr"), To: anyAddress(t), PID: anyByte(t, "pid"),
		}
		m.Validity.Form = ValidityForm(rapid.IntRange(0, 3).Draw(t, "form"))
		copy(m.Validity.Octets[:m.Validity.Form.octets()], rapid.SliceOfN(rapid.Byte(), 7, 7).Draw(t, "vp"))
		m.DCS, m.Header, m.Text, m.Octets = anyBody(t)
		backAndForth(t, m, ToNetwork, true, (*PDU).Submit)
	})
}

func TestDeliverRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Deliver{
			SMSC: anySMSC(t), MoreMessages: anyBool(t, "mms"), LoopPrevention: anyBool(t, "lp"), StatusIndication: anyBool(t, "sri"),
			ReplyPath: anyBool(t, "rp"), From: anyAddress(t), PID: anyByte(t, "pid"), Stamp: anyStamp(t, "scts"),
		}
		m.DCS, m.Header, m.Text, m.Octets = anyBody(t)
		backAndForth(t, m, FromNetwork, true, (*PDU).Deliver)
	})
}

func TestReportsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		backAndForth(t, DeliverReport{Cause: anyCause(t), Optional: anyOptional(t)}, ToNetwork, false, (*PDU).DeliverReport)
		backAndForth(t, SubmitReport{Cause: anyCause(t), Stamp: anyStamp(t, "scts"), Optional: anyOptional(t)}, FromNetwork, false, (*PDU).SubmitReport)
	})
}

func TestStatusReportRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		backAndForth(t, StatusReport{
			SMSC: anySMSC(t), MoreMessages: anyBool(t, "mms"), LoopPrevention: anyBool(t, "lp"), AboutCommand: anyBool(t, "srq"),
			Reference: anyByte(t, "mr"), Recipient: anyAddress(t), Stamp: anyStamp(t, "scts"), Discharge: anyStamp(t, "dt"),
			Status: Status(anyByte(t, "st")), Optional: anyOptional(t),
		}, FromNetwork, true, (*PDU).StatusReport)
	})
}

func TestCommandRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Command{
			SMSC: anySMSC(t), StatusRequest: anyBool(t, "srr"), Reference: anyByte(t, "mr"), PID: anyByte(t, "pid"),
			Type: CommandType(anyByte(t, "ct")), Number: anyByte(t, "mn"), To: anyAddress(t), Header: anyHeader(t, Shift{}),
		}
		if o := rapid.SliceOfN(rapid.Byte(), 0, maxCommandOctets-m.Header.size()).Draw(t, "cd"); len(o) > 0 {
			m.Octets = o
		}
		backAndForth(t, m, ToNetwork, true, (*PDU).Command)
	})
}

// checkAnatomy: the fields name every octet once, in order.
func checkAnatomy(t interface{ Fatalf(string, ...any) }, p *PDU, hex string, err error) {
	at, octets := 0, ""
	for _, f := range p.Anatomy(err) {
		if f.At != at || f.Length == 0 || f.Name == "" || f.Clause == "" {
			t.Fatalf("%s: field %+v where octet %d is due", hex, f, at)
		}
		at += f.Length
		octets += f.Octets
	}
	if at != p.Octets || len(octets) != 2*p.Octets {
		t.Fatalf("%s: %d octets named of %d", hex, at, p.Octets)
	}
}
