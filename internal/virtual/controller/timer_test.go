package controller

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

// periods returns the length of each high and low time of a pin.
func periods(events []Event, p Pin) (high, low []Cycle) {
	list := edges(events, p)
	for i := 1; i < len(list); i++ {
		d := list[i].At - list[i-1].At
		if list[i-1].Drive == High {
			high = append(high, d)
		} else {
			low = append(low, d)
		}
	}
	return high, low
}

func all(list []Cycle, want Cycle) bool {
	for _, d := range list {
		if d != want {
			return false
		}
	}
	return len(list) >= 3
}

// TestWaveforms holds the pins against the datasheet's equations for each mode:
// CTC f = clk/(2·N·(1+OCR)); fast PWM f = clk/(N·(1+TOP)), high for OCR+1 counts;
// phase correct f = clk/(2·N·TOP), high for 2·OCR counts.
func TestWaveforms(t *testing.T) {
	type timerNames struct {
		a, b, ocr, ocrH, icr string
		pin                  Pin
	}
	t0 := timerNames{"TCCR0A", "TCCR0B", "OCR0A", "", "", PinOf('D', 6)}
	t0b := timerNames{"TCCR0A", "TCCR0B", "OCR0B", "", "", PinOf('D', 5)}
	t1 := timerNames{"TCCR1A", "TCCR1B", "OCR1AL", "OCR1AH", "ICR1", PinOf('B', 1)}
	t1b := timerNames{"TCCR1A", "TCCR1B", "OCR1BL", "OCR1BH", "ICR1", PinOf('B', 2)}
	t2 := timerNames{"TCCR2A", "TCCR2B", "OCR2A", "", "", PinOf('B', 3)}
	for _, row := range []struct {
		name      string
		n         timerNames
		a, b      uint8
		ocr, icr  uint16
		high, low Cycle
	}{
		{"timer 0 CTC, toggle, /8", t0, 1<<6 | 2, 2, 99, 0, 8 * 100, 8 * 100},
		{"timer 0 CTC, toggle, /1, OCR 0", t0, 1<<6 | 2, 1, 0, 0, 1, 1},
		{"timer 2 CTC, toggle, /32", t2, 1<<6 | 2, 3, 49, 0, 32 * 50, 32 * 50},
		{"timer 0 normal, toggle, /64", t0, 1 << 6, 3, 10, 0, 64 * 256, 64 * 256},
		{"timer 0 fast PWM, /1", t0, 2<<6 | 3, 1, 63, 0, 64, 192},
		{"timer 0 fast PWM inverted, /8", t0, 3<<6 | 3, 2, 63, 0, 8 * 192, 8 * 64},
		{"timer 0 fast PWM, OCR 0: a spike", t0, 2<<6 | 3, 1, 0, 0, 1, 255},
		{"timer 0 fast PWM, TOP OCRA, toggles A", t0, 1<<6 | 3, 8 | 2, 99, 0, 800, 800},
		{"timer 0 phase correct, /1", t0, 2<<6 | 1, 1, 63, 0, 126, 510 - 126},
		{"timer 0 phase correct inverted, /64", t0, 3<<6 | 1, 3, 200, 0, 64 * (510 - 400), 64 * 400},
		{"timer 0 B fast PWM", t0b, 2<<4 | 3, 1, 9, 0, 10, 246},
		{"timer 2 fast PWM, /1024", t2, 2<<6 | 3, 7, 127, 0, 128 * 1024, 128 * 1024},
		{"timer 1 fast PWM 9 bits", t1, 2<<6 | 2, 8 | 1, 99, 0, 100, 412},
		{"timer 1 fast PWM, TOP ICR", t1, 2<<6 | 2, 0x18 | 1, 249, 999, 250, 750},
		{"timer 1 B fast PWM, TOP ICR, /8", t1b, 2<<4 | 2, 0x18 | 2, 1500, 39999, 8 * 1501, 8 * (40000 - 1501)},
		{"timer 1 phase correct 10 bits", t1, 2<<6 | 3, 1, 100, 0, 200, 2046 - 200},
		{"timer 1 phase and frequency correct, TOP ICR", t1, 2 << 6, 0x10 | 1, 100, 400, 200, 600},
		{"timer 1 CTC, TOP OCRA, /256", t1, 1 << 6, 8 | 4, 624, 0, 256 * 625, 256 * 625},
		{"timer 1 CTC, TOP ICR", t1, 1 << 6, 0x18 | 1, 10, 99, 100, 100},
	} {
		for _, watchLate := range []bool{false, true} {
			r := newRig(t, Options{})
			if !watchLate {
				r.Watch(row.n.pin)
			}
			r.set("DDRB", 0x0E)
			r.set("DDRD", 0x60)
			r.set(row.n.a, row.a)
			if row.icr != 0 {
				r.set(row.n.b, row.b&^7)
				r.set(row.n.icr+"H", uint8(row.icr>>8))
				r.set(row.n.icr+"L", uint8(row.icr))
			}
			if row.n.ocrH != "" {
				r.set(row.n.ocrH, uint8(row.ocr>>8))
			}
			r.set(row.n.ocr, uint8(row.ocr))
			r.set(row.n.b, row.b)
			total := 8 * (row.high + row.low)
			r.run(total)
			if watchLate {
				r.Watch(row.n.pin)
			}
			high, low := periods(r.run(total), row.n.pin)
			if !all(high, row.high) || !all(low, row.low) {
				t.Errorf("%s (watched late %v): high %v, low %v; want %d and %d", row.name, watchLate, high, low, row.high, row.low)
			}
		}
	}
}

