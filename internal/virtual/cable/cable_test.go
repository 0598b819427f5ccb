package cable

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"firstfix/internal/virtual/module"
	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/uart"

	"pgregory.net/rapid"
)

func newCable(w *world.World, seed uint64) *Cable {
	return New(module.New(w, rand.New(rand.NewPCG(seed, 1))), rand.New(rand.NewPCG(seed, 2)))
}

// healthy is the healthy world with another line.
func healthy(change func(*world.Line)) *world.World {
	w, _, _ := world.Named("healthy")
	change(&w.Line)
	return w
}

// TestReread: what a receiver of one frame makes of another, bit by bit. Even
// parity makes the number of ones even; the values are worked out by hand.
func TestReread(t *testing.T) {
	frame := func(s string) uart.Frame {
		f, ok := uart.ParseFrame(s)
		if !ok {
			t.Fatal(s)
		}
		return f
	}
	for _, c := range []struct {
		sent, read string
		b, want    byte
		good       bool
	}{
		{"8N1", "8N1", 0xA5, 0xA5, true},
		{"7E1", "8N1", 'O', 0xCF, true}, // 1001111 has five ones: the parity is 1 and becomes the eighth bit
		{"7E1", "8N1", 'K', 0x4B, true}, // four ones: the parity is 0
		{"7O1", "8N1", 'K', 0xCB, true},
		{"8N1", "7E1", 'A', 'A', true},    // two ones, eighth bit 0: the parity fits
		{"8N1", "7E1", 'T', 0, false},     // three ones: it does not
		{"8N1", "8N2", 'x', 'x', true},    // a longer pause disturbs nobody
		{"8N2", "8N1", 'x', 'x', true},    // nor here
		{"8E1", "8N1", 0x07, 0x07, true},  // three ones: the parity bit is 1, as a stop bit has to be
		{"8E1", "8N1", 0x03, 0x03, false}, // two ones: it is 0, a framing error
		{"8N1", "8E1", 0x07, 0x07, true},  // the stop bit is taken for the parity 1
		{"8N1", "8E1", 0x03, 0, false},
		{"7N2", "8N1", 'A', 0xC1, true}, // the first stop bit becomes the eighth data bit
		{"8N1", "7N2", 'A', 'A', false}, // the eighth bit 0 stands where a stop bit should be
	} {
		got, good := reread(c.b, frame(c.sent), frame(c.read))
		if good != c.good || good && got != c.want {
			t.Errorf("%s sent %#x, %s read %#x, %v; want %#x, %v", c.sent, c.b, c.read, got, good, c.want, c.good)
		}
	}
}

// TestGoodLineChangesNothing: with a good line the cable is the module.
func TestGoodLineChangesNothing(t *testing.T) {
	w := healthy(func(*world.Line) {})
	c, m := newCable(w, 5), module.New(w, rand.New(rand.NewPCG(5, 1)))
	var viaCable, direct []byte
	now := when.Instant(0)
	for _, say := range []string{"AT\r", "AT+CSQ\r", "AT+DEMOGNSS=1;+DEMONMEA=1\r", "AT+COPS=?\r"} {
		now = now.Add(7 * time.Second)
		viaCable = c.Feed(now, []byte(say), viaCable)
		direct = m.Feed(now, []byte(say), direct)
	}
	now = now.Add(2 * time.Minute)
	viaCable, direct = c.Tick(now, viaCable), m.Tick(now, direct)
	if !bytes.Equal(viaCable, direct) || len(direct) < 10000 {
		t.Errorf("%d bytes through the cable, %d without", len(viaCable), len(direct))
	}
}

// TestCutsAndTicksDoNotMatter, with every fault of the line at once or some.
func TestCutsAndTicksDoNotMatter(t *testing.T) {
	lines := []string{"AT\r", "ATE0\r", "AT+CLAC\r", "AT+CMGF=1\r", "AT+CMGL=\"ALL\"\r", "AT+CMGS=\"+12025550143\"\r", "text\x1a", "AT+DEMOGNSS=1;+DEMONMEA=1\r", "AT+CREG=2\r", "\x11\x13x\r", "AT+CFUN=1,1\r", "AT+ICF=5,1\r", "AT+IFC=1,1\r"}
	faults := []string{"bytes-lost", "noisy-ground", "burst-noise", "flow-characters", "flow-stall", "controller-buffer", "software-serial", "other-master", "wrong-frame", "module-deaf", "resets", "breaks-in", "sleeps", "slow-to-train"}
	rapid.Check(t, func(rt *rapid.T) {
		w := healthy(func(*world.Line) {})
		for _, name := range rapid.SliceOfN(rapid.SampledFrom(faults), 0, 4).Draw(rt, "faults") {
			w.Faults = append(w.Faults, world.Scheduled{Fault: name, AtS: float64(rapid.IntRange(0, 40).Draw(rt, "at_s")), EveryS: 60, ForS: 45})
		}
		seed := rapid.Uint64().Draw(rt, "seed")
		waits := rapid.SliceOfN(rapid.SampledFrom([]int{0, 3, 90, 1000, 4000, 30000}), 1, 15).Draw(rt, "waits_ms")
		says := rapid.SliceOfN(rapid.SampledFrom(lines), len(waits), len(waits)).Draw(rt, "says")
		run := func(cut bool, tick time.Duration) []byte {
			c := newCable(w, seed)
			var out []byte
			now := when.Instant(0)
			for i, say := range says {
				end := now.Add(time.Duration(waits[i]) * time.Millisecond)
				for tick > 0 && now.Add(tick) < end {
					now = now.Add(tick)
					out = c.Tick(now, out)
				}
				now = end
				if !cut {
					out = c.Feed(now, []byte(say), out)
					continue
				}
				for k := range len(say) {
					out = c.Feed(now, []byte{say[k]}, out)
				}
			}
			return c.Tick(now.Add(time.Minute), out)
		}
		whole := run(false, 0)
		for _, other := range [][]byte{run(true, 0), run(false, 17*time.Millisecond), run(true, 2*time.Second)} {
			if !bytes.Equal(whole, other) {
				rt.Fatalf("two ways to the same input gave\n%q\n%q", whole, other)
			}
		}
	})
}

