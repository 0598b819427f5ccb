package sms

import (
	"strings"
	"testing"
)

// TestWorkshop goes through the combinations that give an empty, unreadable, flash
// or lost text: TS 27.005 clauses 3.1 and 3.3.2, TS 23.038 clause 4, TS 23.040
// clauses 9.2.3.1, 9.2.3.3, 9.2.3.9; the effects on handsets are common practice.
func TestWorkshop(t *testing.T) {
	for _, c := range []struct {
		fo, vp, pid, dcs int
		text, set        string
		how, shown, says string
	}{
		{17, 167, 0, 0, "Hi there", "GSM", HowPlain, "Hi there", ""},
		{17, 167, 0, 0, "Hi there", `"IRA"`, HowPlain, "Hi there", ""},
		{49, 167, 0, 0, "Hi there", "GSM", HowPlain, "Hi there", ""},
		{1, 167, 0, 0, "Hi there", "GSM", HowPlain, "Hi there", ""}, // no validity period: vp does not matter
		{0, 167, 0, 0, "Hi", "GSM", HowRefused, "", "01 in the two lowest bits"},
		{4, 167, 0, 0, "Hi", "GSM", HowRefused, "", "01 in the two lowest bits"},
		{16, 167, 0, 0, "Hi", "GSM", HowRefused, "", "01 in the two lowest bits"},
		{17, 167, 0, 256, "Hi", "GSM", HowRefused, "", "dcs = 256"},
		{25, 167, 0, 0, "Hi", "GSM", HowRefused, "", "quoted string"},
		{9, 167, 0, 0, "Hi", "GSM", HowRefused, "", "quoted string"},
		{25, QuotedValidity, 0, 0, "Hi", "GSM", HowPlain, "Hi", ""},
		{17, QuotedValidity, 0, 0, "Hi", "GSM", HowRefused, "", "as a number"},
		{81, 167, 0, 0, "Hi", "GSM", HowRefused, "", "announces a header"},
		{81, 167, 0, 0, "050003CC0201E061391DF4769701", "GSM", HowPlain, "part one", ""},
		// "Hi there" as UCS2 is U+4869 U+2074 U+6865 U+7265: the letters' own octets, two and two.
		{17, 167, 0, 8, "Hi there", "GSM", HowGarbled, "䡩⁴桥牥", "two of them become one character"},
		{17, 167, 0, 8, "0048006900200074", "GSM", HowPlain, "Hi t", ""},
		{17, 167, 0, 8, "0048006900200074", "UCS2", HowPlain, "Hi t", ""},
		{17, 167, 0, 8, "D83D0041", "GSM", HowGarbled, "\uFFFDA", "not a text"},
		{17, 167, 0, 0, "0048006900200074", "GSM", HowGarbled, "0048006900200074", "with dcs = 8"},
		{17, 167, 0, 0, "0048006900200074", "UCS2", HowPlain, "Hi t", ""},
		{17, 167, 0, 0, "Hi there", "UCS2", HowRefused, "", "four hex digits"},
		{17, 167, 0, 0, "4869", "HEX", HowPlain, "Hi", ""},
		{17, 167, 0, 0, "Hi!", "HEX", HowRefused, "", "two hex digits"},
		{17, 167, 0, 4, "Hi there", "GSM", HowBlank, "", "8-bit data"},
		{17, 167, 0, 244, "Hi there", "GSM", HowBlank, "", "8-bit data"},
		{17, 167, 0, 16, "Hi there", "GSM", HowFlash, "Hi there", "class 0"},
		{17, 167, 0, 240, "Hi there", "GSM", HowFlash, "Hi there", "class 0"},
		{17, 167, 0, 24, "00480069", "GSM", HowFlash, "Hi", "class 0"},
		{17, 167, 127, 242, "Hi", "GSM", HowNeverShown, "", "data for the card"},
		{17, 167, 127, 18, "Hi", "GSM", HowNeverShown, "", "data for the card"},
		{17, 167, 0, 18, "Hi", "GSM", HowPlain, "Hi", ""},
		{17, 167, 64, 0, "Hi", "GSM", HowNeverShown, "", "type 0"},
		{17, 167, 65, 0, "Hi", "GSM", HowReplaces, "Hi", "overwrites"},
		{17, 167, 71, 0, "Hi", "GSM", HowReplaces, "Hi", "overwrites"},
		{17, 167, 50, 0, "Hi", "GSM", HowPlain, "Hi", "internet mail"},
		{17, 167, 0, 192, "Hi", "GSM", HowIconOnly, "", "icon"},
		{17, 167, 0, 203, "Hi", "GSM", HowIconOnly, "", "icon"},
		{17, 167, 0, 208, "Hi", "GSM", HowPlain, "Hi", "message-waiting icon"},
		{17, 167, 0, 32, "Hi", "GSM", HowGarbled, "", "compressed"},
		{17, 167, 0, 64, "Hi", "GSM", HowPlain, "Hi", "deletion after reading"},
		{17, 0, 0, 0, "Hi", "GSM", HowPlain, "Hi", "5 minutes"},
		{17, 167, 0, 0, "", "GSM", HowBlank, "", "nothing was typed"},
		{17, 167, 0, 0, "a\x1bb", "GSM", HowNeverShown, "", "nothing is sent"},
		{17, 167, 0, 0, "\x1ab", "GSM", HowBlank, "", "ends the text"},
		{17, 167, 0, 0, "ab\x1acd", "GSM", HowGarbled, "ab", "ends the text"},
		{17, 167, 0, 0, "me@home_1", "GSM", HowGarbled, "me¡home§1", "octet 0x40"},
		{17, 167, 0, 0, "me@home_1", "IRA", HowPlain, "me@home_1", ""},
		{17, 167, 0, 0, "21°C", "GSM", HowGarbled, "21\uFFFD\uFFFDC", "above 0x7F"},
		{17, 167, 0, 0, "[1]", "IRA", HowPlain, "[1]", "some modules"},
		{17, 167, 0, 0, "[1]", "GSM", HowGarbled, "Ä1Ñ", "takes for a cancel"},
	} {
		got := Workshop(c.fo, c.vp, c.pid, c.dcs, c.text, c.set)
		if got.How != c.how || got.Shown != c.shown || !strings.Contains(got.Why, c.says) || (got.Why != "") != (got.Clause != "") {
			t.Errorf("+CSMP=%d,%d,%d,%d +CSCS=%s %q: %+v, want %s %q", c.fo, c.vp, c.pid, c.dcs, c.set, c.text, got, c.how, c.shown)
		}
	}
}