// TestExtremeDuty wants no edges at the ends of the range (datasheet, "extreme values"):
// fast PWM with OCR at TOP and phase-correct PWM at either end are constant.
func TestExtremeDuty(t *testing.T) {
	for _, row := range []struct {
		name string
		a    uint8
		ocr  uint8
		want Drive
	}{
		{"fast, MAX", 2<<6 | 3, 255, High}, {"fast inverted, MAX", 3<<6 | 3, 255, Low},
		{"phase, MAX", 2<<6 | 1, 255, High}, {"phase, 0", 2<<6 | 1, 0, Low}, {"phase inverted, 0", 3<<6 | 1, 0, High},
	} {
		r := newRig(t, Options{})
		p := PinOf('D', 6)
		r.set("DDRD", 0x40)
		r.set("TCCR0A", row.a)
		r.set("OCR0A", row.ocr)
		r.set("TCCR0B", 1)
		r.run(3000)
		r.Watch(p)
		if e := edges(r.run(3000), p); len(e) != 0 || r.Pin(p) != row.want {
			t.Errorf("%s: %d edges, %v; want %v without edges", row.name, len(e), r.Pin(p), row.want)
		}
	}
}

// TestOverflowFlag looks when TOV0 rises: with the count from MAX to 0, 256 counts
// after a start at 0 (datasheet, "Timer/Counter timing diagram").
func TestOverflowFlag(t *testing.T) {
	for _, div := range []struct {
		cs uint8
		n  Cycle
	}{{1, 1}, {2, 8}, {3, 64}, {4, 256}, {5, 1024}} {
		r := newRig(t, Options{})
		r.set("GTCCR", 1) // the prescaler begins now
		r.set("TCCR0B", div.cs)
		began := r.cycle
		r.set("TIMSK0", 1)
		for r.get("TIFR0")&1 == 0 {
			r.run(1)
		}
		if late := r.raisedAt[srcTimer0] - began; late != 256*div.n {
			t.Errorf("/%d: TOV0 after %d cycles; want %d", div.n, late, 256*div.n)
		}
	}
}

// TestSlowPrescaler is timer 2's own table of clock choices.
func TestSlowPrescaler(t *testing.T) {
	for cs, n := range []Cycle{0, 1, 8, 32, 64, 128, 256, 1024} {
		r := newRig(t, Options{})
		r.set("GTCCR", 2)
		r.set("TCCR2B", uint8(cs))
		began := r.cycle
		r.run(10_300)
		want := Cycle(0)
		if n != 0 {
			want = (r.cycle - began) / n
		}
		if got := r.get("TCNT2"); got != uint8(want) {
			t.Errorf("CS2 = %d: counted to %d; want %d", cs, got, uint8(want))
		}
	}
}

