package controller

import (
	"slices"
	"strings"
	"testing"
)

func TestPinDrives(t *testing.T) {
	r := newRig(t, Options{})
	p := PinOf('B', 3)
	r.Watch(p)
	for _, step := range []struct {
		reg  string
		v    uint8
		want Drive
	}{
		{"PORTB", 0x08, PulledUp}, {"DDRB", 0x08, High}, {"PORTB", 0x00, Low}, {"PINB", 0x08, High}, {"PINB", 0x08, Low},
		{"DDRB", 0x00, Floating}, {"PORTB", 0x08, PulledUp}, {"MCUCR", pullUpsOff, Floating}, {"MCUCR", 0, PulledUp},
	} {
		r.set(step.reg, step.v)
		if r.Pin(p) != step.want {
			t.Errorf("%s = 0x%02X: the pin is %v; want %v", step.reg, step.v, r.Pin(p), step.want)
		}
	}
}

// TestOnlyWatchedPinsTell wants events of watched pins alone, at the cycle of the end
// of the instruction that writes.
func TestOnlyWatchedPinsTell(t *testing.T) {
	// ldi r16, 0xFF; out DDRB, r16; out PORTB, r16; sbi PINB, 2; cbi PORTB, 1; rjmp .-2
	c := load(t, []uint16{0xEF0F, 0xB904, 0xB905, 0x9A1A, 0x9829, 0xCFFF}, Options{StallMS: -1, SkipNothing: true})
	c.Watch(PinOf('B', 1), PinOf('B', 2))
	_, events := c.Run(20, nil)
	want := []Event{
		{At: 2, Pin: PinOf('B', 1), Drive: Low, PC: 2}, {At: 2, Pin: PinOf('B', 2), Drive: Low, PC: 2},
		{At: 3, Pin: PinOf('B', 1), Drive: High, PC: 4}, {At: 3, Pin: PinOf('B', 2), Drive: High, PC: 4},
		{At: 5, Pin: PinOf('B', 2), Drive: Low, PC: 6}, {At: 7, Pin: PinOf('B', 1), Drive: Low, PC: 8},
	}
	if !slices.Equal(events, want) {
		t.Errorf("%+v\nwant %+v", events, want)
	}
}

// TestReadBackNeedsNop is the datasheet's rule for reading a pin that was just
// written ("Reading the pin value"): one nop between.
func TestReadBackNeedsNop(t *testing.T) {
	// ldi r16, 0xFF; out DDRB, r16; out PORTB, r16; in r17, PINB; in r18, PINB; rjmp .-2
	c := load(t, []uint16{0xEF0F, 0xB904, 0xB905, 0xB113, 0xB123, 0xCFFF}, Options{StallMS: -1, SkipNothing: true})
	c.Run(10, nil)
	if c.data[17] != 0 || c.data[18] != 0xFF {
		t.Errorf("at once 0x%02X, one cycle later 0x%02X; want 0x00 and 0xFF", c.data[17], c.data[18])
	}
}

func TestOutsideDrives(t *testing.T) {
	r := newRig(t, Options{})
	p := PinOf('D', 4)
	level := func() bool { r.run(4); return r.get("PIND")&p.mask() != 0 }
	for _, step := range []struct {
		outside Drive
		port    uint8
		want    bool
	}{
		{High, 0, true}, {Low, 0, false}, {PulledUp, 0, true}, {Floating, 0, false}, {Floating, 0x10, true}, {Low, 0x10, false},
	} {
		r.set("PORTD", step.port)
		if err := r.Drive(p, step.outside, 0); err != nil {
			t.Fatal(err)
		}
		if got := level(); got != step.want {
			t.Errorf("outside %v, PORTD 0x%02X: %v; want %v", step.outside, step.port, got, step.want)
		}
	}
	if err := r.Drive(PinOf('C', 7), High, 0); err == nil || !strings.Contains(err.Error(), "PC7: the atmega328p has no such pin") {
		t.Errorf("a pin that is not there: %v", err)
	}
}

// TestEdgesInAnyOrder gives edges ahead and wants each at its own cycle.
func TestEdgesInAnyOrder(t *testing.T) {
	p, now := PinOf('D', 5), newRig(t, Options{}).cycle
	for at, want := range map[Cycle]bool{now + 99: false, now + 102: true, now + 202: false, now + 252: true, now + 302: false} {
		c := newRig(t, Options{})
		c.Drive(p, Low, now+300)
		c.Drive(p, High, now+100)
		c.Drive(p, Low, now+200)
		c.Drive(p, High, now+250)
		c.run(at - now)
		if got := c.get("PIND")&p.mask() != 0; got != want {
			t.Errorf("after %d cycles %v; want %v", at-now, got, want)
		}
	}
}

func TestFloatingAndContention(t *testing.T) {
	// nop; sbis PIND, 2; rjmp .+0; in r16, PIND; sbrs r16, 3; rjmp .-2
	c := load(t, []uint16{0, 0x9B4A, 0xC000, 0xB109, 0xFF03, 0xCFFF}, Options{StallMS: -1, SkipNothing: true})
	_, events := c.Run(30, nil)
	if count(events, FloatingRead) != 2 {
		t.Errorf("%+v; want PD2 and PD3 named once each", events)
	}
	r := newRig(t, Options{})
	r.set("DDRB", 1)
	r.set("PORTB", 1)
	r.Drive(PinOf('B', 0), Low, 0)
	r.run(20)
	r.set("PORTB", 0)
	r.set("PORTB", 1)
	r.run(20)
	if count(r.events, Contention) != 1 {
		t.Errorf("%+v; want the contention on PB0 named once", r.events)
	}
}
