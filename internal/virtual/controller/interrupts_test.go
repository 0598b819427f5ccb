package controller

import "testing"

// TestInterruptResponse is the datasheet's "Interrupt response time": four cycles to
// the vector, four back, and an instruction that runs is finished first.
func TestInterruptResponse(t *testing.T) {
	r := newRig(t, Options{})
	r.sreg |= flagI
	r.set("PCICR", 1)
	r.set("PCMSK0", 1)
	main := r.pc
	edge := r.cycle + 101
	r.Drive(PinOf('B', 0), High, edge)
	flagged := edge + pinChangeDelay
	for r.pc == main {
		before := r.cycle
		r.Run(r.cycle+1, nil)
		if r.pc != main {
			// The instruction that ran when the flag rose takes two cycles.
			if r.pc != 6 || r.cycle != before+4 || before < flagged || before > flagged+1 {
				t.Errorf("in vector %d at cycle %d; the flag rose at %d", r.pc/2, r.cycle, flagged)
			}
		}
		if r.cycle > edge+50 {
			t.Fatal("no interrupt")
		}
	}
	in := r.cycle
	if r.sreg&flagI != 0 || r.get("PCIFR") != 0 {
		t.Error("the vector is entered with I set, or the flag stays")
	}
	r.Run(r.cycle+1, nil)
	if r.pc != main || r.cycle != in+4 || r.sreg&flagI == 0 {
		t.Errorf("RETI leads to %d after %d cycles", r.pc, r.cycle-in)
	}
	if held := r.Held(); len(held) != 1 || held[0].Vector != "PCINT0" || held[0].For < 4 || held[0].For > 5 {
		t.Errorf("held off: %+v; want PCINT0 for 4 or 5 cycles", held)
	}
}

// TestPriority raises everything at once and wants the vectors in the order of their
// numbers, with one instruction of the program between each.
func TestPriority(t *testing.T) {
	r := newRig(t, Options{})
	r.raised = r.known()
	r.enabled = r.known()
	r.levels = 0
	var order []uint32
	r.sreg |= flagI
	between := 0
	for len(order) < 25 && r.cycle < 5000 {
		r.Run(r.cycle+1, nil)
		switch {
		case r.pc < rigMain:
			order = append(order, r.pc/2)
			r.raised &^= 1 << r.part.vectors[r.pc/2-1].source // levels stay up: let each in once
		case len(order) > 0:
			between++
		}
	}
	for i, n := range order {
		if n != uint32(i+1) {
			t.Fatalf("order %v", order)
		}
	}
	if between < 2*24 { // the RETI and one more instruction
		t.Errorf("%d steps of the program in 24 gaps", between)
	}
}

// TestSEIDelay wants one instruction after SEI before an interrupt that waits.
func TestSEIDelay(t *testing.T) {
	code := make([]uint16, 0x50)
	code[0] = 0xC03F // rjmp 0x40
	code[6] = 0x9518
	copy(code[0x40:], []uint16{0x9478, 0x9503, 0x9503, 0xCFFF}) // sei; inc r16; inc r16; rjmp .-2
	for _, opts := range []Options{{Plain: true}, {}} {
		c := load(t, code, opts)
		c.Run(2, nil)
		c.raise(srcPCINT0, 0)
		c.enabled |= 1 << srcPCINT0
		for c.pc != 6 && c.cycle < 100 {
			c.Run(c.cycle+1, nil)
		}
		if c.data[16] != 1 {
			t.Errorf("plain %v: %d instructions after SEI; want 1", opts.Plain, c.data[16])
		}
	}
}

// TestExternalInterrupts tries the four ways of sensing of EICRA.
func TestExternalInterrupts(t *testing.T) {
	for sense, want := range []struct{ falling, rising bool }{{true, false}, {true, true}, {true, false}, {false, true}} {
		r := newRig(t, Options{})
		p := PinOf('D', 3) // INT1
		r.Drive(p, High, 0)
		r.run(10)
		r.set("EICRA", uint8(sense)<<2)
		r.set("EIFR", 3)
		r.set("EIMSK", 2)
		rises := func(d Drive) bool {
			r.set("EIFR", 3)
			r.Drive(p, d, 0)
			r.run(10)
			return r.raised&(1<<(srcINT0+1)) != 0
		}
		if got := rises(Low); got != want.falling {
			t.Errorf("ISC1 = %d: a falling edge raises %v; want %v", sense, got, want.falling)
		}
		if sense == 0 {
			// The level interrupts again and again, and EIFR does not show it.
			r.sreg |= flagI
			r.run(60)
			if r.get("EIFR") != 0 || r.raised&2 == 0 {
				t.Error("a low level: EIFR shows it, or it ended by being served")
			}
			r.sreg &^= flagI
		}
		if got := rises(High); got != want.rising {
			t.Errorf("ISC1 = %d: a rising edge raises %v; want %v", sense, got, want.rising)
		}
	}
}

func TestPinChangeMask(t *testing.T) {
	r := newRig(t, Options{})
	r.set("PCMSK2", 1<<2)
	r.Drive(PinOf('D', 2), High, 0)
	r.Drive(PinOf('C', 2), High, 0)
	r.run(10)
	if got := r.get("PCIFR"); got != 4 {
		t.Errorf("PCIFR is 0x%02X; want only group 2", got)
	}
	r.set("PCIFR", 4)
	r.Drive(PinOf('D', 3), High, 0) // not in the mask
	r.run(10)
	if got := r.get("PCIFR"); got != 0 {
		t.Errorf("PCIFR is 0x%02X; want nothing", got)
	}
	// A pin that the controller drives itself counts too.
	r.Drive(PinOf('D', 2), Floating, 0)
	r.run(10)
	r.set("PCIFR", 4)
	r.set("DDRD", 4)
	r.set("PORTD", 4)
	r.run(10)
	if got := r.get("PCIFR"); got != 4 {
		t.Errorf("PCIFR is 0x%02X after driving the pin; want group 2", got)
	}
}