// TestSixteenBitAccess uses the shared high byte as the datasheet describes it.
func TestSixteenBitAccess(t *testing.T) {
	r := newRig(t, Options{})
	r.set("TCNT1H", 0x12)
	r.set("TCNT1L", 0x34)
	if l, h := r.get("TCNT1L"), r.get("TCNT1H"); l != 0x34 || h != 0x12 {
		t.Errorf("TCNT1 reads 0x%02X%02X", h, l)
	}
	r.set("OCR1AH", 0x56) // goes to the shared byte, and is lost to the next write
	r.set("TCNT1H", 0x01)
	r.set("OCR1AL", 0x02)
	if l, h := r.get("OCR1AL"), r.get("OCR1AH"); l != 0x02 || h != 0x01 {
		t.Errorf("OCR1A reads 0x%02X%02X", h, l)
	}
	// Reading the low byte keeps the high byte of that moment.
	r.set("TCNT1H", 0x00)
	r.set("TCNT1L", 0xFF)
	r.set("TCCR1B", 1)
	low := r.get("TCNT1L")
	r.run(4)
	if high := r.get("TCNT1H"); low != 0xFF || high != 0 {
		t.Errorf("0x%02X%02X after the count went on; want 0x00FF", high, low)
	}
}

// TestInputCapture times edges on ICP1 with timer 1: the difference of two captures is
// the difference of the edges, with and without the noise canceller.
func TestInputCapture(t *testing.T) {
	for _, control := range []uint8{1<<6 | 1, 1<<7 | 1<<6 | 1} {
		r := newRig(t, Options{})
		icp := PinOf('B', 0)
		r.set("TCCR1B", control)
		capture := func(at Cycle) uint16 {
			r.Drive(icp, Low, at-30)
			r.Drive(icp, High, at)
			r.Run(at+20, nil)
			if r.get("TIFR1")&(1<<5) == 0 {
				t.Fatalf("no capture")
			}
			r.set("TIFR1", 1<<5)
			low := r.get("ICR1L")
			return uint16(low) | uint16(r.get("ICR1H"))<<8
		}
		a := capture(r.cycle + 100)
		b := capture(r.cycle + 1234)
		first, second := r.inputs.list[len(r.inputs.list)-3].at, r.inputs.list[len(r.inputs.list)-1].at
		if b-a != uint16(second-first) {
			t.Errorf("TCCR1B 0x%02X: captured %d and %d, %d cycles between; the edges were %d apart", control, a, b, b-a, second-first)
		}
		// A spike of two cycles passes without the canceller only.
		at := r.cycle + 100
		r.Drive(icp, Low, at-50)
		r.Drive(icp, High, at)
		r.Drive(icp, Low, at+2)
		r.Run(at+20, nil)
		if got, want := r.get("TIFR1")&(1<<5) != 0, control&0x80 == 0; got != want {
			t.Errorf("TCCR1B 0x%02X: a spike is captured: %v; want %v", control, got, want)
		}
	}
}

func TestExternalClock(t *testing.T) {
	for cs, want := range map[uint8]uint8{6: 3, 7: 4} { // falling, rising
		r := newRig(t, Options{})
		r.set("TCCR0B", cs)
		for i, d := range []Drive{High, Low, High, Low, High, Low, High} {
			r.Drive(PinOf('D', 4), d, r.cycle+Cycle(20*(i+1)))
		}
		r.run(200)
		if got := r.get("TCNT0"); got != want {
			t.Errorf("CS0 = %d: counted %d edges; want %d", cs, got, want)
		}
	}
}

// TestBufferedCompare writes OCR0A in the middle of a PWM period: it counts from the
// next BOTTOM on, and at once in CTC (datasheet, "Output compare unit").
func TestBufferedCompare(t *testing.T) {
	r := newRig(t, Options{})
	p := PinOf('D', 6)
	r.Watch(p)
	r.set("DDRD", 0x40)
	r.set("TCCR0A", 2<<6|3)
	r.set("OCR0A", 99)
	r.set("TCCR0B", 1)
	r.run(1024)
	for uint8(r.timers[0].tcnt) != 10 { // early in a period
		r.run(1)
		r.syncTimers(r.cycle)
	}
	r.events = nil
	r.set("OCR0A", 49)
	r.run(600)
	high, _ := periods(append([]Event{{Pin: p, Drive: High, At: r.cycle}}, r.events...), p)
	high = high[1:]
	if len(high) < 1 || high[0] != 50 {
		t.Errorf("high times after the write: %v; want 50 from the next period on", high)
	}
	if first := edges(r.events, p)[0]; first.Drive != Low {
		t.Errorf("the running period does not end with a match: %+v", first)
	}
}

