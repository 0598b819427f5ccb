package sms

import (
	"errors"
	"strings"
	"testing"
)

// TestEveryPrefix cuts each published message at every octet, and at every half
// octet. The fault names the cut, what stood before it was read, and nothing is lost.
func TestEveryPrefix(t *testing.T) {
	for _, v := range loadVectors(t) {
		if v.kind != "submit" && v.kind != "deliver" && v.kind != "status-report" {
			continue
		}
		read := Decode
		if !strings.Contains(v.decoded, "smsc=") {
			read = DecodeTPDU
		}
		whole, err := read(v.hex, v.kind == "submit")
		if err != nil {
			t.Fatal(err)
		}
		for cut := range len(v.hex) {
			hex := v.hex[:cut]
			p, err := read(hex, v.kind == "submit")
			var fault *Fault
			if !errors.As(err, &fault) {
				t.Fatalf("%s cut at %d: no fault", v.name, cut)
			}
			if fault.At > cut/2 || fault.Field == "" || fault.Want == "" || fault.Had == "" {
				t.Fatalf("%s cut at %d: %v", v.name, cut, fault)
			}
			if p.Hex != hex || p.Octets != cut/2 {
				t.Fatalf("%s cut at %d: %q, %d octets kept", v.name, cut, p.Hex, p.Octets)
			}
			checkSame(t, &whole, &p)
			checkAnatomy(t, &p, hex, err)
		}
	}
}

// checkSame says that what the shorter one has is what the whole one has.
func checkSame(t *testing.T, whole, part *PDU) {
	t.Helper()
	for _, c := range []struct {
		part Part
		same bool
	}{
		{PartSMSC, part.SMSC == whole.SMSC}, {PartFirst, part.First == whole.First}, {PartReference, part.Reference == whole.Reference},
		{PartAddress, part.Address == whole.Address}, {PartPID, part.PID == whole.PID}, {PartDCS, part.Coding == whole.Coding},
		{PartValidity, part.Validity == whole.Validity}, {PartStamp, part.Stamp == whole.Stamp}, {PartDischarge, part.Discharge == whole.Discharge},
		{PartStatus, part.Status == whole.Status}, {PartLength, part.Data.Length == whole.Data.Length},
		{PartText, strings.HasPrefix(whole.Data.Text, strings.TrimSuffix(part.Data.Text, " "))},
	} {
		if part.Has(c.part) && !c.same {
			t.Fatalf("%s: part %d differs from the whole: %+v", part.Hex, c.part, part)
		}
	}
}

// TestFaults: broken messages as they turn up in logs, and what is said of them.
func TestFaults(t *testing.T) {
	const good = "0011000B912120550541F30000A70AE8329BFD4697D9EC37" // to +12025550143, "hellohello"
	for _, c := range []struct {
		name, hex string
		at        int
		says      string // in the error
		text      string // what was read nevertheless
	}{
		{"nothing", "", 0, "service centre", ""},
		{"half an octet", good + "5", 24, "single digit", "hellohello"},
		{"a letter that is no digit", good[:20] + "G" + good[21:], 10, `had 'G'`, ""},
		{"the last octets are missing", good[:len(good)-4], 22, "had 7 octets behind a length of 10 septets, want 9 octets", "hellohel"},
		{"no service centre part", good[2:], 0, "perhaps the service centre part is missing", ""},
		{"text instead of a message", "hello", 0, `had 'h'`, ""},
		{"reserved message type", "0003", 1, "message type 11", ""},
		{"length of an address beyond the end", "001100FF91", 3, "a length of 255 semi-octets with 2 octets left", ""},
	} {
		p, err := Decode(c.hex, ToNetwork)
		var fault *Fault
		if !errors.As(err, &fault) {
			t.Errorf("%s: no fault, %+v", c.name, p)
			continue
		}
		if fault.At != c.at || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
		if p.Data.Text != c.text {
			t.Errorf("%s: text %q, want %q", c.name, p.Data.Text, c.text)
		}
	}
}

// TestNotes: odd, but readable.
func TestNotes(t *testing.T) {
	for _, c := range []struct {
		name, hex, text, says string
		toNetwork             bool
	}{
		{"octets behind the end", "0011000B912120550541F30000A70AE8329BFD4697D9EC37FFFF", "hellohello", "2 octets behind the end", true},
		{"length counts the filler", "0011000C912120550541F30000A70AE8329BFD4697D9EC37", "hellohello", "the length counts digits, not fillers", true},
		{"reserved coding", "0011000B912120550541F30080A70AE8329BFD4697D9EC37", "hellohello", "read as the default alphabet", true},
		{"header runs past the data", "0051000B912120550541F30000A703FF0102", "", "a header of 256 octets is announced", true},
		{"element runs past the header", "0051000B912120550541F30000A70B0400090102" + slowPack(slowSeptets("hello"), 2), "hello", "the whole header is ignored", true},
		{"surrogate pair", "0011000B912120550541F30008A704D83DDE00", "😀", "surrogate pairs", true},
		{"half a surrogate pair", "0011000B912120550541F30008A704D83D0041", "\uFFFDA", "without the other half", true},
		{"odd octets of UCS2", "0011000B912120550541F30008A703004100", "A", "half a character", true},
		{"escape at the end", "0011000B912120550541F30000A702C10D", "A ", "cut in two", true},
		{"a stamp that is no date", "00040B912120550541F30000620299110000000131", "1", "no date", false},
		{"a stamp with half octets that are no digits", "00040B912120550541F3000062F099110000000131", "1", "no digits", false},
		{"reserved type from the network", "00030B912120550541F30000620240110000000131", "1", "read as DELIVER", false},
	} {
		p, err := Decode(c.hex, c.toNetwork)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		var all []string
		for _, n := range p.Notes {
			all = append(all, n.Text)
			if n.Clause == "" || n.At >= p.Octets {
				t.Errorf("%s: %+v", c.name, n)
			}
		}
		if got := strings.Join(all, "; "); !strings.Contains(got, c.says) {
			t.Errorf("%s: notes %q", c.name, got)
		}
		if p.Data.Text != c.text {
			t.Errorf("%s: text %q, want %q", c.name, p.Data.Text, c.text)
		}
	}
}

