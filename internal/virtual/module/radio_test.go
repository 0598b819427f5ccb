package module

import (
	"strconv"
	"strings"
	"testing"
	"time"
)

func itoa(n int) string { return strconv.Itoa(n) }

// TestRegistrationWorlds: what +CREG shows after a minute, by world.
func TestRegistrationWorlds(t *testing.T) {
	for _, c := range []struct{ world, creg, cpin string }{
		{"healthy", "0,1", "+CPIN: READY"},
		{"no-card", "0,0", "+CME ERROR: 10"},
		{"pin-wanted", "0,0", "+CPIN: SIM PIN"},
		{"registration-denied", "0,3", "+CPIN: READY"},
		{"never-registers", "0,2", "+CPIN: READY"},
		{"antennas-swapped", "0,1", "+CPIN: READY"},
	} {
		b := switchOn(t, c.world)
		b.wait(time.Minute)
		b.must("ATE0;+CMEE=1", "\r\nOK\r\n")
		if got := b.ask("AT+CREG?", time.Second); !strings.Contains(got, "+CREG: "+c.creg+"\r\n") {
			t.Errorf("%s: %q; want %s", c.world, got, c.creg)
		}
		if got := b.ask("AT+CPIN?", time.Second); !strings.Contains(got, c.cpin) {
			t.Errorf("%s: %q; want %s", c.world, got, c.cpin)
		}
	}
}

// TestRefusalIsExplained: the cause is told by +CREG=3 (27.007 clause 7.2) and +CEER.
func TestRefusalIsExplained(t *testing.T) {
	b := switchOn(t, "registration-denied")
	b.wait(time.Minute)
	b.ask("ATE0;+CREG=3", time.Second)
	b.must("AT+CREG?", "\r\n+CREG: 3,3,\"00C3\",\"0000A1F2\",0,0,11\r\n\r\nOK\r\n")
	b.must("AT+CEER", "\r\n+CEER: registration denied, cause 11\r\n\r\nOK\r\n")
	b.must("AT+CREG=0;+CMEE=1", "\r\nOK\r\n")
	b.must("AT+COPS=0", "\r\n+CME ERROR: 32\r\n")
}

// TestFlapping: registration is lost and found again and again.
func TestFlapping(t *testing.T) {
	b := switchOn(t, "flapping")
	b.ask("AT+CREG=1", time.Second)
	b.out = nil
	b.wait(3 * time.Minute)
	if lost, found := strings.Count(string(b.out), "+CREG: 2"), strings.Count(string(b.out), "+CREG: 1"); lost < 3 || found < 3 {
		t.Errorf("in three minutes it was lost %d times and found %d times: %q", lost, found, b.out)
	}
}

// TestSearchTakesItsTime: +COPS=? takes tens of seconds and lists the networks.
func TestSearchTakesItsTime(t *testing.T) {
	b := switchOn(t, "healthy")
	b.wait(15 * time.Second)
	b.must("ATE0", "\r\nOK\r\n")
	before := b.now
	b.must("AT+COPS=?", "\r\n+COPS: (2,\"Moorfunk\",\"Moorfnk\",\"00101\",0),(3,\"Heidenetz\",\"Heide\",\"00102\",0),,(0-4),(0-2)\r\n\r\nOK\r\n")
	if took := b.now.Sub(before); took < 15*time.Second || took > time.Minute {
		t.Errorf("it took %v", took)
	}
	b.must("AT+COPS=2", "\r\nOK\r\n")
	b.must("AT+CREG?", "\r\n+CREG: 0,0\r\n\r\nOK\r\n")
	b.must("AT+COPS=0", "\r\nOK\r\n") // it ends when the network is found
	b.must("AT+CREG?", "\r\n+CREG: 0,1\r\n\r\nOK\r\n")
	b.must(`AT+COPS=1,2,"00101"`, "\r\nOK\r\n")
	b.must("AT+COPS=3,2", "\r\nOK\r\n")
	b.must("AT+COPS?", "\r\n+COPS: 1,2,\"00101\",0\r\n\r\nOK\r\n")
	b.must("AT+CMEE=1", "\r\nOK\r\n")
	b.must(`AT+COPS=1,2,"00199"`, "\r\n+CME ERROR: 30\r\n")
}

