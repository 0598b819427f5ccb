package module

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"firstfix/internal/wire/sms"
)

// registeredBench returns a module that is in its network, echo off.
func registeredBench(t *testing.T, world string) *bench {
	b := switchOn(t, world)
	b.wait(12 * time.Second)
	b.must("ATE0", "\r\nOK\r\n")
	return b
}

// text sends a text and returns what the module said to it.
func (b *bench) text(command, body string) string {
	b.t.Helper()
	if got := b.ask(command, time.Minute); got != "\r\n> " { // 27.005 clause 3.5.1: these four characters
		return got
	}
	b.out = nil
	b.send(body)
	for range 60 * 100 {
		if !b.m.exec.busy {
			break
		}
		b.wait(10 * time.Millisecond)
	}
	return string(b.out)
}

// TestTextToItself comes back after the service centre's delay, with a report
// of its arrival (27.005 clauses 3.4.1 and 3.5.1).
func TestTextToItself(t *testing.T) {
	b := registeredBench(t, "healthy")
	b.must("AT+CMGF=1;+CNMI=2,1,0,0,0", "\r\nOK\r\n")
	if got := b.text(`AT+CMGS="+447700900707"`, "trailer 07 at 52.6184 9.2735\x1a"); got != "\r\n+CMGS: 0\r\n\r\nOK\r\n" {
		t.Fatalf("sending gave %q", got)
	}
	b.out = nil
	b.wait(2 * time.Second)
	if len(b.out) != 0 {
		t.Errorf("too early came %q", b.out)
	}
	b.wait(6 * time.Second)
	if got := string(b.out); got != "\r\n+CMTI: \"SM\",2\r\n" {
		t.Fatalf("got %q; want the report of its arrival", got)
	}
	got := b.ask("AT+CMGR=2", time.Second)
	want := regexp.MustCompile(`^\r\n\+CMGR: "REC UNREAD","\+447700900707",,"26/03/04,11:15:\d\d\+04"\r\ntrailer 07 at 52.6184 9.2735\r\n\r\nOK\r\n$`)
	if !want.MatchString(got) {
		t.Errorf("reading gave %q", got)
	}
	if got := b.ask("AT+CMGR=2", time.Second); !strings.Contains(got, `"REC READ"`) {
		t.Errorf("read again it is not read: %q", got)
	}
	sent := b.m.Sent()
	if len(sent) != 1 || sent[0].Shown != "trailer 07 at 52.6184 9.2735" {
		t.Errorf("the recipient sees %+v", sent)
	}
}

// TestDirectDelivery: +CNMI mt 2 brings the text to the line, ds 1 the report
// of its delivery; text mode (27.005 clause 3.4.1).
func TestDirectDelivery(t *testing.T) {
	b := registeredBench(t, "healthy")
	b.must("AT+CMGF=1;+CSDH=1;+CNMI=2,2,0,1,0;+CSMP=49,167,0,0", "\r\nOK\r\n")
	if got := b.text(`AT+CMGS="+447700900707"`, "pump on\x1a"); got != "\r\n+CMGS: 0\r\n\r\nOK\r\n" {
		t.Fatalf("sending gave %q", got)
	}
	b.out = nil
	b.wait(15 * time.Second)
	stamp := `"26/03/04,11:15:\d\d\+04"`
	want := regexp.MustCompile(`^\r\n\+CMT: "\+447700900707",,` + stamp + `,145,4,0,0,"\+447700900001",145,7\r\npump on\r\n` +
		`\r\n\+CDS: 6,0,"\+447700900707",145,` + stamp + `,` + stamp + `,0\r\n$`)
	if got := string(b.out); !want.MatchString(got) {
		t.Errorf("got %q", got)
	}
	if got := b.ask("AT+CPMS?", time.Second); !strings.Contains(got, `"SM",1,20`) {
		t.Errorf("it was stored as well: %q", got)
	}
}

