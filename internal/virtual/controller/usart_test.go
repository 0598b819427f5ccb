package controller

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var (
	rxd = PinOf('D', 0)
	txd = PinOf('D', 1)
)

// baudTable is the datasheet's "Examples of UBRRn settings" for 16 MHz (from memory):
// the wished rate, UBRR and error in per cent without and with U2X.
var baudTable = []struct {
	baud  float64
	ubrr  [2]uint16
	error [2]float64
}{
	{2400, [2]uint16{416, 832}, [2]float64{-0.1, 0.0}}, {4800, [2]uint16{207, 416}, [2]float64{0.2, -0.1}},
	{9600, [2]uint16{103, 207}, [2]float64{0.2, 0.2}}, {14400, [2]uint16{68, 138}, [2]float64{0.6, -0.1}},
	{19200, [2]uint16{51, 103}, [2]float64{0.2, 0.2}}, {28800, [2]uint16{34, 68}, [2]float64{-0.8, 0.6}},
	{38400, [2]uint16{25, 51}, [2]float64{0.2, 0.2}}, {57600, [2]uint16{16, 34}, [2]float64{2.1, -0.8}},
	{76800, [2]uint16{12, 25}, [2]float64{0.2, 0.2}}, {115200, [2]uint16{8, 16}, [2]float64{-3.5, 2.1}},
	{230400, [2]uint16{3, 8}, [2]float64{8.5, -3.5}}, {250000, [2]uint16{3, 7}, [2]float64{0, 0}},
	{500000, [2]uint16{1, 3}, [2]float64{0, 0}}, {1000000, [2]uint16{0, 1}, [2]float64{0, 0}},
}

// serialRig is a rig with USART0 set up.
func serialRig(t testing.TB, ubrr uint16, u2x bool, b, c uint8) *rig {
	r := newRig(t, Options{})
	r.set("UBRR0H", uint8(ubrr>>8))
	r.set("UBRR0L", uint8(ubrr))
	if u2x {
		r.set("UCSR0A", usartDouble)
	}
	r.set("UCSR0C", c)
	r.set("UCSR0B", b)
	return r
}

// TestBaudTable measures the bits of a character that is sent.
func TestBaudTable(t *testing.T) {
	for _, row := range baudTable {
		for i, u2x := range []bool{false, true} {
			r := serialRig(t, row.ubrr[i], u2x, usartTxOn, 0x06)
			r.Watch(txd)
			r.set("UDR0", 0x55) // start bit low, then high and low in turn, stop bit high
			e := edges(r.run(10*8*16*1000), txd)
			if len(e) < 10 {
				t.Fatalf("%.0f baud: %d edges", row.baud, len(e))
			}
			rate := 16e6 * 9 / float64(e[9].At-e[0].At)
			if off := 100 * (rate/row.baud - 1); math.Abs(off-row.error[i]) > 0.051 {
				t.Errorf("%.0f baud, UBRR %d, U2X %v: %.0f, which is off by %.2f %%; want %.1f %%", row.baud, row.ubrr[i], u2x, rate, off, row.error[i])
			}
		}
	}
}

// TestFramesSent lets a listener read what the transmitter sends in every format.
func TestFramesSent(t *testing.T) {
	for _, f := range []struct {
		b, c    uint8
		framing Framing
	}{
		{0, 0x06, Framing{}}, {0, 0x04, Framing{DataBits: 7}}, {0, 0x02, Framing{DataBits: 6}}, {0, 0x00, Framing{DataBits: 5}},
		{usartNineBits, 0x06, Framing{DataBits: 9}}, {0, 0x26, Framing{Parity: EvenParity}}, {0, 0x36, Framing{Parity: OddParity}}, {0, 0x0E, Framing{StopBits: 2}},
		{0, 0x2C, Framing{DataBits: 7, Parity: EvenParity, StopBits: 2}},
	} {
		r := serialRig(t, 25, false, usartTxOn|f.b, f.c)
		f.framing.BitCycles = 16 * 26
		p, err := NewPort(r.Core, rxd, txd, f.framing)
		if err != nil {
			t.Fatal(err)
		}
		sent := []uint8{0x00, 0xFF, 0x55, 0x13, 0x80}
		var heard []Heard
		for _, v := range sent {
			r.set("UDR0", v)
			heard = p.Hear(r.run(16*26*14), r.cycle, heard)
		}
		if len(heard) != len(sent) {
			t.Fatalf("%+v: %d heard", f.framing, len(heard))
		}
		for i, h := range heard {
			if h.Value != uint16(sent[i])&(1<<f.framing.dataBits()-1) || h.BadStop || h.BadParity {
				t.Errorf("%+v: 0x%02X came as %+v", f.framing, sent[i], h)
			}
		}
	}
}

