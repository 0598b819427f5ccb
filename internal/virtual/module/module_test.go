package module

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"

	"pgregory.net/rapid"
)

// lines are what the properties type: good, bad, slow and dangerous.
var lines = []string{
	"AT\r", "at\r\n", "ATE0\r", "ATE1\r", "ATV0\r", "ATV1\r", "ATQ1\r", "ATQ0\r", "A/", "ATZ\r", "AT&F\r", "AT&W\r", "ATI\r", "ATI77\r", "ATS3?\r", "ATS5=8\r", "ATS99=1\r",
	"AT+CMEE=2\r", "AT+CMEE=7\r", "AT+CREG=2\r", "AT+CREG?;+CSQ;+CBC\r", "AT+COPS=?\r", "AT+COPS=0\r", "AT+COPS=2\r", "AT+COPS?\r", "AT+CFUN=4\r", "AT+CFUN=1\r", "AT+CFUN=1,1\r",
	"AT+CPIN?\r", "AT+CPIN=\"0000\"\r", "AT+CPIN=\"4711\"\r", "AT+CIMI\r", "AT+CGATT=1\r", "AT+CGDCONT=1,\"IP\",\"moor\"\r", "AT+CGACT=1,1\r", "AT+CGPADDR\r",
	"AT+CMGF=1\r", "AT+CMGF=0\r", "AT+CSCS=\"UCS2\"\r", "AT+CSCS=\"GSM\"\r", "AT+CSMP=49,167,0,0\r", "AT+CSMP=17,167,0,8\r", "AT+CNMI=2,2,0,1,0\r", "AT+CNMI=2,1\r",
	"AT+CMGS=\"+447700900707\"\r", "AT+CMGS=18\r", "AT+CMGW=\"+447700900707\"\r", "AT+CMSS=2\r", "AT+CMGL=\"ALL\"\r", "AT+CMGL=4\r", "AT+CMGR=1\r", "AT+CMGD=1,4\r", "AT+CPMS=\"ME\"\r", "AT+CPMS?\r",
	"hello from trailer 07\x1a", "text\rand more\x1a", "never mind\x1b", "00480069\x1a",
	"AT+DEMOGNSS=1\r", "AT+DEMOGNSS=0\r", "AT+DEMOPOS?\r", "AT+DEMONMEA=1\r", "AT+DEMONMEA=0\r", "AT+DEMOCOLD\r", "AT+DEMOSLEEP=1\r", "AT+CMOLR=1,0,,,,,,,1,20,30\r",
	"AT+CCLK?\r", "AT+CLAC\r", "AT+NOSUCH\r", "ATD123;\r", "AT+IPR=115200\r", "\x00\xff\x80garbage", "AT+CSQ\x08\x08Q\r", "AT+",
}

type event struct {
	wait time.Duration
	text string
}

func drawTalk(t *rapid.T) []event {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) event {
		return event{
			wait: time.Duration(rapid.SampledFrom([]int{0, 1, 5, 20, 60, 130, 400, 1500, 6000, 31000, 70000}).Draw(t, "wait_ms")) * time.Millisecond,
			text: rapid.SampledFrom(lines).Draw(t, "text"),
		}
	}), 1, 25).Draw(t, "talk")
}

var worldNames = func() (names []string) {
	for _, e := range world.Builtin() {
		names = append(names, e.Name)
	}
	return names
}()

// TestCutsAndTicksDoNotMatter: the same bytes come out whether the input comes
// whole or byte by byte, and whether the module is ticked when it asks, all the
// time, or hardly ever.
func TestCutsAndTicksDoNotMatter(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		name := rapid.SampledFrom(worldNames).Draw(rt, "world")
		seed := rapid.Uint64().Draw(rt, "seed")
		talk := drawTalk(rt)
		run := func(cut bool, tick time.Duration) []byte {
			m := newModule(t, name, seed)
			var out []byte
			now := when.Instant(0)
			for _, e := range talk {
				for step := e.wait; tick > 0 && step > tick; step -= tick {
					now = now.Add(tick)
					out = m.Tick(now, out)
					e.wait -= tick
				}
				now = now.Add(e.wait)
				if !cut {
					out = m.Feed(now, []byte(e.text), out)
					continue
				}
				for i := range len(e.text) {
					out = m.Feed(now, []byte{e.text[i]}, out)
				}
			}
			return m.Tick(now.Add(2*time.Minute), out)
		}
		whole := run(false, 0)
		for _, other := range [][]byte{run(true, 0), run(false, 13*time.Millisecond), run(true, 3*time.Second)} {
			if !bytes.Equal(whole, other) {
				rt.Fatalf("two ways to the same input gave\n%q\n%q", whole, other)
			}
		}
	})
}

