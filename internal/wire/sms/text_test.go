package sms

import (
	"errors"
	"strings"
	"testing"

	"firstfix/internal/maybe"

	"pgregory.net/rapid"
)

// TestMeasure: limits of TS 23.040 clauses 9.2.3.16, 9.2.3.24 and 9.2.3.24.1 (160,
// 153, 70, 67) and the trade's usual traps.
func TestMeasure(t *testing.T) {
	for _, c := range []struct {
		name, text                              string
		dcs                                     byte
		units, parts, perPart, left, ext, pairs int
		foreign                                 string
	}{
		{"empty", "", 0, 0, 1, 160, 160, 0, 0, ""},
		{"full", strings.Repeat("a", 160), 0, 160, 1, 160, 0, 0, 0, ""},
		{"one more", strings.Repeat("a", 161), 0, 161, 2, 153, 145, 0, 0, ""},
		{"two full parts", strings.Repeat("a", 306), 0, 306, 2, 153, 0, 0, 0, ""},
		{"three parts", strings.Repeat("a", 307), 0, 307, 3, 153, 152, 0, 0, ""},
		{"signs that cost two", "{[€]}", 0, 10, 1, 160, 150, 5, 0, ""},
		{"a pair is not cut", strings.Repeat("a", 152) + "€" + strings.Repeat("a", 20), 0, 174, 2, 153, 131, 1, 0, ""},
		{"one degree sign makes 70 of 160", "Trailer 07: 21 °C", 8, 17, 1, 70, 53, 0, 0, "°"},
		{"full UCS2", strings.Repeat("я", 70), 8, 70, 1, 70, 0, 0, 0, "я"},
		{"UCS2, one more", strings.Repeat("я", 71), 8, 71, 2, 67, 63, 0, 0, "я"},
		{"small c with cedilla is foreign", "façade", 8, 6, 1, 70, 64, 0, 0, "ç"},
		{"a pair of units", "ok 😀", 8, 5, 1, 70, 65, 0, 1, "😀"},
		{"a surrogate pair is not cut", strings.Repeat("я", 66) + "😀ab", 8, 70, 1, 70, 0, 0, 1, "я😀"},
		{"a surrogate pair is not cut in two parts", strings.Repeat("я", 66) + "😀abc", 8, 71, 2, 67, 62, 0, 1, "я😀"},
	} {
		f := Measure(c.text)
		if f.DCS != c.dcs || f.Units != c.units || f.Parts != c.parts || f.PerPart != c.perPart || f.Left != c.left ||
			f.Extension != c.ext || f.Surrogates != c.pairs || string(f.Foreign) != c.foreign {
			t.Errorf("%s: %+v", c.name, f)
		}
	}
}

// TestNationalTablesSaveMessages: 150 Turkish letters are three messages of UCS2 or
// one with the single shift table (A.2.1), if the receiver knows it.
func TestNationalTablesSaveMessages(t *testing.T) {
	text := strings.Repeat("Işık yandı. ", 12)
	if f := Measure(text); f.DCS != 8 || f.Parts != 3 {
		t.Errorf("without: %+v", f)
	}
	f := MeasureWith(text, Options{National: true})
	if f.DCS != 0 || f.Parts >= 3 || f.Shift == (Shift{}) {
		t.Fatalf("with: %+v", f)
	}
	pieces, err := Split(text, Options{National: true})
	if err != nil || len(pieces) != f.Parts {
		t.Fatalf("%d pieces, %v", len(pieces), err)
	}
	if got := textOf(t, pieces); got != text {
		t.Errorf("%q", got)
	}
	if f := MeasureWith("plain", Options{National: true}); f.Shift != (Shift{}) {
		t.Errorf("a plain text needs no table: %+v", f)
	}
	if f := MeasureWith("short ş", Options{National: true}); f.DCS != 8 {
		t.Errorf("no message is saved, so no table is risked: %+v", f)
	}
}