// TestFlagsOfSending follows UDRE and TXC through two characters (datasheet, "Data
// transmission"): UDRE falls until the byte is in the shift register, TXC rises when
// nothing is left.
func TestFlagsOfSending(t *testing.T) {
	r := serialRig(t, 0, false, usartTxOn, 0x06) // a bit is 16 cycles
	r.Watch(txd)
	a := func() uint8 { return r.get("UCSR0A") & (usartEmpty | usartSent) }
	if a() != usartEmpty {
		t.Fatalf("at rest 0x%02X", a())
	}
	r.set("UDR0", 'a')
	r.run(3)
	r.set("UDR0", 'b')
	if a() != 0 {
		t.Errorf("two bytes written: 0x%02X; want neither flag", a())
	}
	r.run(165) // the second byte has begun
	if a() != usartEmpty {
		t.Errorf("second byte begun: 0x%02X; want UDRE", a())
	}
	r.run(165)
	if a() != usartEmpty|usartSent {
		t.Errorf("all sent: 0x%02X; want both", a())
	}
	r.set("UCSR0A", usartSent)
	if a() != usartEmpty {
		t.Errorf("TXC is not cleared by writing one")
	}
	e := edges(r.events, txd)
	if frames := e[len(e)-1].At - e[0].At; frames > 2*160 {
		t.Errorf("the second frame did not follow at once: %d cycles", frames)
	}
}

// TestReceiverTolerance is the datasheet's "Recommended maximum receiver baud rate
// error" (its formulas for Rslow and Rfast): a character comes through just inside
// these limits, and not far outside.
func TestReceiverTolerance(t *testing.T) {
	for _, u2x := range []bool{false, true} {
		s, sf, sm := 16.0, 8.0, 9.0
		if u2x {
			s, sf, sm = 8, 4, 5
		}
		for _, f := range []struct {
			b, c    uint8
			framing Framing
			d       float64
		}{{0, 0x06, Framing{}, 8}, {0, 0x00, Framing{DataBits: 5}, 5}, {usartNineBits, 0x26, Framing{DataBits: 9, Parity: EvenParity}, 10}} {
			slow := (f.d + 1) * s / (s - 1 + f.d*s + sf)
			fast := (f.d + 2) * s / ((f.d+1)*s + sm)
			const ubrr = 103
			bit := s * (ubrr + 1)
			good := func(ratio float64) bool {
				f.framing.BitCycles = bit / ratio
				n := 0
				for v := range 24 {
					r := serialRig(t, ubrr, u2x, usartRxOn|f.b, f.c)
					p, _ := NewPort(r.Core, rxd, txd, f.framing)
					r.run(Cycle(17 * v))
					sent := []byte{byte(v * 11), 0x55, byte(255 - v)}
					p.Say(r.cycle, sent)
					whole := true
					for _, want := range sent {
						for i := 0; r.get("UCSR0A")&usartReceived == 0 && i < 200; i++ {
							r.run(Cycle(bit / 8))
						}
						a := r.get("UCSR0A")
						got := r.get("UDR0")
						whole = whole && a&(usartFrame|usartParity) == 0 && got == want&byte(1<<f.framing.dataBits()-1)
					}
					if whole {
						n++
					}
				}
				return n == 24
			}
			margin := 1.5 / (s * (f.d + 2)) // a sample and a half, over a character
			for _, ratio := range []float64{1, slow + margin, fast - margin} {
				if !good(ratio) {
					t.Errorf("U2X %v, D %.0f: a sender at %.2f %% is misheard; the datasheet allows %.2f to %.2f", u2x, f.d, 100*ratio, 100*slow, 100*fast)
				}
			}
			for _, ratio := range []float64{slow - margin, fast + margin} {
				if good(ratio) {
					t.Errorf("U2X %v, D %.0f: a sender at %.2f %% always comes through; the datasheet allows %.2f to %.2f", u2x, f.d, 100*ratio, 100*slow, 100*fast)
				}
			}
		}
	}
}

