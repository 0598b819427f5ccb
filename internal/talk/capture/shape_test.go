package capture

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// The texts are made up; coordinates are of invented places.
func TestBody(t *testing.T) {
	p := NewPrivacy()
	for _, c := range []struct{ in, want string }{
		{"trailer 07 battery low\x1a", "xxxxxxx 00 xxxxxxx xxx\x1a"},
		{"Trailer 07 at 51.71021,-0.30736\x1a", "Xxxxxxx 00 xx 51.71021,-0.30736\x1a"},
		{"T07 5142.6126,N,00018.4416,W ok", "X00 5142.6126,N,00018.4416,W xx"},
		{"N51.71021 W0.30736", "N51.71021 W0.30736"},
		{"51.71021N 0.30736 W", "51.71021N 0.30736 W"},
		{"51.7 North of 3.5 eggs", "51.7 Xxxxx xx 3.5 xxxx"},
		{"see geo:51.71021,-0.30736 or https://maps.example/?q=51.71021,-0.30736", "xxx geo:51.71021,-0.30736 xx https://xxxx.xxxxxxx/?x=51.71021,-0.30736"},
		{"lat: 51.7 lon: -0.3", "lat: 51.7 lon: -0.3"},
		{"Lat: ? Lon: %f", "Lat: ? Lon: %x"},
		{"call +447700900123 or 12025550143", "xxxx +000000000000 xx 00000000000"},
		{"host 192.168.10.20 since 4.03.2026", "xxxx 000.000.00.00 xxxxx 0.00.0000"},
		{"1234567.5 and 51.7.", "0000000.0 xxx 51.7."},
		{"$GPRMC,101530.00,A,5142.61260,N,00018.44160,W,0.012,,040326,,,A*6F", "$GPRMC,101530.00,A,5142.61260,N,00018.44160,W,0.012,,040326,,,A*6F"},
		{"$HELLO,SECRET,12", "$XXXXX,XXXXXX,00"},
		{"AlarmAT+CMGS=\"+12025550144\"\rAlarm again", "XxxxxAT+CMGS=\"+00000000000\"\rXxxxx xxxxx"},
		{"lowAT+CMGF=1\rAT+CSMP=17,167,0,0\r", "xxxAT+CMGF=1\rAT+CSMP=17,167,0,0\r"},
		{"AT+CPIN=1234", "AT+CPIN=0000"},
		{"\rAT\r", "\rAT\r"},
		{"ATTENTION AT HOME", "XXXXXXXXX XX XXXX"},
		{"the end^Z", "xxx xxx^Z"},
		{"Größe 5 °C, 3 €", "Xxxxx 0 °X, 0 €"},
		{"\xe4\xf6 \u0447\u0430\u0441 \U0001f69c", "xx xxx x"},
		{"00480069", "00000000"},
		{"07917283010010F5040BC87238880900F1\x1a", "pdu-1\x1a"},
		{"", ""},
	} {
		got := p.Body(c.in)
		if got != c.want {
			t.Errorf("Body(%q)\n got  %q\n want %q", c.in, got, c.want)
		}
	}
	if got := p.Body("at 51 42 36N now", [2]int{3, 12}); got != "xx 51 42 36N xxx" {
		t.Errorf("kept part: got %q", got)
	}
	p.Coordinates = true
	if got := p.Body("at 51.71021,-0.30736 now", [2]int{3, 20}); got != "xx 00.00000,-0.00000 xxx" {
		t.Errorf("positions hidden: got %q", got)
	}
}

// TestBodyKeepsNoWord: words of small letters without anything around them
// leave nothing but x, whatever stands between them.
func TestBodyKeepsNoWord(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-df-km-pr-vx-z]{2,9}`), 1, 8).Draw(t, "words")
		gap := rapid.SampledFrom([]string{" ", "\r\n", ", ", "; ", "\x1a", " 51.71021 ", "-"}).Draw(t, "gap")
		text := strings.Join(words, gap)
		got := NewPrivacy().Body(text)
		for _, w := range words {
			if strings.Contains(strings.ReplaceAll(got, "x", ""), w) {
				t.Fatalf("%q still shows %q: %q", text, w, got)
			}
		}
		if left := strings.Trim(strings.ReplaceAll(got, gap, ""), "x"); left != "" {
			t.Fatalf("%q leaves %q", text, left)
		}
	})
}

func FuzzBody(f *testing.F) {
	f.Add("trailer 07 at 51.71021N\x1a", 0, 4)
	f.Add("AT+CMGS=\"+12025550144\"\rx", 3, 1)
	f.Add("\xff\u20ac$GPRMC,1,A*00 geo:1.5", -1, 99)
	f.Fuzz(func(t *testing.T, s string, from, to int) {
		p := NewPrivacy()
		got := p.Body(s, [2]int{from, to})
		if !utf8.ValidString(s) {
			return
		}
		if !strings.HasPrefix(got, "pdu-1") && utf8.RuneCountInString(got) != utf8.RuneCountInString(s) {
			t.Errorf("%q became %q: another length", s, got)
		}
	})
}