// textOf sends pieces through the wire and joins them again.
func textOf(t interface{ Fatalf(string, ...any) }, pieces []Piece) string {
	r := NewReassembler(1)
	var out []Joined
	for _, piece := range pieces {
		hex, _, err := Deliver{From: NewAddress("+12025550143"), DCS: piece.DCS, Header: piece.Header, Text: piece.Text}.Encode()
		if err != nil {
			t.Fatalf("%v", err)
		}
		p, err := Decode(hex, FromNetwork)
		if err != nil || len(p.Notes) > 0 && !strings.Contains(p.Notes[0].Text, "surrogate pairs") {
			t.Fatalf("%s: %v %v", hex, err, p.Notes)
		}
		out = r.Feed(0, p, out)
	}
	if len(out) != 1 || !out[0].Complete() || out[0].Total != len(pieces) {
		t.Fatalf("joined: %+v", out)
	}
	return out[0].Text
}

// TestSplitRoundTrip: any text, any options: the parts fit, carry the same
// reference, are as many as measured, and make the text again.
func TestSplitRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(
			rapid.StringOfN(rapid.SampledFrom([]rune("abc 123€{}[]@")), 1, 900, -1),
			rapid.StringOfN(rapid.SampledFrom([]rune("abя😀°şğıİ €")), 1, 400, -1),
		).Draw(t, "text")
		o := Options{Wide: anyBool(t, "wide"), National: anyBool(t, "national"), ForceUCS2: anyBool(t, "ucs2"), Reference: rapid.IntRange(0, 255).Draw(t, "reference")}
		if anyBool(t, "has class") {
			o.Class = maybe.Known(rapid.IntRange(0, 3).Draw(t, "class"))
		}
		if anyBool(t, "ports") {
			o.Header = Header{PortsElement(2948, 9200)}
		}
		pieces, err := Split(text, o)
		if err != nil {
			t.Fatal(err)
		}
		f := MeasureWith(text, o)
		if len(pieces) != f.Parts {
			t.Fatalf("%d pieces, measured %+v", len(pieces), f)
		}
		for i, piece := range pieces {
			if piece.DCS != f.DCS || ReadDCS(piece.DCS).Class != o.Class {
				t.Fatalf("piece %d: dcs %d, class %v", i, piece.DCS, o.Class)
			}
			if c, ok := piece.Header.Concat(); ok != (len(pieces) > 1) || ok && (c != Concat{Reference: o.Reference, Wide: o.Wide, Total: len(pieces), Part: i + 1}) {
				t.Fatalf("piece %d: %+v", i, c)
			}
			if to, _, ok := piece.Header.Ports(); ok != (o.Header != nil) || ok && to != 2948 {
				t.Fatalf("piece %d: ports %v", i, to)
			}
		}
		if got := textOf(t, pieces); got != text {
			t.Fatalf("%q", got)
		}
	})
}

func TestSplitLimits(t *testing.T) {
	var value *ValueError
	if _, err := Split(strings.Repeat("a", 153*255+1), Options{}); !errors.As(err, &value) {
		t.Errorf("256 parts: %v", err)
	}
	if pieces, err := Split(strings.Repeat("a", 153*255), Options{}); err != nil || len(pieces) != 255 {
		t.Errorf("255 parts: %d, %v", len(pieces), err)
	}
	if _, err := Split(strings.Repeat("a", 200), Options{Reference: 256}); !errors.As(err, &value) {
		t.Errorf("reference 256 in one octet: %v", err)
	}
	if _, err := Split(strings.Repeat("a", 200), Options{Reference: 256, Wide: true}); err != nil {
		t.Errorf("reference 256 in two octets: %v", err)
	}
	if _, err := Compose(Submit{}, "INFO", "hello", Options{}); !errors.As(err, &value) {
		t.Errorf("to a name: %v", err)
	}
	out, err := Compose(Submit{StatusRequest: true}, "+44 7700 900123", strings.Repeat("a", 200), Options{Reference: 7})
	if err != nil || len(out) != 2 || out[1].To.String() != "+447700900123" || !out[1].StatusRequest {
		t.Errorf("%+v %v", out, err)
	}
}

// TestUCS2HeaderOfOddLength: with a header of odd length the user data is 139 octets
// at most (TS 23.040 clause 9.2.3.24.1), so 66 units fit beside a 16-bit reference.
func TestUCS2HeaderOfOddLength(t *testing.T) {
	f := MeasureWith(strings.Repeat("я", 71), Options{Wide: true})
	if f.PerPart != 66 {
		t.Errorf("%d units per part", f.PerPart)
	}
}