// TestOneFinalResult: every command line gets one final result and no more.
// What may end without one is left out: a restart, being switched off, Q1.
func TestOneFinalResult(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := switchOn(t, rapid.SampledFrom([]string{"healthy", "no-card", "store-full", "registration-denied", "weak-signal", "blank-texts"}).Draw(rt, "world"))
		for _, line := range rapid.SliceOfN(rapid.SampledFrom(lines), 1, 30).Draw(rt, "lines") {
			if !strings.HasPrefix(strings.ToUpper(line), "AT") || !strings.HasSuffix(strings.TrimRight(line, "\n"), "\r") || strings.Contains(line, "Q1") || strings.Contains(line, "CFUN=1,1") || strings.Contains(line, "SLEEP") {
				continue
			}
			b.out = b.out[:0]
			b.send(line)
			for range 3 * 60 * 100 {
				if !b.m.exec.busy || b.m.entry.open {
					break
				}
				b.wait(10 * time.Millisecond)
			}
			if b.m.entry.open {
				body := rapid.SampledFrom([]string{"hello\x1a", "00480069\x1a", "\x1b", "\x1a"}).Draw(rt, "body")
				b.out = b.out[:0]
				b.send(body)
				// The short format has nothing between an echo and a digit (V.250 6.2.6).
				b.out = bytes.TrimPrefix(b.out, []byte(body))
				for range 3 * 60 * 100 {
					if !b.m.exec.busy {
						break
					}
					b.wait(10 * time.Millisecond)
				}
			}
			if n := finals(string(b.out)); n != 1 {
				rt.Fatalf("%q got %d final results: %q", line, n, b.out)
			}
		}
	})
}

// finals counts the final results of V.250 table 1, 27.007 9.2, 27.005 3.2.5.
// The texts that are typed in this file contain none.
func finals(out string) int {
	n := 0
	for _, l := range strings.FieldsFunc(out, func(r rune) bool { return r == '\r' || r == '\n' }) {
		if r, ok := at.ParseResult(l); ok && r.Kind.Final() {
			n++
		}
	}
	return n
}

// TestSeedDecides: the same seed gives the same bytes, another one others.
func TestSeedDecides(t *testing.T) {
	run := func(seed uint64) string {
		b := &bench{t: t, m: newModule(t, "healthy", seed)}
		b.wait(10 * time.Second)
		b.send("AT+DEMOGNSS=1;+DEMONMEA=1\r")
		b.wait(2 * time.Minute)
		return string(b.out)
	}
	if once, again := run(3), run(3); once != again {
		t.Error("the same seed gave two lives")
	}
	if run(3) == run(4) {
		t.Error("two seeds gave one life, noise and all")
	}
}

// FuzzFeed: no input makes it panic, hang or hoard.
func FuzzFeed(f *testing.F) {
	for i, l := range lines {
		f.Add([]byte(l), uint8(i), uint8(i%len(worldNames)))
	}
	f.Add([]byte("AT+CMGS=\"+447700900707\"\r\xf0\xf0"+strings.Repeat("x", 3000)+"\x1aAT+CMGL=\"ALL\"\r"), uint8(40), uint8(0))
	f.Add([]byte("AT"+strings.Repeat("+CSQ;", 300)+"\r"), uint8(1), uint8(0))
	f.Fuzz(func(t *testing.T, script []byte, pace, which uint8) {
		w := worldNames[int(which)%len(worldNames)]
		m := newModule(t, w, 1)
		now := 3 * when.Second
		var out []byte
		script = script[:min(len(script), 700)]
		for i := 0; i < len(script); i += 7 {
			// A byte of the script also says how long to wait: up to a minute.
			now = now.Add(time.Duration(script[i]) * time.Duration(pace) * time.Millisecond)
			out = m.Feed(now, script[i:min(i+7, len(script))], out[:0])
			if len(out) > 1<<20 {
				t.Fatalf("%d bytes at once", len(out))
			}
			if len(m.pending) > maxPendingBytes || len(m.entry.text) > maxTextBytes || len(m.reader.line) > maxLineBytes || len(m.network.flights) > maxFlights {
				t.Fatal("a buffer outgrew its limit")
			}
			if at, why := m.Deadline(); at <= now {
				t.Fatalf("at %v it still wants %q of %v", now, why, at)
			}
		}
	})
}

