package message

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/when"
	"firstfix/internal/wire/sms"

	"pgregory.net/rapid"
)

// TestReadPublished: published messages are read field by field, each octet once.
func TestReadPublished(t *testing.T) {
	for _, c := range []struct {
		source, hex string
		kind, party string
		text, stamp string
		out         bool
		shows       string
	}{
		{"a widely copied tutorial on PDU mode", "07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37", "DELIVER", "27838890001", "hellohello", "1999-03-29 15:16:59 +02:00", false, sms.HowPlain},
		{"the same", "0011000B916407281553F80000AA0AE8329BFD4697D9EC37", "SUBMIT", "+46708251358", "hellohello", "", true, sms.HowPlain}, // published
		{"test data of a public library, without a service centre", "040491361900005150713220052308C8303A8C0EA3C3", "DELIVER", "+6391", "Hahahaha", "2015-05-17 23:02:50 +08:00", false, sms.HowPlain},
		{"the same, a status report", "061804913619111011719551401110117195714000", "STATUS-REPORT", "+6391", "", "2011-01-11 17:59:15 +01:00", false, sms.HowNeverShown},
		{"a stored web page: 8-bit data, class 2", "079194710167000011000781214365F700F6AA0568656C6C6F", "SUBMIT", "1234567", "", "", true, sms.HowBlank},
	} {
		m := Read(c.hex)
		stamp := ""
		if s, ok := m.Stamp.Get(); ok {
			stamp = s.String()
		}
		if m.Kind != c.kind || m.Party != c.party || m.Text != c.text || stamp != c.stamp || m.Out != c.out || m.Shown.How != c.shows || m.Fault != nil {
			t.Errorf("%s: read %s %q %q %q out %v, shows %+v, %v", c.source, m.Kind, m.Party, m.Text, stamp, m.Out, m.Shown, m.Fault)
		}
		octets := ""
		for _, f := range m.Fields {
			if f.At != len(octets)/2 || f.Clause == "" {
				t.Errorf("%s: field %+v, want one at %d with a clause", c.source, f, len(octets)/2)
			}
			octets += f.Octets
		}
		if octets != c.hex {
			t.Errorf("%s: the fields hold %s", c.source, octets)
		}
	}
}

