package module

import (
	"strings"
	"testing"
	"time"
)

// TestV250 holds the module to ITU-T V.250; the clause stands beside each line.
func TestV250(t *testing.T) {
	b := switchOn(t, "healthy")
	b.out = nil
	b.send("AT\r")
	b.wait(time.Second)
	if got := string(b.out); got != "AT\r\r\nOK\r\n" { // 5.2.3 echo, 5.7.1 result
		t.Errorf("AT gave %q", got)
	}
	b.must("ATE0", "\r\nOK\r\n") // 6.2.4
	for _, c := range []struct{ clause, command, want string }{
		{"5.2.1", "at", "\r\nOK\r\n"},
		{"5.6", "AT", "\r\nOK\r\n"},
		{"5.3.1", "ATE0V1", "\r\nOK\r\n"},
		{"5.3.1 spaces are ignored", "AT E0 V1", "\r\nOK\r\n"},
		{"5.3.1 leading zeros", "ATE00", "\r\nOK\r\n"},
		{"5.3.1 a number that does not fit", "ATE7", "\r\nERROR\r\n"},
		{"5.3.2 three digits", "ATS3?", "\r\n013\r\n\r\nOK\r\n"},
		{"5.3.2 unknown register", "ATS99?", "\r\nERROR\r\n"},
		{"5.4.5 concatenation", "AT+CMEE=1;+CMEE?", "\r\n+CMEE: 1\r\n\r\nOK\r\n"},
		{"5.4.5 basic before extended", "ATE0+CMEE?", "\r\n+CMEE: 1\r\n\r\nOK\r\n"},
		{"5.6 the first failure ends the line", "AT+CMEE?;+NOSUCH;+CMEE=0", "\r\n+CMEE: 1\r\n\r\nERROR\r\n"},
		{"5.6 and the rest was not run", "AT+CMEE?", "\r\n+CMEE: 1\r\n\r\nOK\r\n"},
		{"5.4.3 test form", "AT+CMEE=?", "\r\n+CMEE: (0-2)\r\n\r\nOK\r\n"},
		{"5.3.1 unknown command", "ATY", "\r\nERROR\r\n"},
		{"6.2.5", "ATQ1", ""},
		{"6.2.5 nothing is said", "AT", ""},
		{"6.2.5", "ATQ0", "\r\nOK\r\n"},
		{"6.2.6 numeric", "ATV0", "0\r"},
		{"6.2.6 information ends with both characters", "AT+CMEE?", "+CMEE: 1\r\n0\r"},
		{"6.2.6 ERROR is 4", "AT+NOSUCH", "4\r"},
		{"6.2.6", "ATV1", "\r\nOK\r\n"},
	} {
		if got := b.ask(c.command, time.Second); got != c.want {
			t.Errorf("%s: %s gave %q; want %q", c.clause, c.command, got, c.want)
		}
	}
}

// TestEditingAndEnds: S3 ends, S5 deletes, other control characters count for
// nothing, a line feed behind the end does not disturb (V.250 5.2.2, 5.6.1).
func TestEditingAndEnds(t *testing.T) {
	b := switchOn(t, "healthy")
	b.must("ATE0", "\r\nOK\r\n")
	for _, c := range []struct{ typed, want string }{
		{"AT+CMEX\bE?\r", "\r\n+CMEE: 0\r\n\r\nOK\r\n"},
		{"A\x01T+C\x02MEE?\r\n", ""}, // a broken prefix is none
		{"AT+C\x02MEE?\r\n", "\r\n+CMEE: 0\r\n\r\nOK\r\n"},
		{"noise AT+CMEE?\r", "\r\n+CMEE: 0\r\n\r\nOK\r\n"},
		{"A/", "\r\n+CMEE: 0\r\n\r\nOK\r\n"},
		{"AAT\r", "\r\nOK\r\n"},
		{"\r\r\n\r", ""},
		{"ATS3=42\r", "*\nOK*\n"}, // the new end character frames its own result
		{"AT+CMEE?*", "*\n+CMEE: 0*\n*\nOK*\n"},
		{"ATS3=13*", "\r\nOK\r\n"},
		{"AT" + strings.Repeat(" ", 600) + "\r", "\r\nERROR\r\n"}, // 5.2.1: too many characters
		{"AT\r", "\r\nOK\r\n"},
	} {
		b.out = nil
		b.send(c.typed)
		b.wait(time.Second)
		if got := string(b.out); got != c.want {
			t.Errorf("%q gave %q; want %q", c.typed, got, c.want)
		}
	}
}