// TestCommandsStandInTheCatalogue: what the module calls a standard command is
// one, in the forms the standard gives it and in the clause it names.
func TestCommandsStandInTheCatalogue(t *testing.T) {
	for _, c := range commands {
		if c.clause == "sheet demo" || c.name == "S" || c.name == "&W" {
			continue
		}
		e, known := at.Lookup(c.name)
		if !known {
			t.Errorf("%s is not in the catalogue", c.name)
			continue
		}
		clause := strings.Fields(c.clause)[1]
		if !strings.Contains(e.Clause, strings.TrimSuffix(clause, ",")) {
			t.Errorf("%s: clause %s here, %s in the catalogue", c.name, c.clause, e.Clause)
		}
		for form, bit := range formBits {
			if c.forms&bit != 0 && !e.Forms.Has(form) {
				t.Errorf("%s has a form %v here that the catalogue does not have", c.name, form)
			}
		}
	}
}

// TestListIsWhole: +CLAC lists every command, and every listed one answers.
func TestListIsWhole(t *testing.T) {
	b := switchOn(t, "healthy")
	out := b.ask("AT+CLAC", time.Second)
	for _, c := range commands {
		if !strings.Contains(out, "\r\nAT"+c.name+"\r\n") {
			t.Errorf("+CLAC does not list %s", c.name)
		}
	}
}

// TestIMEI: the check digit of 3GPP TS 23.003 annex B, by Luhn's rule.
func TestIMEI(t *testing.T) {
	sum := 0
	for i := range len(imei) {
		d := int(imei[len(imei)-1-i] - '0')
		if i%2 == 1 {
			if d *= 2; d > 9 {
				d -= 9
			}
		}
		sum += d
	}
	if len(imei) != 15 || sum%10 != 0 {
		t.Errorf("IMEI %s does not pass Luhn's rule", imei)
	}
}

// Enough: an hour of a 20 s report cycle with sentences off in 10 ms.
func BenchmarkHourOfReports(b *testing.B) {
	w, _, _ := world.Named("healthy")
	var out []byte
	b.ReportAllocs()
	for b.Loop() {
		m := New(w, rand.New(rand.NewPCG(1, 0)))
		out = m.Feed(4*when.Second, []byte("ATE0;+DEMOGNSS=1\r"), out[:0])
		for t := 10 * when.Second; t < 3600*when.Second; t += 20 * when.Second {
			out = m.Feed(t, []byte("AT+DEMOPOS?\r"), out[:0])
			out = m.Tick(t+when.Second, out[:0])
		}
		if !bytes.Contains(out, []byte("+DEMOPOS: 1,")) {
			b.Fatalf("no position after an hour: %q", out)
		}
	}
	b.ReportMetric(3600*float64(b.N)/b.Elapsed().Seconds(), "x-real-time")
}

// Enough: an hour of sentences, one set a second, in 100 ms.
func BenchmarkHourOfSentences(b *testing.B) {
	w, _, _ := world.Named("healthy")
	var out []byte
	bytesOut := 0
	b.ReportAllocs()
	for b.Loop() {
		m := New(w, rand.New(rand.NewPCG(1, 0)))
		out = m.Feed(4*when.Second, []byte("ATE0;+DEMOGNSS=1;+DEMONMEA=1\r"), out[:0])
		bytesOut = 0
		for t := 5 * when.Second; t < 3600*when.Second; t += when.Second {
			out = m.Tick(t, out[:0])
			bytesOut += len(out)
		}
	}
	b.SetBytes(int64(bytesOut))
	b.ReportMetric(3600*float64(b.N)/b.Elapsed().Seconds(), "x-real-time")
}