// TestBlamePDU: why a message does not show as it was meant. The octets were put together by
// hand from the clauses named.
func TestBlamePDU(t *testing.T) {
	deliver := func(fo, pid, dcs, udl byte, octets string) string {
		return fmt.Sprintf("00%02X0B912120550541F3%02X%02X62304001513040%02X%s", fo, pid, dcs, udl, octets)
	}
	for _, c := range []struct {
		name, clause, hex   string
		how, field, instead string
	}{
		{"plain", "TS 23.040 9.2.2.1", deliver(4, 0, 0, 5, "E8329BFD06"), sms.HowPlain, "", ""},
		{"plain letters under UCS2", "TS 23.038 4", deliver(4, 0, 8, 10, "48656C6C6F20796F7521"), sms.HowGarbled, FieldDCS, "0"},
		{"8-bit data", "TS 23.038 4", deliver(4, 0, 4, 5, "48656C6C6F"), sms.HowBlank, FieldDCS, "0"},
		{"class 0", "TS 23.038 4", deliver(4, 0, 16, 5, "E8329BFD06"), sms.HowFlash, FieldDCS, "0"},
		{"UCS2 flash", "TS 23.038 4", deliver(4, 0, 24, 4, "00480069"), sms.HowFlash, FieldDCS, "8"},
		{"type 0", "TS 23.040 9.2.3.9", deliver(4, 64, 0, 5, "E8329BFD06"), sms.HowNeverShown, FieldPID, "0"},
		{"replace type 1", "TS 23.040 9.2.3.9", deliver(4, 65, 0, 5, "E8329BFD06"), sms.HowReplaces, FieldPID, "0"},
		{"message waiting, discard", "TS 23.038 4", deliver(4, 0, 0xC8, 5, "E8329BFD06"), sms.HowIconOnly, FieldDCS, "0"},
		{"compressed", "TS 23.042", deliver(4, 0, 32, 5, "E8329BFD06"), sms.HowGarbled, FieldDCS, "0"},
		{"nothing in it", "TS 23.040 9.2.3.16", deliver(4, 0, 0, 0, ""), sms.HowBlank, FieldText, "a text"},
		{"half a character", "TS 23.038 6.2.3", deliver(4, 0, 8, 3, "041F04"), sms.HowGarbled, FieldLength, "an even number of octets"},
		{"a header that is not announced", "TS 23.040 9.2.3.23", deliver(4, 0, 8, 12, "050003CC0201041F04400438"), sms.HowGarbled, FieldFO, "bit 6 set"},
		{"a header announced where none is", "TS 23.040 9.2.3.24", deliver(0x44, 0, 8, 4, "041F0440"), sms.HowGarbled, FieldFO, "bit 6 clear"},
		{"hex digits as letters", "TS 27.005 3.1 <data>", deliver(4, 0, 0, 12, mustPack("00480065006C")), sms.HowGarbled, FieldDCS, "8"},
		{"cut off", "TS 23.040 9.2.3.16", deliver(4, 0, 0, 20, "E8329BFD06"), sms.HowGarbled, FieldLength, "anything"},
		{"Chinese that could be letters", "TS 23.038 6.2.3: U+4F60 U+597D", deliver(4, 0, 8, 4, "4F60597D"), sms.HowPlain, "", ""},
	} {
		m := ReadPDU(c.hex, false, 0)
		if m.Shown.How != c.how {
			t.Errorf("%s (%s): shows %+v, want %s", c.name, c.clause, m.Shown, c.how)
		}
		if c.field == "" {
			if len(m.Blames) != 0 {
				t.Errorf("%s: blames %+v", c.name, m.Blames)
			}
			continue
		}
		if len(m.Blames) == 0 || m.Blames[0].Field != c.field || c.instead != "anything" && m.Blames[0].Instead != c.instead {
			t.Errorf("%s (%s): blames %+v, want %s, %s", c.name, c.clause, m.Blames, c.field, c.instead)
		}
	}
	m := ReadPDU("0011000B916407281553F80000AA0AE8329BFD4697D9EC37", true, 22) // TS 27.005 4.3: 23 octets
	if m.Shown.How != sms.HowRefused || m.Blames[0].Field != FieldLength || m.Blames[0].Instead != "23" {
		t.Errorf("a wrong length: %+v %+v", m.Shown, m.Blames)
	}
}

func mustPack(text string) string {
	septets, _ := sms.Shift{}.AppendSeptets(nil, text)
	return hexOf(sms.Pack(nil, septets, 0))
}

// TestBlameTyped: the setting that spoils a typed text is the one whose change cures it.
// The settings and their effects: TS 27.005 3.1 and 3.3.2, TS 23.040 9.2.3, TS 23.038 4.
func TestBlameTyped(t *testing.T) {
	for _, c := range []struct {
		csmp, set, typed string
		how              string
		blames           string // field=value>instead
	}{
		{"17,167,0,0", "GSM", "Hello", sms.HowPlain, ""},
		{"17,167,0,8", "GSM", "Hello", sms.HowGarbled, "dcs=8>0"},
		{"17,167,0,4", "IRA", "Hello", sms.HowBlank, "dcs=4>0"},
		{"17,167,64,0", "IRA", "Hello", sms.HowNeverShown, "pid=64>0"},
		{"16,167,0,0", "IRA", "Hello", sms.HowRefused, "fo=16>17"},
		{"25,167,0,0", "IRA", "Hello", sms.HowRefused, "fo=25>17; vp=167>a quoted time"},
		{`17,"26/03/04,10:15:30+04",0,0`, "IRA", "Hello", sms.HowRefused, "vp=a quoted text>167"},
		{"81,167,0,0", "IRA", "Hello", sms.HowRefused, "fo=81>17"},
		{"17,167,0,0", "UCS2", "Hello", sms.HowRefused, "character set=UCS2>GSM"},
		{"17,167,0,0", "GSM", "a_b", sms.HowGarbled, "character set=GSM>IRA"},
		{"17,167,0,0", "GSM", "00480065006C006C006F", sms.HowGarbled, "dcs=0>8; character set=GSM>UCS2"},
		{"17,167,0,16", "IRA", "Hello", sms.HowFlash, "dcs=16>0"},
		{"17,167,64,4", "IRA", "Hello", sms.HowNeverShown, "dcs and pid=4 and 64>0 and 0"},
		{"25,167,64,4", "IRA", "Hello", sms.HowRefused, "dcs and pid and fo=4 and 64 and 25>0 and 0 and 17"},
		{"17,167,0,0", "IRA", "", sms.HowBlank, "text=empty>"},
		{"17,167,0,0", "IRA", strings.Repeat("x", 161), sms.HowRefused, "length=161>at most 160"},
		{"17,167,0,8", "UCS2", strings.Repeat("0416", 71), sms.HowRefused, "length=142>at most 140"},
	} {
		s := SettingsOf(c.csmp, c.set)
		m := ReadTyped(`AT+CMGS="+12025550143"`, c.typed, s)
		var got []string
		for _, b := range m.Blames {
			got = append(got, b.Field+"="+b.Value+">"+b.Instead)
		}
		if m.Shown.How != c.how || strings.Join(got, "; ") != c.blames {
			t.Errorf("+CSMP=%s, %s, %.20q: %s, blame %q; want %s, %q", c.csmp, c.set, c.typed, m.Shown.How, got, c.how, c.blames)
		}
	}
}