// TestPIN: 27.007 clause 8.3. Wrong ones use up tries, a bad spelling does not;
// after the last the card wants its PUK, and after ten wrong PUKs it is dead.
func TestPIN(t *testing.T) {
	b := switchOn(t, "pin-wanted")
	b.must("AT+CMEE=1", "\r\nOK\r\n")
	b.must("ATE0", "\r\nOK\r\n")
	b.must("AT+CIMI", "\r\n+CME ERROR: 11\r\n")
	b.must(`AT+CPIN="12x4"`, "\r\n+CME ERROR: 50\r\n")
	b.must(`AT+CPIN="0000"`, "\r\n+CME ERROR: 16\r\n")
	b.must("AT+CPIN?", "\r\n+CPIN: SIM PIN\r\n\r\nOK\r\n")
	b.must(`AT+CPIN="1111"`, "\r\n+CME ERROR: 16\r\n")
	b.must(`AT+CPIN="2222"`, "\r\n+CME ERROR: 12\r\n")
	b.must("AT+CPIN?", "\r\n+CPIN: SIM PUK\r\n\r\nOK\r\n")
	b.must(`AT+CPIN="4711"`, "\r\n+CME ERROR: 12\r\n")
	b.must(`AT+CPIN="12345678","8642"`, "\r\nOK\r\n")
	b.must("AT+CPIN?", "\r\n+CPIN: READY\r\n\r\nOK\r\n")
	b.ask("AT+CFUN=1,1", time.Second)
	b.wait(4 * time.Second)
	b.must("ATE0", "\r\nOK\r\n")
	b.must(`AT+CPIN="8642"`, "\r\nOK\r\n") // the new PIN survived the restart
	b.must(`AT+CLCK="SC",2`, "\r\n+CLCK: 1\r\n\r\nOK\r\n")
	b.must(`AT+CLCK="SC",0,"8642"`, "\r\nOK\r\n")
	b.ask("AT+CFUN=1,1", time.Second)
	b.wait(4 * time.Second)
	b.must("ATE0;+CMEE=1", "\r\nOK\r\n")
	b.must("AT+CPIN?", "\r\n+CPIN: READY\r\n\r\nOK\r\n")

	last := switchOn(t, "pin-blocked-soon")
	last.must("ATE0;+CMEE=1", "\r\nOK\r\n")
	last.must(`AT+CPIN="0000"`, "\r\n+CME ERROR: 12\r\n")
	for range 10 {
		last.must(`AT+CPIN="00000000","1234"`, "\r\n+CME ERROR: 16\r\n")
	}
	last.must(`AT+CPIN="12345678","1234"`, "\r\n+CME ERROR: 13\r\n")
}

// TestCardContact: the card comes and goes, and with it the registration.
func TestCardContact(t *testing.T) {
	b := switchOn(t, "card-contact")
	b.must("ATE0;+CMEE=1", "\r\nOK\r\n")
	ready, gone := 0, 0
	for range 120 {
		switch got := b.ask("AT+CPIN?", time.Second); {
		case strings.Contains(got, "READY"):
			ready++
		case strings.Contains(got, "+CME ERROR: 13"):
			gone++
		default:
			t.Fatalf("got %q", got)
		}
		b.wait(time.Second)
	}
	if ready < 30 || gone < 15 {
		t.Errorf("in two minutes %d answers READY and %d without the card", ready, gone)
	}
}

// TestRestartOnTransmit: the module restarts when it sends, and at no other time.
func TestRestartOnTransmit(t *testing.T) {
	b := switchOn(t, "restart-on-transmit")
	b.ask("AT+CFUN=4", time.Second) // radio off: no bursts
	b.out = nil
	b.wait(5 * time.Minute)
	if len(b.out) != 0 {
		t.Errorf("with the radio off came %q", b.out)
	}
	b.ask("AT+CFUN=1", time.Second)
	b.out = nil
	b.wait(5 * time.Minute)
	if n := strings.Count(string(b.out), bannerReady); n < 5 {
		t.Errorf("with the radio on it restarted %d times in five minutes: %q", n, b.out)
	}
	healthy := switchOn(t, "healthy")
	healthy.out = nil
	healthy.wait(time.Hour)
	if len(healthy.out) != 0 {
		t.Errorf("a healthy module said %q", healthy.out)
	}
}

// TestWeakSignal: it shows in +CSQ, and registration is not steady.
func TestWeakSignal(t *testing.T) {
	b := switchOn(t, "weak-signal")
	b.ask("ATE0;+CREG=1", time.Second)
	lowest, highest := 31, 0
	lost := 0
	for range 60 {
		b.wait(5 * time.Second)
		got := b.ask("AT+CSQ", time.Second)
		_, rest, _ := strings.Cut(got, "+CSQ: ")
		n, err := strconv.Atoi(strings.SplitN(rest, ",", 2)[0])
		if err != nil {
			t.Fatalf("got %q", got)
		}
		lowest, highest = min(lowest, n), max(highest, n)
		if got := b.ask("AT+CREG?", time.Second); strings.Contains(got, "+CREG: 1,2") {
			lost++
		}
	}
	if lowest > 5 || highest > 7 {
		t.Errorf("+CSQ from %d to %d; want a weak signal, 5 or less", lowest, highest)
	}
	if lost == 0 {
		t.Error("in five minutes it was never without a network")
	}
}

// TestClock: nobody has set it before the network does (27.007 clause 8.15).
func TestClock(t *testing.T) {
	b := switchOn(t, "healthy")
	b.must("ATE0", "\r\nOK\r\n")
	if got := b.ask("AT+CCLK?", time.Second); !strings.Contains(got, `+CCLK: "80/01/06,00:00:0`) {
		t.Errorf("before registration the clock says %q", got)
	}
	b.wait(15 * time.Second)
	if got := b.ask("AT+CCLK?", time.Second); !strings.Contains(got, `+CCLK: "26/03/04,11:15:`) || !strings.Contains(got, `+04"`) {
		t.Errorf("after registration the clock says %q", got)
	}
}