// FuzzWorkshop: whatever the values, there is a word for what happens.
func FuzzWorkshop(f *testing.F) {
	f.Add(17, 167, 0, 0, "Hi there", "GSM")
	f.Add(81, 167, 0, 8, "050003CC0201E061391DF4769701", "UCS2")
	f.Add(17, -1, 300, 244, "\x1a\x1b\xff", "8859-1")
	f.Fuzz(func(t *testing.T, fo, vp, pid, dcs int, text, set string) {
		e := Workshop(fo, vp, pid, dcs, text, set)
		if e.How == "" || (e.How == HowRefused || e.How == HowNeverShown || e.How == HowIconOnly) && e.Shown != "" {
			t.Fatalf("%+v", e)
		}
	})
}

// TestOnTheWay: the characters that differ between ASCII and the default alphabet
// (TS 23.038 clause 6.2.1), in one test text for each character set.
func TestOnTheWay(t *testing.T) {
	const text = "a@b$c_d{e}f[g]h^i~j\\k|l`m"
	want := map[string]string{
		"@": "¡", "$": "¤", "_": "§", "{": "ä", "}": "ñ", "[": "Ä", "]": "Ñ", "^": "Ü", "~": "ü", `\`: "Ö", "|": "ö", "`": "¿",
	}
	changes := OnTheWay(text, "GSM")
	if len(changes) != len(want) {
		t.Fatalf("%d changes: %+v", len(changes), changes)
	}
	for _, c := range changes {
		if c.Becomes != want[string(c.Rune)] || !c.Sure || text[c.At] != byte(c.Rune) {
			t.Errorf("%+v", c)
		}
	}
	// IRA: the module converts; what only the extension holds is unsure, ` has no place.
	unsure := ""
	for _, c := range OnTheWay(text, "IRA") {
		unsure += string(c.Rune)
		if c.Sure || c.Rune == '`' && c.Becomes != "?" {
			t.Errorf("%+v", c)
		}
	}
	if unsure != "{}[]^~\\|`" {
		t.Errorf("%q", unsure)
	}
	for _, set := range []string{"UCS2", "HEX"} {
		if c := OnTheWay("hello", set); len(c) != 1 || !c[0].Sure {
			t.Errorf("%s: %+v", set, c)
		}
	}
	if c := OnTheWay(UCS2Hex("hé"), "UCS2"); len(c) != 0 {
		t.Errorf("%+v", c)
	}
	if c := OnTheWay("é", "8859-1"); len(c) != 1 || c[0].Becomes != "??" { // Ã and ©, neither in the alphabet
		t.Errorf("%+v", c)
	}
	if c := OnTheWay("é°", "UTF-8"); len(c) != 1 || c[0].Rune != '°' {
		t.Errorf("%+v", c)
	}
	for _, plain := range []string{"Trailer 07: 52.10023,6.88111 ok?", "line\r\nline"} {
		for _, set := range []string{"GSM", "IRA", "8859-1", "UTF-8"} {
			if c := OnTheWay(plain, set); len(c) != 0 {
				t.Errorf("%s %q: %+v", set, plain, c)
			}
		}
	}
}