// TestCured: whatever is blamed alone really is to blame: with what is named instead the
// text shows.
func TestCured(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := Parameters{FO: rapid.IntRange(0, 255).Draw(rt, "fo"), VP: rapid.IntRange(-1, 255).Draw(rt, "vp"), PID: rapid.IntRange(0, 255).Draw(rt, "pid"), DCS: rapid.IntRange(0, 255).Draw(rt, "dcs")}
		if p.VP < 0 {
			p.Quoted = "26/03/04,10:15:30+04"
		}
		text := rapid.SampledFrom([]string{"Hello", "00480065006C006C006F", "a_b", "x"}).Draw(rt, "text")
		got := TryOut(p, text, rapid.SampledFrom([]string{"GSM", "IRA", "UCS2", "HEX"}).Draw(rt, "set"))
		if len(got.Blames) == 0 {
			if got.Effect.How != sms.HowPlain {
				rt.Fatalf("%s: %+v and nobody to blame", p, got.Effect)
			}
			return
		}
		for _, b := range got.Blames {
			better, set := p, got.CharacterSet
			switch b.Field {
			case FieldDCS:
				fmt.Sscan(b.Instead, &better.DCS)
			case FieldPID:
				fmt.Sscan(b.Instead, &better.PID)
			case FieldFO:
				fmt.Sscan(b.Instead, &better.FO)
			case FieldVP:
				if better.VP, better.Quoted = usualVP, ""; b.Instead != "167" {
					better.VP, better.Quoted = sms.QuotedValidity, "26/03/04,10:15:30+04"
				}
			case FieldSet:
				set = b.Instead
			default:
				continue
			}
			if after := TryOut(better, text, set); after.Effect.How != sms.HowPlain {
				rt.Fatalf("%s %s %q: %+v, but with %s it is %+v", p, got.CharacterSet, text, b, better, after.Effect)
			}
		}
	})
}