// TestOverrun fills the two bytes of the buffer and the shift register: the fourth
// character's start bit loses the third (datasheet, DORn).
func TestOverrun(t *testing.T) {
	r := serialRig(t, 103, false, usartRxOn, 0x06)
	p, _ := NewPort(r.Core, rxd, txd, Framing{BitCycles: 1664})
	p.Say(r.cycle, []byte("abc"))
	r.run(1664 * 40)
	if a := r.get("UCSR0A"); a&usartOverrun != 0 || count(r.events, ByteLost) != 0 {
		t.Errorf("three bytes wait: UCSR0A 0x%02X; want no overrun yet", a)
	}
	p.Say(r.cycle, []byte("d"))
	r.run(1664 * 12)
	if a := r.get("UCSR0A"); a&usartOverrun == 0 || count(r.events, ByteLost) != 1 || !strings.Contains(r.events[len(r.events)-1].Text, "lost the byte 0x63") {
		t.Errorf("the fourth: UCSR0A 0x%02X, %+v", a, r.events)
	}
	var got []byte
	for r.get("UCSR0A")&usartReceived != 0 {
		got = append(got, r.get("UDR0"))
	}
	if string(got) != "abd" || r.get("UCSR0A")&usartOverrun != 0 {
		t.Errorf("read %q; want the first two and the last", got)
	}
}

func TestFramingAndParityErrors(t *testing.T) {
	r := serialRig(t, 103, false, usartRxOn, 0x26) // even parity
	p, _ := NewPort(r.Core, rxd, txd, Framing{BitCycles: 1664, Parity: OddParity})
	p.Say(r.cycle, []byte{0x01})
	r.run(1664 * 13)
	if a := r.get("UCSR0A"); a&(usartParity|usartFrame) != usartParity || r.get("UDR0") != 1 {
		t.Errorf("wrong parity: UCSR0A 0x%02X", a)
	}
	// A break: one character of zeros without a stop bit, then nothing until the line is high again.
	r.Drive(rxd, Low, r.cycle)
	r.Drive(rxd, High, r.cycle+1664*40)
	r.run(1664 * 50)
	if a := r.get("UCSR0A"); a&usartFrame == 0 || r.get("UDR0") != 0 || r.get("UCSR0A")&usartReceived != 0 || count(r.events, FramingError) != 1 {
		t.Errorf("a break: UCSR0A 0x%02X, %+v", a, r.events)
	}
}

// TestGlitchIsNoStartBit pulls the line low for less than half a bit.
func TestGlitchIsNoStartBit(t *testing.T) {
	r := serialRig(t, 103, false, usartRxOn, 0x06)
	p, _ := NewPort(r.Core, rxd, txd, Framing{BitCycles: 1664})
	r.run(100)
	r.Drive(rxd, Low, r.cycle)
	r.Drive(rxd, High, r.cycle+600)
	r.run(1664 * 12)
	if r.get("UCSR0A")&usartReceived != 0 {
		t.Error("a glitch was received")
	}
	p.Say(r.cycle, []byte{0xA5})
	r.run(1664 * 12)
	if r.get("UDR0") != 0xA5 {
		t.Error("what follows is not heard")
	}
}

// TestMajority puts a short spike into the middle of every bit: two of three samples
// still tell (datasheet, "Asynchronous data recovery").
func TestMajority(t *testing.T) {
	r := serialRig(t, 103, false, usartRxOn, 0x06)
	p, _ := NewPort(r.Core, rxd, txd, Framing{BitCycles: 1664})
	r.run(100)
	at := r.cycle + 50
	p.Say(at, []byte{0x3C})
	word, n := p.Talker.frameBits(0x3C)
	for k := 1; k < n; k++ {
		middle := at + Cycle(1664*k+1664/2) - 20
		high := word>>k&1 != 0
		d := map[bool]Drive{true: High, false: Low}
		r.Drive(rxd, d[!high], middle)
		r.Drive(rxd, d[high], middle+100) // one sample is 104 cycles
	}
	r.run(1664 * 12)
	if a, v := r.get("UCSR0A"), r.get("UDR0"); a&usartFrame != 0 || v != 0x3C {
		t.Errorf("heard 0x%02X, UCSR0A 0x%02X", v, a)
	}
}

func TestAddressedFrames(t *testing.T) {
	r := serialRig(t, 103, false, usartRxOn|usartNineBits, 0x06)
	r.set("UCSR0A", usartMulti)
	p, _ := NewPort(r.Core, rxd, txd, Framing{BitCycles: 1664, DataBits: 9})
	send := func(v uint16) {
		word, n := p.Talker.frameBits(v)
		at := r.cycle
		for k := range n {
			d := Low
			if word>>k&1 != 0 {
				d = High
			}
			r.Drive(rxd, d, at+Cycle(1664*k))
		}
		r.run(1664 * 13)
	}
	send(0x12)
	if r.get("UCSR0A")&usartReceived != 0 {
		t.Error("a data frame came through with MPCM set")
	}
	send(0x134)
	if r.get("UCSR0A")&usartReceived == 0 || r.get("UCSR0B")&usartRx8 == 0 || r.get("UDR0") != 0x34 {
		t.Error("an address frame did not come through")
	}
}