// TestBlanksAndCase: a message pasted with blanks, in small letters, with the ends
// that a log leaves.
func TestBlanksAndCase(t *testing.T) {
	want, _ := Decode("0011000B912120550541F30000A70AE8329BFD4697D9EC37", ToNetwork)
	for _, hex := range []string{
		"0011000b912120550541f30000a70ae8329bfd4697d9ec37",
		" 00 11 00 0B 91 21 20 55 05 41 F3 00 00 A7 0A E8 32 9B FD 46 97 D9 EC 37\r\n",
		"0011000B912120550541F30000A70AE8329BFD4697D9EC37\x1a",
	} {
		got, err := Decode(hex, ToNetwork)
		if err != nil || got.Address != want.Address || got.Data.Text != want.Data.Text || got.TPDUOctets != want.TPDUOctets {
			t.Errorf("%q: %+v %v", hex, got, err)
		}
		checkAnatomy(t, &got, hex, err)
	}
}

// TestWriteErrors: what cannot be written is said before anything is sent.
func TestWriteErrors(t *testing.T) {
	to := NewAddress("+12025550143")
	for _, c := range []struct {
		name string
		m    encoded
		says string
	}{
		{"too long", Submit{To: to, Text: strings.Repeat("a", 161)}, "had 161 septets, want at most 160"},
		{"too long for UCS2", Submit{To: to, DCS: 8, Text: strings.Repeat("я", 71)}, "had 71 UCS2 units, want at most 70"},
		{"too long behind a header", Submit{To: to, Header: Header{ConcatElement(Concat{Reference: 1, Total: 2, Part: 1})}, Text: strings.Repeat("a", 154)}, "at most 153"},
		{"foreign character", Submit{To: to, Text: "21°C"}, "U+00B0"},
		{"text in 8-bit data", Submit{To: to, DCS: 4, Text: "a"}, "this data coding has no alphabet"},
		{"octets in a text", Submit{To: to, Octets: []byte{1}}, "this data coding has an alphabet"},
		{"digits", Submit{To: Address{Type: TypeUnknown, Number: "12x"}}, `had 'x'`},
		{"number", Submit{To: Address{Type: TypeUnknown, Number: strings.Repeat("1", 21)}}, "at most 20"},
		{"name", Deliver{From: Address{Type: TypeName, Number: "a name too long"}}, "at most 11"},
		{"service centre", Submit{SMSC: Address{Type: TypeName, Number: "x"}, To: to}, "a number"},
		{"command data", Command{To: to, Octets: make([]byte, 158)}, "at most 157"},
		{"header", Submit{To: to, Header: Header{{ID: 0x70, Data: make([]byte, 139)}}}, "at most 140 octets"},
	} {
		hex, n, err := c.m.Encode()
		var value *ValueError
		if !errors.As(err, &value) || hex != "" || n != 0 {
			t.Errorf("%s: %q %v", c.name, hex, err)
		} else if !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// FuzzDecode: no input makes it panic; the octets are all named; what is written
// again reads the same.
func FuzzDecode(f *testing.F) {
	for _, v := range loadVectors(f) {
		f.Add(v.hex, v.kind == "submit", strings.Contains(v.decoded, "smsc="))
	}
	f.Add("00 03", true, true)
	f.Add("00040B912120550541F3000062F099110000000131", false, true)
	f.Add("01C50007"+"26300401510300"+"00"+"00"+"05E8329BFD06", false, false)
	f.Add("0051000B912120550541F30000A703FF0102", true, true)
	f.Fuzz(func(t *testing.T, hex string, toNetwork, withSMSC bool) {
		p, err := decodeHex(hex, toNetwork, withSMSC)
		if p.Octets > maxOctets || p.TPDUOctets > p.Octets {
			t.Fatalf("%d octets, %d of them message", p.Octets, p.TPDUOctets)
		}
		checkAnatomy(t, &p, hex, err)
		_ = p.First.String()
		_ = p.Data.Header.Shift()
		if err != nil || len(p.Notes) > 0 {
			return
		}
		rewrite(t, &p, toNetwork, withSMSC)
	})
}

// rewrite writes p and reads it: the same text must come back. What is reserved is
// not always written, so an error of writing is no failure.
func rewrite(t *testing.T, p *PDU, toNetwork, withSMSC bool) {
	var m encoded
	switch p.Kind {
	case KindSubmit:
		m, _ = p.Submit()
	case KindDeliver:
		m, _ = p.Deliver()
	case KindStatusReport:
		m, _ = p.StatusReport()
	case KindCommand:
		m, _ = p.Command()
	default:
		return
	}
	hex, _, err := m.Encode()
	if err != nil {
		return
	}
	again, err := Decode(hex, toNetwork)
	if err != nil || again.Data.Text != p.Data.Text || again.Address != p.Address || again.Coding != p.Coding {
		t.Fatalf("%s\nread    %+v\nwritten %s\nread    %+v\n%v", p.Hex, p, hex, again, err)
	}
}
