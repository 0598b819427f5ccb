package report

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"firstfix/internal/wire/sms"
)

// TestStripText: the drawing of a short message, worked by hand.
func TestStripText(t *testing.T) {
	fields := sms.Anatomy("0001000491361900000131", sms.ToNetwork) // one letter to +6391
	want := "    0  00 01 00 04 91 36 19 00 00 01 31\n" +
		"       a  b  c  d  e  f──── g  h  i  j\n"
	if got := StripText(fields); got != want {
		t.Errorf("drawn\n%s\nwant\n%s", got, want)
	}
	if label(25) != "z" || label(26) != "aa" || label(27) != "ab" || label(52) != "ba" {
		t.Errorf("labels %s %s %s %s", label(25), label(26), label(27), label(52))
	}
}

// TestStripHTML: the fragment is well-formed, needs nothing loaded, has every octet, and hides
// what is private when it is asked to.
func TestStripHTML(t *testing.T) {
	const hex = "0051000B912120550541F30008A78C0500033302010069007420190073"
	given := hex + strings.Repeat("0041", 63)
	p, err := sms.Decode(given, sms.ToNetwork)
	if err != nil {
		t.Fatal(err)
	}
	for _, hide := range []bool{false, true} {
		fields := p.Anatomy(nil)
		if hide {
			fields = HideFields(fields, func(*sms.Field) string { return "hidden" })
		}
		got := StripHTML(fields)
		octets := 0
		inText := false
		d := xml.NewDecoder(strings.NewReader(got))
		for {
			token, err := d.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("%v in %s", err, got)
			}
			switch token := token.(type) {
			case xml.StartElement:
				inText = token.Name.Local == "text"
				for _, a := range token.Attr {
					if a.Name.Local == "href" || a.Name.Local == "src" {
						t.Errorf("it loads %s", a.Value)
					}
					if a.Name.Local == "text-anchor" && a.Value == "middle" {
						octets++
					}
				}
			case xml.CharData:
				if inText && hide && strings.Contains(string(token), "55") {
					t.Errorf("an octet of the number is shown: %s", token)
				}
			}
		}
		if octets != len(given)/2 {
			t.Errorf("%d octets of %d are drawn", octets, len(given)/2)
		}
		if shown := strings.Contains(got, "2025550143") || strings.Contains(got, "AAAA"); shown == hide {
			t.Errorf("hide %v, but shown %v", hide, shown)
		}
		for _, bad := range []string{"<script", "http://www.w3.org/1999", "url(", "@import"} {
			if strings.Contains(got, bad) {
				t.Errorf("it holds %s", bad)
			}
		}
	}
	evil := []sms.Field{{At: 0, Length: 1, Octets: "00", Name: "<b>", Value: "</svg><script>alert(1)</script>", Meaning: "\x00\xff"}}
	if got := StripHTML(evil); strings.Contains(got, "<script>") || strings.Contains(got, "\x00") {
		t.Errorf("not escaped: %s", got)
	}
}

// FuzzStrip: whatever the octets, drawing them ends, and hidden fields show no digit of theirs.
func FuzzStrip(f *testing.F) {
	for _, s := range []string{"0011000B916407281553F80000AA0AE8329BFD4697D9EC37", "07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37", "061804913619111011719551401110117195714000", "0051000B912120550541F30008A78C0500033302010069", "0", "zz"} {
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, s string, out bool) {
		fields := sms.Anatomy(s, out)
		for _, shown := range [][]sms.Field{fields, HideFields(fields, func(*sms.Field) string { return "" })} {
			StripText(shown)
			if got := StripHTML(shown); strings.Contains(got, "\x00") {
				t.Errorf("%q: %q", s, got)
			}
		}
		for i, h := range HideFields(fields, func(*sms.Field) string { return "" }) {
			if fields[i].Private() && strings.ContainsAny(h.Octets+h.Value, "0123456789ABCDEF") {
				t.Errorf("%q: field %d, %s, shows %q %q", s, i, h.Name, h.Octets, h.Value)
			}
		}
	})
}