// TestAbort: a byte within 125 ms does not abort, a later one does, and only a
// command that may be aborted (V.250 5.6.1; 27.007 7.3 for +COPS).
func TestAbort(t *testing.T) {
	b := switchOn(t, "healthy")
	b.must("ATE0", "\r\nOK\r\n")
	b.out = nil
	b.send("AT+COPS=?\r\n")
	b.wait(100 * time.Millisecond)
	b.send("x")
	b.wait(time.Second)
	if len(b.out) != 0 {
		t.Errorf("within 125 ms it was aborted: %q", b.out)
	}
	b.send("x")
	if got := string(b.out); got != "\r\nERROR\r\n" {
		t.Errorf("aborting gave %q", got)
	}
	b.wait(time.Minute)
	if got := string(b.out); got != "\r\nERROR\r\n" {
		t.Errorf("after the abort came %q", got)
	}
	// A send may not be aborted: what comes early is lost, and answered by nothing.
	b.wait(10 * time.Second)
	b.must("AT+CMGF=1", "\r\nOK\r\n")
	b.ask(`AT+CMGS="+447700900123"`, time.Second)
	b.out = nil
	b.send("hello\x1a")
	b.wait(time.Second)
	b.send("AT+CSQ\r")
	b.wait(10 * time.Second)
	if got := string(b.out); got != "\r\n+CMGS: 0\r\n\r\nOK\r\n" {
		t.Errorf("a command typed too early gave %q", got)
	}
}

// TestTextBeforeThePrompt is lost: the fault that a fixed delay makes.
func TestTextBeforeThePrompt(t *testing.T) {
	b := switchOn(t, "healthy")
	b.wait(10 * time.Second)
	b.ask("ATE0;+CMGF=1", time.Second)
	b.out = nil
	b.send("AT+CMGS=\"+447700900123\"\rhello\x1a")
	b.wait(20 * time.Second)
	if got := string(b.out); got != "\r\n> " {
		t.Errorf("got %q; want the prompt, and nothing more: the text was lost", got)
	}
}

// TestUnsolicitedWaits: a report does not cut into a line that is being typed.
func TestUnsolicitedWaits(t *testing.T) {
	b := switchOn(t, "healthy")
	b.ask("AT+CREG=1", time.Second)
	b.out = nil
	b.send("AT+CME")
	b.wait(15 * time.Second) // registration falls in here
	if got := string(b.out); got != "AT+CME" {
		t.Fatalf("while typing came %q", got)
	}
	b.send("E?\r")
	b.wait(time.Second)
	if got := string(b.out); got != "AT+CMEE?\r\r\n+CREG: 1\r\n\r\n+CMEE: 0\r\n\r\nOK\r\n" {
		t.Errorf("got %q", got)
	}
	// A line that nobody ends is forgotten after half a minute (5.5).
	b.out = nil
	b.send("AT+CME")
	b.wait(31 * time.Second)
	b.send("E?\r")
	b.wait(time.Second)
	if got := string(b.out); got != "AT+CMEE?\r" {
		t.Errorf("an old line was run: %q", got)
	}
}

// TestSettingsReadBack: what is set is what is read.
func TestSettingsReadBack(t *testing.T) {
	b := switchOn(t, "healthy")
	b.wait(10 * time.Second)
	b.must("ATE0", "\r\nOK\r\n")
	for _, c := range []struct{ set, read, want string }{
		{"ATS0=2", "ATS0?", "002"},
		{"AT+CMEE=2", "AT+CMEE?", "+CMEE: 2"},
		{"AT+CREG=1", "AT+CREG?", "+CREG: 1,1"},
		{"AT+CGREG=2", "AT+CGREG?", `+CGREG: 2,1,"00C3","0000A1F2",0`},
		{"AT+CEREG=3", "AT+CEREG?", "+CEREG: 3,4"},
		{"AT+COPS=3,2", "AT+COPS?", `+COPS: 0,2,"00101",0`},
		{"AT+CLIP=1", "AT+CLIP?", "+CLIP: 1,1"},
		{"AT+CTZU=1", "AT+CTZU?", "+CTZU: 1"},
		{"AT+CTZR=1", "AT+CTZR?", "+CTZR: 1"},
		{`AT+CCLK="30/12/31,23:59:58+00"`, "AT+CCLK?", `+CCLK: "30/12/31,23:59:58+00"`},
		{"AT+CMGF=1", "AT+CMGF?", "+CMGF: 1"},
		{"AT+CSDH=1", "AT+CSDH?", "+CSDH: 1"},
		{"AT+CSMS=1", "AT+CSMS?", "+CSMS: 1,1,1,1"},
		{"AT+CSMP=49,170,64,8", "AT+CSMP?", "+CSMP: 49,170,64,8"},
		{"AT+CSMP=,,,0", "AT+CSMP?", "+CSMP: 49,170,64,0"},
		{"AT+CNMI=2,1,0,1,0", "AT+CNMI?", "+CNMI: 2,1,0,1,0"},
		{"AT+CNMI=1", "AT+CNMI?", "+CNMI: 1,0,0,0,0"},
		{`AT+CSCA="+447700900009"`, "AT+CSCA?", `+CSCA: "+447700900009",145`},
		{`AT+CPMS="ME","SM"`, "AT+CPMS?", `+CPMS: "ME",0,23,"SM",1,20,"SM",1,20`},
		{`AT+CSCS="IRA"`, "AT+CSCS?", `+CSCS: "IRA"`},
		{`AT+CGDCONT=1,"IP","moor.example"`, "AT+CGDCONT?", `+CGDCONT: 1,"IP","moor.example","0.0.0.0",0,0`},
		{"AT+CGATT=1", "AT+CGATT?", "+CGATT: 1"},
		{"AT+CGACT=1,1", "AT+CGACT?", "+CGACT: 1,1"},
		{"AT+ICF=3,1", "AT+ICF?", "+ICF: 3,1"},
		{"AT+IFC=0,0", "AT+IFC?", "+IFC: 0,0"},
		{"AT+CFUN=4", "AT+CFUN?", "+CFUN: 4"},
		{"AT+DEMOGNSS=1", "AT+DEMOGNSS?", "+DEMOGNSS: 1"},
		{"AT+DEMOSLEEP=1", "AT+DEMOSLEEP?", "+DEMOSLEEP: 1"},
		{"AT+CMOLR=1,0,0,0,0,0,0,0,1,20,30,1,0", "AT+CMOLR?", "+CMOLR: 1,0,0,0,0,0,0,0,1,20,30,1,0"},
		{"AT+CMOLRE=1", "AT+CMOLRE?", "+CMOLRE: 1"},
	} {
		if got := b.ask(c.set, time.Minute); !strings.HasSuffix(got, "\r\nOK\r\n") {
			t.Errorf("%s gave %q", c.set, got)
		}
		if got := b.ask(c.read, time.Minute); got != "\r\n"+c.want+"\r\n\r\nOK\r\n" {
			t.Errorf("%s after %s gave %q; want %s", c.read, c.set, got, c.want)
		}
	}
}