// TestReadLine: lines as modules print them, TS 27.005 clauses 3.4.1 to 3.4.3 and 4.1 to 4.3.
func TestReadLine(t *testing.T) {
	const deliver = "07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37" // a published one, 28 octets
	for _, c := range []struct {
		head, body, set   string
		kind, party, text string
		out               bool
		index             string
		field             string // name|value|part of the meaning|offset
	}{
		{`+CMT: "+12025550143",,"26/03/04,10:15:30+04"`, "where", "", "text mode", someone, "where", false, "not known", `scts|26/03/04,10:15:30+04|2026-03-04 10:15:30 +01:00|23`},
		{`+CMT: "+12025550143",,"26/03/04,10:15:30+04",145,4,0,8,"+12025550100",145,4`, "00480069", "", "text mode", someone, "Hi", false, "not known", "dcs|8|UCS2|53"},
		{`+CMT: ,28`, deliver, "", "DELIVER", "27838890001", "hellohello", false, "not known", "TP-OA number|27838890001||11"},
		{`+CMGR: "REC UNREAD","+12025550143",,"26/03/04,10:15:30+04"`, "two\nlines", "", "text mode", someone, "two\nlines", false, "not known", "stat|REC UNREAD|status|8"},
		{`+CMGR: "STO UNSENT","+12025550143",,145,17,0,0,167,"+12025550100",145,5`, "hello", "", "text mode", someone, "hello", true, "not known", "vp|167|24 h|47"},
		{`+CMGR: 1,,28`, deliver, "", "DELIVER", "27838890001", "hellohello", false, "not known", "TP-DCS|0x00||18"},
		{`+CMGR: 2,"Ring office",23`, "0011000B916407281553F80000AA0AE8329BFD4697D9EC37", "", "SUBMIT", "+46708251358", "hellohello", true, "not known", "TP-MR|0||2"}, // published
		{`+CMGL: 7,"REC READ","+12025550143",,"26/03/04,10:15:30+04"`, "where", "", "text mode", someone, "where", false, "7", "index|7|place in the store|7"},
		{`+CMGL: 3,1,,28`, deliver, "", "DELIVER", "27838890001", "hellohello", false, "3", "TP-UDL|10||26"},
		{`+CMT: "002B00310032003000320035003500350030003100340033",,"26/03/04,10:15:30+04"`, "043C043E04410442", "UCS2", "text mode", someone, "мост", false, "not known", ""},
		{`+CMT: "+12025550143",,"26/03/04,10:15:30+04"`, "043C043E04410442", "", "text mode", someone, "мост", false, "not known", ""},
		{`+CDS: 6,12,"+12025550143",145,"26/03/04,10:15:30+04","26/03/04,10:15:35+04",0`, "", "", "status report, text mode", someone, "", false, "not known", "st|0|outcome|76"},
		{`+CDS: 21`, "00061804913619111011719551401110117195714000", "", "STATUS-REPORT", "+6391", "", false, "not known", "TP-ST|0x00||21"},
		{`+CMGR: "REC READ",6,12,"+12025550143",145,"26/03/04,10:15:30+04","26/03/04,10:15:35+04",0`, "", "", "status report, text mode", someone, "", false, "not known", "mr|12|reference|20"},
	} {
		m, ok := ReadLine(c.head, c.body, Settings{CharacterSet: c.set})
		if !ok {
			t.Fatalf("%s: not read", c.head)
		}
		if m.Kind != c.kind || m.Party != c.party || m.Text != c.text || m.Out != c.out || m.Index.String() != c.index {
			t.Errorf("%s: %s %q %q out %v, index %s", c.head, m.Kind, m.Party, m.Text, m.Out, m.Index)
		}
		if c.field == "" {
			continue
		}
		want := strings.Split(c.field, "|")
		if !slices.ContainsFunc(m.Fields, func(f sms.Field) bool {
			return f.Name == want[0] && f.Value == want[1] && strings.Contains(f.Meaning, want[2]) && (fmt.Sprint(f.At) == want[3])
		}) {
			t.Errorf("%s: no field %q in %+v", c.head, c.field, m.Fields)
		}
	}
	for _, head := range []string{"+CSQ: 12,99", "hello", "", "AT+CMGR=1"} {
		if _, ok := ReadLine(head, "", Settings{}); ok {
			t.Errorf("%q was read as a message", head)
		}
	}
}

func TestStored(t *testing.T) {
	lines := strings.Split(`+CMGL: 1,"REC READ","+12025550143",,"26/03/04,10:15:30+04"`+"\nfirst\n\nwith +CMGL: in it\n"+`+CMGL: 2,"REC READ","+12025550143",,"26/03/04,10:15:31+04"`+"\nsecond", "\n")
	if got := Stored("+CMGL", lines); len(got) != 2 || len(got[0]) != 4 || got[1][1] != "second" {
		t.Errorf("%q", got)
	}
	// A text that looks like a header is text, in an answer that holds one message.
	one := []string{`+CMGR: "REC READ","+12025550143",,"26/03/04,10:15:30+04"`, "+CMGR: 1,2", "x"}
	if got := Stored("+CMGR", one); len(got) != 1 || len(got[0]) != 3 {
		t.Errorf("%q", got)
	}
}

// longParts are the parts of a text as they arrive.
func longParts(t testing.TB, text string, wide bool, reference int) []*Message {
	pieces, err := sms.Split(text, sms.Options{Reference: reference, Wide: wide})
	if err != nil {
		t.Fatal(err)
	}
	var out []*Message
	for i, p := range pieces {
		hex, length, err := sms.Deliver{From: sms.NewAddress(someone), Stamp: sms.NewStamp(26, 3, 4, 10, 15, i%60, 4), DCS: p.DCS, Header: p.Header, Text: p.Text}.Encode()
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, ReadPDU(hex, false, length))
	}
	return out
}

