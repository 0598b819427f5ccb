package sms

import (
	"strings"
	"testing"
	"time"
)

// TestDCS compares schemes with the table of TS 23.038 clause 4, group by group.
func TestDCS(t *testing.T) {
	for _, c := range []struct {
		dcs       int
		alphabet  Alphabet
		class     int // -1: none
		autoClear bool
		says      string
	}{
		{0x00, Default7, -1, false, "default 7-bit alphabet"},
		{0x01, Default7, -1, false, "default 7-bit alphabet"}, // bits 1..0 are reserved while bit 4 is 0
		{0x04, Data8, -1, false, "8-bit data"},
		{0x08, UCS2, -1, false, "UCS2"},
		{0x0C, Reserved, -1, false, "reserved alphabet"},
		{0x10, Default7, 0, false, "flash"},
		{0x11, Default7, 1, false, "kept in the device"},
		{0x12, Default7, 2, false, "kept on the card"},
		{0x13, Default7, 3, false, "external terminal"},
		{0x14, Data8, 0, false, "flash"},
		{0x18, UCS2, 0, false, "UCS2, class 0"},
		{0x20, Default7, -1, false, "compressed"},
		{0x40, Default7, -1, true, "deleted after reading"},
		{0x5A, UCS2, 2, true, "UCS2, class 2"},
		{0x80, Reserved, -1, false, "read as the default one"},
		{0xBF, Reserved, -1, false, "read as the default one"},
		{0xC8, Default7, -1, false, "message waiting: voice mail on, the text may be thrown away"},
		{0xC1, Default7, -1, false, "message waiting: fax off, the text may be thrown away"},
		{0xDA, Default7, -1, false, "message waiting: electronic mail on"},
		{0xE3, UCS2, -1, false, "message waiting: other off"},
		{0xF0, Default7, 0, false, "flash"},
		{0xF2, Default7, 2, false, "kept on the card"},
		{0xF5, Data8, 1, false, "8-bit data, class 1"},
		{0xF6, Data8, 2, false, "8-bit data, class 2"},
	} {
		got := ReadDCS(byte(c.dcs))
		if got.Alphabet != c.alphabet || got.Class.Or(-1) != c.class || got.AutoDelete != c.autoClear || !strings.Contains(got.Text, c.says) || got.DCS != byte(c.dcs) {
			t.Errorf("0x%02X: %+v", c.dcs, got)
		}
		// The compression bit exists in the groups 00xx and 01xx only.
		if want := c.dcs < 0x80 && c.dcs&0x20 != 0; got.Compressed != want {
			t.Errorf("0x%02X: compressed %v", c.dcs, got.Compressed)
		}
	}
	if n := testing.AllocsPerRun(10, func() { ReadDCS(0xC8) }); n > 0 {
		t.Errorf("%v allocations for a coding", n)
	}
}

// TestFirstOctet: the bits of TS 23.040 clauses 9.2.2.1 to 9.2.2.4.
func TestFirstOctet(t *testing.T) {
	for _, c := range []struct {
		fo        byte
		toNetwork bool
		kind      Kind
		says      string // all words
	}{
		{0x11, true, KindSubmit, "SUBMIT: a message to send; relative validity period (1 octet)"},
		{0x01, true, KindSubmit, "SUBMIT: a message to send; no validity period"},
		{0x19, true, KindSubmit, "SUBMIT: a message to send; absolute validity period (7 octets)"},
		{0x09, true, KindSubmit, "SUBMIT: a message to send; enhanced validity period (7 octets)"},
		{0xF5, true, KindSubmit, "SUBMIT: a message to send; relative validity period (1 octet); a copy with the same reference and destination is rejected; a status report is asked for; the user data begins with a header; an answer may go through the same service centre"},
		{0x04, false, KindDeliver, "DELIVER: a message that arrives"},
		{0x00, false, KindDeliver, "DELIVER: a message that arrives; more messages wait at the service centre"},
		{0xEC, false, KindDeliver, "DELIVER: a message that arrives; it was forwarded automatically: do not forward or answer by machine; the sender gets a status report; the user data begins with a header; an answer may go through the same service centre"},
		{0x07, false, KindDeliver, "DELIVER: a message that arrives; message type 11 is reserved"},
		{0x06, false, KindStatusReport, "STATUS-REPORT: what became of a message"},
		{0x26, false, KindStatusReport, "STATUS-REPORT: what became of a message; it answers a COMMAND"},
		{0x00, true, KindDeliverReport, "DELIVER-REPORT: the device's word on a message that arrived"},
		{0x01, false, KindSubmitReport, "SUBMIT-REPORT: the network's word on a message sent"},
		{0x22, true, KindCommand, "COMMAND: an order about a message sent earlier; a status report is asked for"},
		{0x03, true, KindUnknown, "reserved message type; message type 11 is reserved"},
	} {
		got := ReadFirstOctet(c.fo, c.toNetwork)
		if got.Kind != c.kind || got.String() != c.says || got.Octet != c.fo {
			t.Errorf("0x%02X to network %v: %v %q", c.fo, c.toNetwork, got.Kind, got)
		}
	}
}