// TestWhatARecipientSees: the coding of +CSMP decides, 23.038 clause 4.
func TestWhatARecipientSees(t *testing.T) {
	for _, c := range []struct{ csmp, cscs, typed, shown string }{
		{"17,167,0,0", "GSM", "Hi there", "Hi there"},
		{"17,167,0,8", "GSM", "Hi there", "䡩⁴桥牥"}, // U+4869 U+2074 U+6865 U+7265: ASCII pairs read as UCS2
		{"17,167,0,4", "GSM", "Hi there", ""},     // 8-bit data: no alphabet is defined
		{"17,167,0,8", "UCS2", "00480069", "Hi"},
		{"17,167,0,0", "GSM", "00480069", "00480069"}, // hex typed under a 7-bit coding stays hex
		{"17,167,0,0", "GSM", "a@b$c_d", "a¡b¤c§d"},   // 23.038 clause 6.2.1: codes 0x40, 0x24, 0x5F
		{"17,167,0,0", "IRA", "a@b$c_d", "a@b$c_d"},
		{"17,167,0,0", "UCS2", "00480069", "Hi"},
		{"17,167,0,0", "HEX", "4869", "Hi"},
	} {
		b := registeredBench(t, "healthy")
		to := `"+447700900123"`
		if c.cscs == "UCS2" {
			to = `"` + sms.UCS2Hex("+447700900123") + `"`
		} else if c.cscs == "HEX" {
			to = `"2B343437373030393030313233"`
		}
		b.must(`AT+CMGF=1;+CSMP=`+c.csmp+`;+CSCS="`+c.cscs+`"`, "\r\nOK\r\n")
		if got := b.text("AT+CMGS="+to, c.typed+"\x1a"); got != "\r\n+CMGS: 0\r\n\r\nOK\r\n" {
			t.Errorf("%+v: sending gave %q", c, got)
			continue
		}
		if sent := b.m.Sent(); sent[0].Shown != c.shown || sent[0].To != "+447700900123" {
			t.Errorf("+CSMP=%s, +CSCS=%s, %q: the recipient %s sees %q; want %q", c.csmp, c.cscs, c.typed, sent[0].To, sent[0].Shown, c.shown)
		}
	}
}

// TestTextErrors: 27.005 clause 3.2.5.
func TestTextErrors(t *testing.T) {
	for _, c := range []struct{ world, setup, command, body, want string }{
		{"healthy", "AT+CMGF=0", `AT+CMGS="+447700900123"`, "", "304"},
		{"healthy", "AT+CMGF=1", `AT+CMGS=25`, "", "305"},
		{"healthy", "AT+CMGF=1", `AT+CMGS="hello"`, "", "305"},
		{"healthy", `AT+CMGF=1;+CSCS="UCS2"`, `AT+CMGS="+447700900123"`, "", "305"},
		{"healthy", "AT+CMGF=1;+CSMP=4", `AT+CMGS="+447700900123"`, "x\x1a", "305"},
		{"healthy", "AT+CMGF=1;+CSMP=25", `AT+CMGS="+447700900123"`, "x\x1a", "305"},
		{"healthy", "AT+CMGF=1", `AT+CMGS="+447700900123"`, strings.Repeat("x", 161) + "\x1a", "305"},
		{"healthy", "AT+CMGF=0", `AT+CMGS=20`, "0011000B91\x1a", "304"},
		{"healthy", "AT+CMGF=1;+CFUN=4", `AT+CMGS="+447700900123"`, "x\x1a", "331"},
		{"no-service-centre", "AT+CMGF=1", `AT+CMGS="+447700900123"`, "x\x1a", "330"},
		{"registration-denied", "AT+CMGF=1", `AT+CMGS="+447700900123"`, "x\x1a", "331"},
		{"no-card", "AT+CMGF=1", `AT+CMGS="+447700900123"`, "", "310"},
		{"pin-wanted", "AT+CMGF=1", `AT+CMGS="+447700900123"`, "", "311"},
		{"store-full", "AT+CMGF=1", `AT+CMGW="+447700900123"`, "x\x1a", "322"},
		{"healthy", "AT+CMGF=1", "AT+CMGR=99", "", "321"},
		{"healthy", "AT+CMGF=1", "AT+CMSS=1", "", "321"},
		{"healthy", "AT+CMGF=1", "AT+CNMA", "", "340"},
	} {
		b := registeredBench(t, c.world)
		b.ask(c.setup, time.Minute)
		if got, want := b.text(c.command, c.body), "\r\n+CMS ERROR: "+c.want+"\r\n"; got != want {
			t.Errorf("%s: %s then %s %q gave %q; want %q", c.world, c.setup, c.command, c.body, got, want)
		}
	}
}