// said runs a cable with a line and returns what came back to some lines.
func said(w *world.World, lines ...string) string {
	c := newCable(w, 3)
	var out []byte
	now := 12 * when.Second
	for _, l := range lines {
		out = c.Feed(now, []byte(l), out)
		now = now.Add(2 * time.Second)
	}
	return string(c.Tick(now, out))
}

// TestRates: about as many bytes are hurt as the world says. 600 answers of 27
// bytes; the deviation of a count is its root.
func TestRates(t *testing.T) {
	lines := make([]string, 600)
	for i := range lines {
		lines[i] = "AT+CMEE?\r"
	}
	clean := said(healthy(func(*world.Line) {}), append([]string{"ATE0\r"}, lines...)...)
	lost := said(healthy(func(l *world.Line) { l.LostPerMillion = 2000 }), append([]string{"ATE0\r"}, lines...)...)
	if strings.Count(clean, "+CMEE: 0") != 600 {
		t.Fatal("the clean line is not clean")
	}
	// A lost byte inwards costs a whole answer, outwards one byte.
	if whole := strings.Count(lost, "\r\n+CMEE: 0\r\n\r\nOK\r\n"); whole < 520 || whole > 575 {
		t.Errorf("of 600 answers %d are whole; want about 600 x 0.998^(9+20) = 566, less 30 for lines of two", whole)
	}
}

// TestStall: a long answer stops after so many bytes and goes on after so long;
// nothing is lost.
func TestStall(t *testing.T) {
	w := healthy(func(l *world.Line) { l.StallsAfterBytes, l.StallS = 100, 5 })
	c := newCable(w, 1)
	out := c.Feed(10*when.Second, []byte("AT+CLAC\r"), nil)
	out = c.Tick(11*when.Second, out)
	if n := len(out); n != 100+len("\r\nDEMO READY\r\n") {
		t.Errorf("%d bytes came before the stall", n)
	}
	stalled := len(out)
	out = c.Tick(14*when.Second, out)
	if len(out) != stalled {
		t.Errorf("while stalled came %q", out[stalled:])
	}
	out = c.Tick(20*when.Second, out)
	if !strings.HasSuffix(string(out), "OK\r\n") || !bytes.Equal(out, []byte(said(healthy(func(*world.Line) {}), "AT+CLAC\r"))) {
		t.Errorf("in the end came %q", out)
	}
}

// TestBufferOverflow: of a long answer the first bytes arrive, the rest of each
// window of time is lost.
func TestBufferOverflow(t *testing.T) {
	w := healthy(func(l *world.Line) { l.ControllerBufferBytes, l.ControllerReadsEveryMS = 64, 1000 })
	full := said(healthy(func(*world.Line) {}), "AT+CLAC\r")
	got := said(w, "AT+CLAC\r")
	// 960 bytes a second, of which 64 find room.
	if share := float64(len(got)) / float64(len(full)); share < 0.05 || share > 0.4 {
		t.Errorf("of %d bytes %d arrived", len(full), len(got))
	}
}

// TestOtherMaster: its lines are echoed and answered, and its settings count.
func TestOtherMaster(t *testing.T) {
	w := healthy(func(l *world.Line) { l.OtherMaster = true })
	got := said(w, "AT+CMGF=1\r", "", "", "", "", "", "", "", "AT+CMGF?\r")
	if !strings.Contains(got, "AT+CGMI\r") || !strings.Contains(got, "AT+CMGF?\r\r\n+CMGF: 0\r\n") {
		t.Errorf("got %q", got)
	}
}

// Enough: an hour of sentences through a bad line in 150 ms.
func BenchmarkHourOfSentences(b *testing.B) {
	w := healthy(func(l *world.Line) { l.BitErrorsPerMillion, l.ControllerBufferBytes = 500, 64 })
	var out []byte
	for b.Loop() {
		c := newCable(w, 1)
		out = c.Feed(4*when.Second, []byte("ATE0;+DEMOGNSS=1;+DEMONMEA=1\r"), out[:0])
		for at := 5 * when.Second; at < 3600*when.Second; at += when.Second {
			out = c.Tick(at, out[:0])
		}
	}
	b.ReportMetric(3600*float64(b.N)/b.Elapsed().Seconds(), "x-real-time")
}