// TestCountBlocksMatch is the datasheet's note: a write to TCNT blocks the match of
// the next count.
func TestCountBlocksMatch(t *testing.T) {
	r := newRig(t, Options{})
	r.set("OCR0A", 0x20)
	r.set("TCCR0B", 1)
	r.set("TIFR0", 7)
	r.set("TCNT0", 0x20)
	r.run(5)
	if r.get("TIFR0")&2 != 0 {
		t.Error("OCF0A rose although TCNT0 was written to the very value")
	}
	r.set("TCNT0", 0x1F)
	r.run(5)
	if r.get("TIFR0")&2 == 0 {
		t.Error("OCF0A did not rise on the way through the value")
	}
}

func TestForceCompare(t *testing.T) {
	r := newRig(t, Options{})
	p := PinOf('D', 6)
	r.set("DDRD", 0x40)
	r.set("TCCR0A", 1<<6)
	before := r.Pin(p)
	r.set("TCCR0B", 0x80)
	if r.Pin(p) == before || r.get("TCCR0B") != 0 || r.get("TIFR0") != 0 {
		t.Errorf("FOC0A: the pin stays %v, or it reads back, or raises a flag", before)
	}
}

// TestHeldPrescaler starts three timers together, as the datasheet describes for TSM.
func TestHeldPrescaler(t *testing.T) {
	r := newRig(t, Options{})
	r.set("GTCCR", 0x83)
	r.set("TCCR0B", 3)
	r.set("TCCR1B", 3)
	r.set("TCCR2B", 4)
	r.run(1000)
	if r.get("TCNT0")|r.get("TCNT1L")|r.get("TCNT2") != 0 {
		t.Error("they count while they are held")
	}
	r.set("GTCCR", 0)
	r.run(64*37 + 10)
	if a, b, c := r.get("TCNT0"), r.get("TCNT1L"), r.get("TCNT2"); a != 37 || b != 37 || c != 37 {
		t.Errorf("%d, %d, %d after 37 counts", a, b, c)
	}
}

// TestLeapingIsCounting lets two timers live through the same writes: one is looked at
// in every cycle, the other only at the end of each pause.
func TestLeapingIsCounting(t *testing.T) {
	a, b := newRig(t, Options{}), newRig(t, Options{})
	rigs := []*rig{a, b}
	rapid.Check(t, func(rt *rapid.T) {
		for _, r := range rigs {
			r.restart()
			r.run(10)
		}
		names := []string{"TCCR0A", "TCCR0B", "OCR0A", "OCR0B", "TCNT0", "TIMSK0", "TIFR0",
			"TCCR1A", "TCCR1B", "OCR1AH", "OCR1AL", "OCR1BL", "ICR1L", "TCNT1L", "TIMSK1", "TIFR1",
			"TCCR2A", "TCCR2B", "OCR2A", "TCNT2", "TIFR2", "GTCCR"}
		history := ""
		for range rapid.IntRange(8, 14).Draw(rt, "writes") {
			name := rapid.SampledFrom(names).Draw(rt, "register")
			v := rapid.Uint8().Draw(rt, "value")
			if name == "TCCR0B" || name == "TCCR2B" || name == "TCCR1B" {
				v = v&0x18 | rapid.SampledFrom([]uint8{1, 1, 2, 3, 5}).Draw(rt, "clock")
			}
			history += fmt.Sprintf(" %s=%02X", name, v)
			for _, r := range rigs {
				r.set(name, v)
			}
			n := Cycle(rapid.SampledFrom([]int{1, 2, 5, 40, 300, 1100, 2700}).Draw(rt, "pause"))
			history += fmt.Sprintf(" +%d", n)
			to := a.cycle + n
			for a.cycle < to {
				a.Run(a.cycle+1, nil)
				a.syncTimers(a.cycle)
			}
			b.Run(to, nil)
			b.syncTimers(b.cycle)
			if a.cycle != b.cycle {
				rt.Fatalf("%d and %d cycles", a.cycle, b.cycle)
			}
			for i := range a.timers {
				x, y := a.timers[i], b.timers[i]
				x.polled, y.polled = false, false
				if x != y {
					rt.Fatalf("timer %d after%s:\n%+v\n%+v", i, history, x, y)
				}
			}
			if a.raised != b.raised || a.ports[1].ocVal != b.ports[1].ocVal || a.ports[3].ocVal != b.ports[3].ocVal {
				rt.Fatalf("after%s: flags 0x%X and 0x%X, or the pins", history, a.raised, b.raised)
			}
		}
	})
}