// TestReassembly: parts come in any order, some twice, between other messages.
func TestReassembly(t *testing.T) {
	other := ReadPDU("07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37", false, 0)
	rapid.Check(t, func(rt *rapid.T) {
		text := strings.Repeat(anyText(rt)+"trailer", 30)
		parts := longParts(t, text, rapid.Bool().Draw(rt, "wide"), rapid.IntRange(0, 255).Draw(rt, "reference"))
		stream := slices.Clone(parts)
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 1))
		copies := 0
		for range rapid.IntRange(0, 3).Draw(rt, "copies") {
			stream = append(stream, parts[rng.IntN(len(parts))])
			copies++
		}
		stream = append(stream, other)
		rng.Shuffle(len(stream), func(i, j int) { stream[i], stream[j] = stream[j], stream[i] })
		r := NewReader(time.Minute)
		var texts []Text
		for i, m := range stream {
			_, texts = r.Feed(when.Instant(i)*when.Second, m, texts)
		}
		texts = r.End(when.Instant(len(stream))*when.Second, texts)
		long, short := 0, 0
		for _, x := range texts {
			switch {
			case x.Total == 1 && x.Text == "hellohello":
				short++
			case x.Total == len(parts) && x.Text == text && len(x.Missing) == 0 && x.Duplicates <= copies && len(x.Messages) >= len(parts):
				long++
			default:
				rt.Fatalf("%+v", x)
			}
		}
		if long != 1 || short != 1 {
			rt.Fatalf("%d long and %d short texts of %d messages", long, short, len(stream))
		}
	})
}

// TestGivenUp: a part that never comes is named, when the wait is over.
func TestGivenUp(t *testing.T) {
	parts := longParts(t, strings.Repeat("trailer 07 ", 40), false, 7)
	r := NewReader(time.Minute)
	_, texts := r.Feed(0, parts[0], nil)
	_, texts = r.Feed(when.Second, parts[2], texts)
	if at, why := r.Deadline(); at != 61*when.Second || why == "" || len(texts) != 0 {
		t.Fatalf("wanted at %s: %s, %+v", at, why, texts)
	}
	if texts = r.Tick(61*when.Second, texts); len(texts) != 1 || fmt.Sprint(texts[0].Missing) != "[2]" || fmt.Sprint(texts[0].Messages) != "[1 2]" || texts[0].Ended != 61*when.Second {
		t.Errorf("%+v", texts)
	}
}

// TestListedAgain: a stored message that is listed again is the same; one that came straight
// to the line was sent again.
func TestListedAgain(t *testing.T) {
	r := NewReader(time.Minute)
	stored, _ := ReadLine(`+CMGL: 7,"REC UNREAD","+12025550143",,"26/03/04,10:15:30+04"`, "where", Settings{})
	again, _ := ReadLine(`+CMGL: 7,"REC READ","+12025550143",,"26/03/04,10:15:30+04"`, "where", Settings{})
	elsewhere, _ := ReadLine(`+CMGL: 8,"REC READ","+12025550143",,"26/03/04,10:15:30+04"`, "where", Settings{})
	direct, _ := ReadLine(`+CMT: "+12025550143",,"26/03/04,10:15:30+04"`, "where", Settings{})
	var numbers []int
	for _, m := range []*Message{stored, again, again, elsewhere, direct, direct} {
		n, _ := r.Feed(0, m, nil)
		numbers = append(numbers, n)
	}
	if fmt.Sprint(numbers) != "[1 0 0 2 3 4]" || r.Again() != 2 || r.Messages() != 4 {
		t.Errorf("%v, %d again, %d in all", numbers, r.Again(), r.Messages())
	}
}

// TestTextModeParts: with +CSDH=1 the header of a part is shown, and the body is hex that
// begins with it (TS 27.005 clause 3.1, <data>): the parts are put together all the same.
func TestTextModeParts(t *testing.T) {
	r := NewReader(time.Minute)
	var texts []Text
	for i, body := range []string{"050003CC0202043A044004300439", "050003CC0201041F0440043804320435"} {
		m, ok := ReadLine(`+CMT: "+12025550143",,"26/03/04,10:15:30+04",145,68,0,8,"+12025550100",145,16`, body, Settings{})
		if c, part := m.Part.Get(); !ok || !part || c.Part != 2-i {
			t.Fatalf("%+v", m)
		}
		_, texts = r.Feed(0, m, texts)
	}
	if len(texts) != 1 || texts[0].Text != "Привекрай" || texts[0].Party != someone {
		t.Errorf("%+v", texts)
	}
}