// TestCancel: ESC throws the text away and the line ends with OK (27.005 3.5.1).
func TestCancel(t *testing.T) {
	b := registeredBench(t, "healthy")
	b.must("AT+CMGF=1", "\r\nOK\r\n")
	if got := b.text(`AT+CMGS="+447700900123"`, "hel\x1b"); got != "\r\nOK\r\n" {
		t.Errorf("ESC gave %q", got)
	}
	if len(b.m.Sent()) != 0 {
		t.Error("it was sent all the same")
	}
	// Backspace edits, CR asks for more with another prompt.
	b.ask(`AT+CMGS="+447700900123"`, time.Second)
	b.out = nil
	b.send("helo\blo\rmore\x1a")
	b.wait(10 * time.Second)
	if got := string(b.out); got != "\r\n> \r\n+CMGS: 0\r\n\r\nOK\r\n" {
		t.Errorf("got %q", got)
	}
	if got := b.m.Sent()[0].Shown; got != "hello\rmore" {
		t.Errorf("sent was %q", got)
	}
}

// TestFullStore: what finds no place waits at the service centre, and comes
// when a place is free.
func TestFullStore(t *testing.T) {
	b := registeredBench(t, "store-full")
	b.must("AT+CMGF=1;+CNMI=2,1", "\r\nOK\r\n")
	if got := b.ask("AT+CPMS?", time.Second); !strings.Contains(got, `"SM",20,20`) {
		t.Fatalf("the store is not full: %q", got)
	}
	b.text(`AT+CMGS="+447700900707"`, "are you there\x1a")
	b.out = nil
	b.wait(time.Minute)
	if len(b.out) != 0 {
		t.Fatalf("with a full store came %q", b.out)
	}
	b.must("AT+CMGD=7", "\r\nOK\r\n")
	b.out = nil
	b.wait(10 * time.Second)
	if got := string(b.out); got != "\r\n+CMTI: \"SM\",7\r\n" {
		t.Errorf("with a free place came %q", got)
	}
}

// TestPDU: a PDU out of published examples (found in many texts on PDU mode)
// is taken; its number is out of that example too. What comes back in PDU mode
// says the same.
func TestPDU(t *testing.T) {
	b := registeredBench(t, "healthy")
	const hellohello = "0011000B916407281553F80000AA0AE8329BFD4697D9EC37" // to +46708251358, a published example
	if got := b.text("AT+CMGS=23", hellohello+"\x1a"); got != "\r\n+CMGS: 0\r\n\r\nOK\r\n" {
		t.Fatalf("sending gave %q", got)
	}
	if s := b.m.Sent(); s[0].Shown != "hellohello" || s[0].To != "+46708251358" { // the published example's
		t.Errorf("sent was %+v", s)
	}
	if got := b.text("AT+CMGS=22", hellohello+"\x1a"); got != "\r\n+CMS ERROR: 304\r\n" {
		t.Errorf("with a wrong length: %q", got)
	}
	own := sms.Submit{To: sms.NewAddress("+447700900707"), DCS: 8, Text: "søster"}
	pdu, length, err := own.Encode()
	if err != nil {
		t.Fatal(err)
	}
	b.must("AT+CNMI=2,1", "\r\nOK\r\n")
	b.text("AT+CMGS="+itoa(length), pdu+"\x1a")
	b.wait(10 * time.Second)
	got := b.ask("AT+CMGR=2", time.Second)
	parts := strings.Split(got, "\r\n")
	if len(parts) < 3 || !strings.HasPrefix(parts[1], "+CMGR: 0,,") {
		t.Fatalf("reading gave %q", got)
	}
	back, err := sms.Decode(parts[2], sms.FromNetwork)
	if err != nil || back.Text() != "søster" || back.Address.String() != "+447700900707" || itoa(back.TPDUOctets) != strings.TrimPrefix(parts[1], "+CMGR: 0,,") {
		t.Errorf("what came back is %+v, %v (%q)", back, err, got)
	}
}