// TestEveryOctetHasWords: no value of an octet is left without a meaning, and the
// clauses' landmarks say what they should.
func TestEveryOctetHasWords(t *testing.T) {
	for i := range 256 {
		b := byte(i)
		for what, words := range map[string]string{
			"pid": ReadPID(b), "status": Status(b).String(), "cause": Cause(b).String(), "order": CommandType(b).String(),
			"element": Element{ID: b}.Name(), "coding": ReadDCS(b).Text, "validity": ValidOctet(b).String(),
			"address": Address{Type: b}.TypeWords(), "first octet": ReadFirstOctet(b, FromNetwork).String(),
		} {
			if words == "" || strings.HasPrefix(words, "0x") {
				t.Errorf("%s 0x%02X: %q", what, i, words)
			}
		}
	}
	for _, c := range []struct{ got, want string }{
		{ReadPID(0x00), "ordinary message"}, // TS 23.040 clause 9.2.3.9
		{ReadPID(0x20), "conversion to a kind of device the service centre chooses"},
		{ReadPID(0x33), "a reserved conversion"},
		{ReadPID(0x40), "type 0: acknowledged and thrown away, never shown"},
		{ReadPID(0x47), "replaces an older message of type 7 from the same sender"},
		{ReadPID(0x5F), "return call message"},
		{ReadPID(0x7F), "data download to the card"},
		{Status(0x00).String(), "delivered"}, // clause 9.2.3.15
		{Status(0x30).String(), "still trying; value of the service centre"},
		{Status(0x46).String(), "failed for good: validity period over"},
		{Status(0x62).String(), "given up: no answer from the recipient"},
		{Cause(0xD0).String(), "the card's message store is full"}, // clause 9.2.3.22
		{Cause(0xC5).String(), "rejected as a duplicate"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	for s, want := range map[Status][2]bool{0x00: {true, false}, 0x02: {true, false}, 0x20: {false, true}, 0x3F: {false, true}, 0x40: {false, false}, 0x60: {false, false}} {
		if s.Delivered() != want[0] || s.Trying() != want[1] {
			t.Errorf("status 0x%02X: delivered %v trying %v", byte(s), s.Delivered(), s.Trying())
		}
	}
}

// TestRelativeForIsTheShortestThatFits follows from clause 9.2.3.12.1: periods grow
// with the octet.
func TestRelativeForIsTheShortestThatFits(t *testing.T) {
	for vp := 1; vp < 256; vp++ {
		if ValidityRelative(byte(vp)) <= ValidityRelative(byte(vp-1)) {
			t.Fatalf("vp %d does not grow", vp)
		}
		if got := RelativeFor(ValidityRelative(byte(vp-1)) + time.Second); got != byte(vp) {
			t.Errorf("a second more than vp %d is %d", vp-1, got)
		}
	}
	if RelativeFor(0) != 0 || RelativeFor(1000*week) != 255 {
		t.Error("the ends are not held")
	}
}

// TestStamps: dates that are none, and the years of two digits.
func TestStamps(t *testing.T) {
	for _, c := range []struct {
		s    Stamp
		want string
	}{
		{NewStamp(26, 3, 4, 10, 15, 30, 4), "2026-03-04 10:15:30 +01:00"},
		{NewStamp(69, 1, 1, 0, 0, 0, 0), "2069-01-01 00:00:00 +00:00"},
		{NewStamp(70, 1, 1, 0, 0, 0, 0), "1970-01-01 00:00:00 +00:00"},
		{NewStamp(24, 2, 29, 0, 0, 0, -14), "2024-02-29 00:00:00 -03:30"},
		{NewStamp(26, 2, 29, 0, 0, 0, 0), "no date (62209200000000)"},
		{Stamp{}, "no date (00000000000000)"},
		{Stamp{0xFF}, "no date (FF000000000000)"},
	} {
		if got := c.s.String(); got != c.want {
			t.Errorf("%X: %q, want %q", c.s[:], got, c.want)
		}
	}
	for _, text := range []string{"", "26/03/04", "26/03/04,10:15:3x+04", "26/03/04 10:15:30+04", "26/03/04,10:15:30*04", "26/03/04,10:15:30+84"} {
		if s, ok := ParseTextMode(text); ok {
			t.Errorf("%q is read as %v", text, s)
		}
	}
	if s, ok := ParseTextMode("26/03/04,10:15:30"); !ok || s.String() != "2026-03-04 10:15:30 +00:00" {
		t.Errorf("without a zone: %v %v", s, ok)
	}
}

// TestValidityMade: the three forms as they are asked for (clause 9.2.3.12).
func TestValidityMade(t *testing.T) {
	until := NewStamp(26, 3, 4, 10, 15, 30, 4)
	for _, c := range []struct {
		v    Validity
		want string
	}{
		{ValidFor(day), "24 h"}, {ValidFor(time.Minute), "5 min"}, {ValidFor(25 * hour), "2 days"}, {ValidFor(5 * week), "5 weeks"},
		{ValidUntil(until), "until 2026-03-04 10:15:30 +01:00"},
		{ValidClock(1, 0, 0, true), "1 h, one try only"},
		{Validity{Form: FormEnhanced, Octets: [7]byte{0x40}}, "none given, one try only"},
		{Validity{Form: FormEnhanced, Octets: [7]byte{0x02}}, "a reserved form (0x02 0x00)"},       // 0 seconds are reserved
		{Validity{Form: FormEnhanced, Octets: [7]byte{0x81, 0x00, 0xA7}}, "24 h"},                  // an extension octet follows the first
		{Validity{Form: FormEnhanced, Octets: [7]byte{0x03, 0xFF}}, "a reserved form (0x03 0xFF)"}, // no digits
		{Validity{}, "none given"},
	} {
		if got := c.v.String(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.v, got, c.want)
		}
	}
}