// TestLooksUCS2Hex: texts that are, and digits that only look so.
func TestLooksUCS2Hex(t *testing.T) {
	for _, text := range []string{"Hello", "OK", "Привет, трейлер", "你好世界", "こんにちは", "안녕하세요", "שלום עולם", "مرحبا", "21 °C", "a😀b", "line\r\nline", "Ä1"} {
		if got, ok := LooksUCS2Hex(UCS2Hex(text)); !ok || got != text {
			t.Errorf("%q: %q %v", text, got, ok)
		}
		if got, ok := LooksUCS2Hex(strings.ToLower(UCS2Hex(text)) + "\r\n"); !ok || got != text {
			t.Errorf("%q in small digits: %q %v", text, got, ok)
		}
	}
	for _, body := range []string{
		"", "1234", "12025550", "1202555014300000", "CAFEBABE", "DEADBEEF", "0123456789ABCDEF", "20260304", "50515253",
		"00000000", "FFFFFFFF", "490154203237518", "8944200000000000", "Hello", "004800650", "D83DD83D", "00410000", "hello world, 12 km",
	} {
		if got, ok := LooksUCS2Hex(body); ok {
			t.Errorf("%q is taken for %q", body, got)
		}
	}
}

func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		given, normal string
		kind          int
		short         bool
		says          string
	}{
		{"+12025550143", "+12025550143", 145, false, ""},
		{"+1 (202) 555-0143", "+12025550143", 145, false, "blanks"},
		{"07700 900123", "07700900123", 129, false, "no + and country code"},
		{"0012025550143", "+12025550143", 129, false, "00 in front"},
		{"12345", "12345", 129, true, ""},
		{"*100#", "*100#", 129, false, "service code"},
		{"QUELLMOOR", "QUELLMOOR", 208, false, "letters"},
		{"+07700900123", "+07700900123", 145, false, "0 behind the +"},
		{"+1234567890123456", "+1234567890123456", 145, false, "more than 15"},
		{"", "", 129, false, "no digits"},
		{"1202555;0143", "12025550143", 129, false, "does not belong"},
	} {
		n := ReadNumber(c.given)
		all := strings.Join(n.Problems, "; ")
		if NormaliseNumber(c.given) != c.normal || TypeOfNumber(c.given) != c.kind || n.Short != c.short || !strings.Contains(all, c.says) || c.says == "" && all != "" {
			t.Errorf("%q: %+v %q", c.given, n, NormaliseNumber(c.given))
		}
	}
	for _, c := range []struct {
		a, b string
		same bool
	}{
		{"+12025550143", "+1 202 555 0143", true}, {"+447700900123", "07700900123", true}, {"+447700900123", "00447700900123", true},
		{"+447700900123", "+447700900124", false}, {"+12025550143", "550143", false}, {"", "", false}, {"INFO", "INFO", true},
	} {
		if got := SameNumber(c.a, c.b); got != c.same {
			t.Errorf("%q and %q: %v", c.a, c.b, got)
		}
		if SameNumber(c.a, c.b) != SameNumber(c.b, c.a) {
			t.Errorf("%q and %q: the order matters", c.a, c.b)
		}
	}
	for text, want := range map[string]byte{"+12025550143": 0x91, "12345": 0x81, "QUELLMOOR": 0xD0} {
		if a := NewAddress(text); a.Type != want || a.String() != text {
			t.Errorf("%q: %+v", text, a)
		}
	}
}

// TestAnatomy reads a published message, octet by octet; the meanings are its
// publisher's, in our words.
func TestAnatomy(t *testing.T) {
	var got []string
	for _, f := range Anatomy("07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37", FromNetwork) {
		got = append(got, f.Octets+" | "+f.Name+" | "+f.Value)
	}
	want := []string{
		"07 | service centre length | 7",
		"91 | service centre type | 0x91 (145)",
		"7283010010F5 | service centre number | +27381000015", // published
		"04 | first octet | 0x04",
		"0B | TP-OA length | 11",
		"C8 | TP-OA type | 0xC8 (200)",
		"7238880900F1 | TP-OA number | 27838890001",
		"00 | TP-PID | 0x00",
		"00 | TP-DCS | 0x00",
		"99309251619580 | TP-SCTS | 1999-03-29 15:16:59 +02:00",
		"0A | TP-UDL | 10",
		`E8329BFD4697D9EC37 | TP-UD | "hellohello"`,
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	fields := Anatomy("0051000B912120550521F30000A70F050003CC0201E061391DF4769701", ToNetwork)
	last, before := fields[len(fields)-1], fields[len(fields)-2]
	if before.Value != "part 1 of 2, reference 204" || before.Clause != "TS 23.040 9.2.3.24.1" || last.Value != `"part one"` {
		t.Errorf("%+v\n%+v", before, last)
	}
	if f := Anatomy("zz", ToNetwork); len(f) != 0 {
		t.Errorf("%+v", f)
	}
}