// TestStatusReportPDU: 23.040 clause 9.2.2.3, read back by the decoder.
func TestStatusReportPDU(t *testing.T) {
	b := registeredBench(t, "healthy")
	b.must("AT+CNMI=2,1,0,1,0", "\r\nOK\r\n")
	pdu, length, err := sms.Submit{To: sms.NewAddress("+447700900123"), StatusRequest: true, Text: "x"}.Encode()
	if err != nil {
		t.Fatal(err)
	}
	b.text("AT+CMGS="+itoa(length), pdu+"\x1a")
	b.out = nil
	b.wait(20 * time.Second)
	parts := strings.Split(string(b.out), "\r\n")
	if len(parts) < 3 || !strings.HasPrefix(parts[1], "+CDS: ") {
		t.Fatalf("got %q", b.out)
	}
	p, err := sms.Decode(parts[2], sms.FromNetwork)
	if err != nil || p.Kind != sms.KindStatusReport || !p.Status.Delivered() || p.Address.String() != "+447700900123" || "+CDS: "+itoa(p.TPDUOctets) != parts[1] {
		t.Errorf("the report is %+v, %v; %q", p, err, b.out)
	}
}

// TestAcknowledgement: with +CSMS=1 direct delivery ends when nobody says +CNMA
// (27.005 clause 3.4.4).
func TestAcknowledgement(t *testing.T) {
	b := registeredBench(t, "healthy")
	b.must("AT+CMGF=1;+CNMI=2,2", "\r\nOK\r\n")
	b.ask("AT+CSMS=1", time.Second)
	b.text(`AT+CMGS="+447700900707"`, "one\x1a")
	b.wait(10 * time.Second)
	b.must("AT+CNMA", "\r\nOK\r\n")
	b.must("AT+CNMI?", "\r\n+CNMI: 2,2,0,0,0\r\n\r\nOK\r\n")
	b.text(`AT+CMGS="+447700900707"`, "two\x1a")
	b.wait(40 * time.Second)
	b.must("AT+CNMI?", "\r\n+CNMI: 2,0,0,0,0\r\n\r\nOK\r\n")
}

// TestBlankTextsWorld: the planted fault is in the read-back, and what arrives
// is not what was written; the standard values cure it.
func TestBlankTextsWorld(t *testing.T) {
	b := registeredBench(t, "blank-texts")
	b.must("AT+CSMP?", "\r\n+CSMP: 17,167,0,8\r\n\r\nOK\r\n")
	b.must("AT+CMGF=1", "\r\nOK\r\n")
	b.text(`AT+CMGS="+447700900707"`, "trailer 07\x1a")
	b.wait(10 * time.Second)
	if got := b.ask("AT+CMGR=2", time.Second); !strings.Contains(got, "\r\n747261696C6572203037\r\n") {
		t.Errorf("it came back as %q; want the letters' codes in hex", got)
	}
	b.must("AT+CSMP=17,167,0,0", "\r\nOK\r\n")
	b.text(`AT+CMGS="+447700900123"`, "trailer 07\x1a")
	sent := b.m.Sent()
	if sent[0].Shown == "trailer 07" || sent[1].Shown != "trailer 07" {
		t.Errorf("recipients saw %+v", sent)
	}
}