// TestRestartForgets: after a restart the settings are the saved ones, echo is on.
func TestRestartForgets(t *testing.T) {
	b := switchOn(t, "healthy")
	b.must("AT+CMEE=1", "\r\nOK\r\n")
	b.must("AT&W", "\r\nOK\r\n")
	b.ask("ATE0;+CMEE=2;+CMGF=1;+CREG=1;+DEMOGNSS=1", time.Minute)
	b.ask("AT+CFUN=1,1", time.Minute)
	b.out = nil
	b.wait(5 * time.Second)
	if got := string(b.out); got != "\r\nDEMO READY\r\n" {
		t.Fatalf("after the restart came %q", got)
	}
	b.out = nil
	b.send("AT+CMEE?;+CMGF?;+CREG?;+DEMOGNSS?\r")
	b.wait(time.Second)
	if got, want := string(b.out), "AT+CMEE?;+CMGF?;+CREG?;+DEMOGNSS?\r\r\n+CMEE: 1\r\n\r\n+CMGF: 0\r\n\r\n+CREG: 0,2\r\n\r\n+DEMOGNSS: 0\r\n\r\nOK\r\n"; got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// TestSleep: the bytes that wake the module are lost.
func TestSleep(t *testing.T) {
	b := switchOn(t, "healthy")
	b.must("AT+DEMOSLEEP=1", "\r\nOK\r\n")
	b.wait(10 * time.Second)
	b.out = nil
	b.send("AT\r")
	b.wait(time.Second)
	if len(b.out) != 0 {
		t.Errorf("asleep it answered %q", b.out)
	}
	b.send("AT\r")
	b.wait(time.Second)
	if got := string(b.out); got != "AT\r\r\nOK\r\n" {
		t.Errorf("awake it answered %q", got)
	}
}

// TestSpeedChanges after the result (V.250 6.2.10).
func TestSpeedChanges(t *testing.T) {
	b := switchOn(t, "healthy")
	if b.m.Baud() != 9600 {
		t.Fatalf("begins at %d", b.m.Baud())
	}
	b.out = nil
	b.send("AT+IPR=115200\r")
	for !strings.Contains(string(b.out), "OK") {
		b.wait(time.Millisecond)
	}
	if b.m.Baud() != 9600 {
		t.Error("the speed changed before the result was out")
	}
	b.wait(time.Second)
	if b.m.Baud() != 115200 {
		t.Errorf("afterwards it speaks at %d", b.m.Baud())
	}
}

func TestSwitchedOff(t *testing.T) {
	b := switchOn(t, "healthy")
	b.out = nil
	b.send("AT+DEMOOFF\r")
	b.wait(time.Minute)
	if got := string(b.out); got != "AT+DEMOOFF\r\r\nOK\r\n\r\nDEMO POWER DOWN\r\n" {
		t.Errorf("got %q", got)
	}
	b.out = nil
	b.send("AT\r")
	b.wait(time.Minute)
	if len(b.out) != 0 {
		t.Errorf("switched off it says %q", b.out)
	}
}