func TestRefusedBytes(t *testing.T) {
	r := newRig(t, Options{})
	r.set("UDR0", 'x')
	if count(r.run(4), Refused) != 1 {
		t.Error("a byte for a transmitter that is off is not named")
	}
}

// TestSerialRoundTrip sends random text out of the controller and into it, through the
// bit-level machines, in random formats.
func TestSerialRoundTrip(t *testing.T) {
	r := newRig(t, Options{})
	rapid.Check(t, func(rt *rapid.T) {
		r.restart()
		r.run(4)
		ubrr := uint16(rapid.IntRange(4, 120).Draw(rt, "UBRR"))
		parity := Parity(rapid.IntRange(0, 2).Draw(rt, "parity"))
		stop := rapid.IntRange(1, 2).Draw(rt, "stop")
		r.set("UBRR0L", uint8(ubrr))
		r.set("UCSR0C", 0x06|[3]uint8{0, 0x20, 0x30}[parity]|uint8(stop-1)<<3)
		r.set("UCSR0B", usartTxOn|usartRxOn)
		off := rapid.Float64Range(0.98, 1.02).Draw(rt, "speed")
		f := Framing{BitCycles: 16 * float64(ubrr+1) * off, Parity: parity, StopBits: stop}
		p, err := NewPort(r.Core, rxd, txd, f)
		if err != nil {
			rt.Fatal(err)
		}
		text := rapid.SliceOfN(rapid.Byte(), 1, 12).Draw(rt, "text")
		p.Say(r.cycle+Cycle(rapid.IntRange(0, 500).Draw(rt, "phase")), text)
		var in []byte
		var out []Heard
		limit := r.cycle + Cycle(float64(len(text)+3)*14*f.BitCycles)
		for sent := 0; r.cycle < limit; {
			if sent < len(text) && r.get("UCSR0A")&usartEmpty != 0 {
				r.set("UDR0", text[sent])
				sent++
			}
			_, events := r.Run(r.cycle+40, nil)
			out = p.Hear(events, r.cycle, out)
			if a := r.get("UCSR0A"); a&usartReceived != 0 {
				if a&(usartFrame|usartParity|usartOverrun) != 0 {
					rt.Fatalf("UCSR0A 0x%02X", a)
				}
				in = append(in, r.get("UDR0"))
			}
		}
		if string(in) != string(text) {
			rt.Fatalf("received % X; want % X", in, text)
		}
		if len(out) != len(text) {
			rt.Fatalf("sent %d characters of %d", len(out), len(text))
		}
		for i, h := range out {
			if h.Value != uint16(text[i]) || h.BadParity || h.BadStop {
				rt.Fatalf("sent %+v; want 0x%02X", h, text[i])
			}
		}
	})
}

// TestListenerCutting feeds the same edges with ticks often and seldom.
func TestListenerCutting(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	talker := Talker{Framing: Framing{BitCycles: 100.25}, Noise: 0.02, Chance: r}
	text := []byte("trailer 07 stands in the yard")
	list := talker.Send(50, text, nil)
	hear := func(every Cycle) string {
		l := Listener{Framing: Framing{BitCycles: 101}}
		var out []Heard
		now := Cycle(0)
		for _, e := range list {
			for every > 0 && now < e.At {
				out = l.Tick(now, out)
				now += every
			}
			out = l.Feed(e, out)
		}
		return fmt.Sprint(l.Tick(Never-1, out))
	}
	if a, b := hear(0), hear(7); a != b {
		t.Errorf("ticked seldom and often:\n%s\n%s", a, b)
	}
	clean := Talker{Framing: Framing{BitCycles: 100.25}}
	l := Listener{Framing: Framing{BitCycles: 101}}
	var out []Heard
	for _, e := range clean.Send(50, text, nil) {
		out = l.Feed(e, out)
	}
	out = l.Tick(Never-1, out)
	got := make([]byte, len(out))
	for i, h := range out {
		got[i] = byte(h.Value)
	}
	if string(got) != string(text) {
		t.Errorf("heard %q", got)
	}
}