// TestReaderIsBounded: whatever comes, the reader holds a fixed amount.
func TestReaderIsBounded(t *testing.T) {
	r := NewReader(time.Hour)
	var texts []Text
	for i := range 20_000 {
		parts := longParts(t, strings.Repeat("x", 200), true, i%65536)
		m := parts[i%2]
		m.Index = maybe.Known(i)
		_, texts = r.Feed(when.Instant(i), m, texts[:0])
	}
	if len(r.seen) > maxSeen || len(r.known) > maxSeen || len(r.tracked) > maxTracked {
		t.Errorf("%d seen, %d known, %d tracked", len(r.seen), len(r.known), len(r.tracked))
	}
}

// TestPositionsInTexts: 0,0 is no place; few digits are told.
func TestPositionsInTexts(t *testing.T) {
	for text, want := range map[string]string{"at geo:0.000000,0.000000": "without a fix", "at geo:51.7,-0.3": "11.1 km", "at 51.71022,-0.30737": "", "hello": ""} {
		m, _ := ReadLine(`+CMT: "+12025550143",,"26/03/04,10:15:30+04"`, text, Settings{})
		notes := fmt.Sprint(m.Notes)
		if want == "" && len(m.Notes) != 0 || !strings.Contains(notes, want) {
			t.Errorf("%q: %s", text, notes)
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"0011000B916407281553F80000AA0AE8329BFD4697D9EC37", "07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37", "061804913619111011719551401110117195714000",
		"0051000B912120550541F30008A78C0500033302010069", "00440B912120550541F30008623040015130400C050003CC0201041F0440", "0", "", "zz", "00 11"} {
		f.Add(s, true)
		f.Add(s, false)
	}
	f.Fuzz(func(t *testing.T, s string, out bool) {
		for _, m := range []*Message{Read(s), ReadPDU(s, out, 12)} {
			end := 0
			for _, field := range m.Fields {
				if field.At != end {
					t.Fatalf("%q: %+v begins at %d", s, field, field.At)
				}
				end += field.Length
			}
			r := NewReader(time.Minute)
			_, texts := r.Feed(0, m, nil)
			r.End(1, texts)
			IncomingOf(m)
		}
	})
}

func FuzzReadLine(f *testing.F) {
	for _, s := range [][3]string{{`+CMT: "+12025550143",,"26/03/04,10:15:30+04",145,68,0,8,"+12025550100",145,16`, "050003CC0202043A", "UCS2"}, {"+CMGL: 1,1,,28", "0011", ""}, {`+CMGR: "STO SENT"`, "", "HEX"}, {"+CDS: 6,1", "", ""},
		{`+CMT: "Quellmoor machinery ring",,"26/03/04,10:15:30+04",208,4,0,4,,,2`, "0102", ""}, {"AT+CMGS=\"+12025550143\"", "Hello", "GSM"}} {
		f.Add(s[0], s[1], s[2], "17,167,0,8")
	}
	f.Fuzz(func(t *testing.T, head, body, set, csmp string) {
		s := SettingsOf(csmp, set)
		r := NewReader(time.Minute)
		var texts []Text
		if m, ok := ReadLine(head, body, s); ok {
			for _, field := range m.Fields {
				if !m.PDU && field.At >= 0 && field.At+field.Length > len(head) {
					t.Fatalf("%q: %+v stands beyond the line", head, field)
				}
			}
			if m.Shown.How == "" {
				t.Fatalf("%q %q: nobody says how it shows: %+v", head, body, m)
			}
			_, texts = r.Feed(0, m, texts)
		}
		m := ReadTyped(head, body, s)
		if m.Shown.How == "" || m.Shown.How != sms.HowPlain && len(m.Blames) == 0 {
			t.Fatalf("%q typed under %+v: %+v, blame %+v", body, s, m.Shown, m.Blames)
		}
		_, texts = r.Feed(1, m, texts)
		r.End(2, texts)
	})
}

// Enough: 20 µs a message, so that the 30,000 texts of a gigabyte of log take less than
// a second.
func BenchmarkReadMessage(b *testing.B) {
	r := NewReader(time.Minute)
	var texts []Text
	b.ReportAllocs()
	for b.Loop() {
		m := ReadPDU("07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37", false, 28)
		_, texts = r.Feed(0, m, texts[:0])
	}
}
