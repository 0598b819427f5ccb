package controller

import (
	"fmt"
	"strings"
	"testing"

	"firstfix/internal/when"
)

// TestEEPROM writes and reads back, with the datasheet's times and its four cycles
// between EEMPE and EEPE.
func TestEEPROM(t *testing.T) {
	r := newRig(t, Options{})
	write := func(addr uint16, v, mode uint8) Cycle {
		r.set("EEARH", uint8(addr>>8))
		r.set("EEARL", uint8(addr))
		r.set("EEDR", v)
		r.set("EECR", mode|eepromMaster)
		r.set("EECR", mode|eepromMaster|eepromWrite)
		began := r.cycle
		for r.get("EECR")&eepromWrite != 0 {
			r.run(100)
		}
		return r.cycle - began
	}
	read := func(addr uint16) uint8 {
		r.set("EEARH", uint8(addr>>8))
		r.set("EEARL", uint8(addr))
		r.set("EECR", eepromRead)
		return r.get("EEDR")
	}
	if took := write(0x2A5, 0x5A, 0); took < 54_400 || took > 54_600 {
		t.Errorf("writing takes %d cycles; want 3.4 ms, 54400", took)
	}
	if got := read(0x2A5); got != 0x5A || r.EEPROM()[0x2A5] != 0x5A {
		t.Errorf("read 0x%02X", got)
	}
	if took := write(0x2A5, 0x0F, eepromOnlyAnd); took < 28_800 || took > 29_000 || read(0x2A5) != 0x0A {
		t.Errorf("writing without erasing: %d cycles, 0x%02X; want 1.8 ms and 0x0A", took, read(0x2A5))
	}
	if write(0x2A5, 0, eepromOnlyFF); read(0x2A5) != 0xFF {
		t.Errorf("erased to 0x%02X", read(0x2A5))
	}
	// Too late after EEMPE: nothing happens, and it is named.
	r.set("EECR", eepromMaster)
	r.run(10)
	r.set("EECR", eepromWrite)
	if r.get("EECR")&eepromWrite != 0 || count(r.run(4), Refused) != 1 {
		t.Error("EEPE outside the four cycles is taken, or not named")
	}
	// The interrupt comes as long as nothing is being written.
	r.set("EECR", eepromWants)
	if r.raised&r.enabled&(1<<srcEEPROM) == 0 {
		t.Error("EE_READY does not interrupt while idle")
	}
}

func TestEEPROMSurvivesReset(t *testing.T) {
	r := newRig(t, Options{})
	r.set("EEDR", 7)
	r.set("EECR", eepromMaster)
	r.set("EECR", eepromWrite)
	r.Reset()
	r.run(60_000)
	if r.EEPROM()[0] != 7 {
		t.Error("a write that had begun was lost by a reset")
	}
}

// TestWatchdogTimes lets the watchdog bite at each of its ten times (datasheet: 16 ms
// doubled nine times).
func TestWatchdogTimes(t *testing.T) {
	for n := range 10 {
		r := newRig(t, Options{})
		v := uint8(n&7 | n&8<<2 | watchdogResets)
		r.set("WDTCSR", watchdogWay|watchdogResets)
		r.set("WDTCSR", v)
		began := r.cycle
		var events []Event
		for len(events) == 0 {
			_, events = r.RunToEvent(r.cycle+400_000_000, nil)
		}
		ms := r.InstantOf(events[0].At-began).Seconds() * 1000
		if want := float64(int(16) << n); ms < want*0.999 || ms > want*1.001 || events[0].Kind != WasReset {
			t.Errorf("WDP = %d: %+v after %.2f ms; want a reset after %.0f", n, events[0], ms, want)
		}
		if got := r.get("MCUSR"); got != resetWatchdog|resetPower {
			t.Errorf("MCUSR is 0x%02X; want WDRF and PORF", got)
		}
		if r.get("WDTCSR") != watchdogResets {
			t.Errorf("WDTCSR is 0x%02X after its reset; want WDE alone", r.get("WDTCSR"))
		}
	}
}

// TestWatchdogSequence is the timed change: without WDCE neither the time nor WDE changes.
func TestWatchdogSequence(t *testing.T) {
	r := newRig(t, Options{})
	r.set("WDTCSR", watchdogResets)
	r.set("WDTCSR", 0x07)
	if r.get("WDTCSR") != watchdogResets {
		t.Errorf("WDTCSR is 0x%02X", r.get("WDTCSR"))
	}
	r.set("WDTCSR", watchdogWay|watchdogResets)
	r.run(10)
	r.set("WDTCSR", 0x07)
	if r.run(2); r.get("WDTCSR") != watchdogResets || count(r.events, Refused) != 1 {
		t.Errorf("after four cycles: WDTCSR is 0x%02X", r.get("WDTCSR"))
	}
	r.set("WDTCSR", watchdogWay|watchdogResets)
	r.set("WDTCSR", 0)
	if r.get("WDTCSR") != 0 || r.due[alarmWatchdog] != Never {
		t.Errorf("switched off: WDTCSR is 0x%02X", r.get("WDTCSR"))
	}
}

// TestWatchdogInterruptThenReset is WDIE with WDE: the vector is entered first, and the
// next end of the time resets.
func TestWatchdogInterruptThenReset(t *testing.T) {
	r := newRig(t, Options{})
	r.set("WDTCSR", watchdogWay|watchdogResets)
	r.set("WDTCSR", watchdogResets|watchdogInterrupts)
	r.sreg |= flagI
	r.run(300_000)
	if r.lastIRQ != "WDT" || r.get("WDTCSR") != watchdogResets || r.Resets()[3] != 0 {
		t.Errorf("first: %q, WDTCSR 0x%02X, resets %v", r.lastIRQ, r.get("WDTCSR"), r.Resets())
	}
	r.run(300_000)
	if r.Resets()[3] != 1 {
		t.Errorf("second: resets %v; want one by the watchdog", r.Resets())
	}
}

// sleeper is a program that sleeps in a loop and counts its wakings in r16.
func sleeper(t testing.TB, mode uint8, opts Options) *rig {
	code := make([]uint16, rigMain+8)
	code[0] = 0xC000 | (rigMain - 1)
	for n := 1; n <= 25; n++ {
		code[2*n] = 0x9518
	}
	// ldi r17, SMCR value; out SMCR, r17; sei; sleep; inc r16; rjmp back to sleep
	copy(code[rigMain:], []uint16{0xE010 | uint16(mode<<1|1)&0x0F, 0xBF13, 0x9478, 0x9588, 0x9503, 0xCFFD})
	opts.StallMS = -1
	return &rig{Core: load(t, code, opts), t: t}
}

func TestSleepIdle(t *testing.T) {
	r := sleeper(t, 0, Options{})
	r.writeIO(r.addrOf("TCCR0B"), 3, 0)
	r.writeIO(r.addrOf("TIMSK0"), 1, 0)
	r.run(64 * 256 * 10)
	if n := r.data[16]; n < 9 || n > 10 {
		t.Errorf("woke %d times by ten overflows", n)
	}
	if share := float64(r.Skipped) / float64(r.cycle); share < 0.99 {
		t.Errorf("only %.1f %% of the time were skipped", 100*share)
	}
}

// TestSleepDown wants the timers to stand and only a pin or the watchdog to wake it.
func TestSleepDown(t *testing.T) {
	for _, mode := range []sleepMode{sleepDown, sleepStand} {
		r := sleeper(t, uint8(mode-1), Options{WakeCycles: 16384})
		r.writeIO(r.addrOf("TCCR0B"), 3, 0)
		r.writeIO(r.addrOf("TIMSK0"), 1, 0)
		r.writeIO(r.addrOf("PCICR"), 4, 0)
		r.writeIO(r.addrOf("PCMSK2"), 4, 0)
		r.run(1_000_000)
		before := r.timers[0].tcnt
		if r.data[16] != 0 {
			t.Errorf("mode %d: a timer woke it", mode)
		}
		at := r.cycle + 100
		r.Drive(PinOf('D', 2), High, at)
		start := Cycle(16384)
		if mode == sleepStand {
			start = standbyWake
		}
		early := at + pinChangeDelay + start // four more, and four of the interrupt
		r.Run(early, nil)
		if r.data[16] != 0 || r.asleep != awake {
			t.Errorf("mode %d: awake too early or not yet", mode)
		}
		r.Run(early+4+4+4+6, nil)
		if r.data[16] != 1 || r.lastIRQ != "PCINT2" {
			t.Errorf("mode %d: woke %d times, by %q", mode, r.data[16], r.lastIRQ)
		}
		if r.syncTimers(r.cycle); r.timers[0].tcnt > before+2 {
			t.Errorf("mode %d: the timer went on from %d to %d", mode, before, r.timers[0].tcnt)
		}
	}
}

func TestSleepWithoutWayBack(t *testing.T) {
	// sleep with SE and interrupts off
	c := load(t, []uint16{0xE015, 0xBF13, 0x9588, 0xCFFF}, Options{})
	if stop, _ := c.Run(1e9, nil); stop.Why != SleepsForEver {
		t.Errorf("%v", stop)
	}
}

// TestADC measures in the ways that trackers do: a battery against the supply, and the
// band gap against the supply, which tells the supply.
func TestADC(t *testing.T) {
	r := newRig(t, Options{SupplyMV: 3300, ClockHz: 8e6})
	r.SetAnalog(2, 1234)
	convert := func(mux uint8) (uint16, Cycle) {
		r.set("ADMUX", mux)
		r.set("ADCSRA", adcOn|adcStart|6) // /64: 125 kHz
		began := r.cycle
		for r.get("ADCSRA")&adcStart != 0 {
			r.run(8)
		}
		low := r.get("ADCL")
		return uint16(low) | uint16(r.get("ADCH"))<<8, r.cycle - began
	}
	v, took := convert(0x42)
	if v != 1234*1024/3300 || took < 25*64-64 || took > 26*64 {
		t.Errorf("first: %d after %d cycles; want %d after 25 of 64", v, took, 1234*1024/3300)
	}
	if v, took = convert(0x4E); v != 1100*1024/3300 || took > 14*64 || took < 13*64 {
		t.Errorf("band gap: %d after %d cycles; want %d after 13 to 14 of 64", v, took, 1100*1024/3300)
	}
	if v, _ = convert(0xC2); v != 1023 {
		t.Errorf("more than the reference: %d", v)
	}
	if v, _ = convert(0x62); v != 1234*1024/3300<<6 {
		t.Errorf("left adjusted: 0x%04X", v)
	}
	convert(0x45)
	r.run(4)
	if count(r.events, FloatingRead) != 1 {
		t.Errorf("a channel without a voltage is not named: %+v", r.events)
	}
}

func TestADCInterruptAndTrigger(t *testing.T) {
	r := newRig(t, Options{})
	r.SetAnalog(0, 2500)
	r.set("ADMUX", 0x40)
	r.set("TCCR0B", 1)
	r.set("ADCSRB", 4) // timer 0 overflow
	r.set("ADCSRA", adcOn|adcAuto|adcInterrupt|7)
	r.run(256 + 25*128 + 200)
	if r.get("ADCSRA")&adcFlag == 0 || r.get("ADCL") != 512&0xFF || r.get("ADCH") != 2 {
		t.Errorf("ADCSRA 0x%02X after a trigger", r.get("ADCSRA"))
	}
	r.sreg |= flagI
	r.run(8)
	if r.lastIRQ != "ADC" || r.get("ADCSRA")&adcFlag != 0 {
		t.Errorf("last interrupt %q, ADCSRA 0x%02X", r.lastIRQ, r.get("ADCSRA"))
	}
}

// TestAbsentSPI wants a transfer to take its time and bring what the open line has.
func TestAbsentSPI(t *testing.T) {
	for rate, div := range map[uint8]Cycle{0: 4, 1: 16, 2: 64, 3: 128} {
		r := newRig(t, Options{})
		r.set("DDRB", 0x2C)
		r.set("PORTB", 0x10) // pull-up on MISO
		r.set("SPCR", spiOn|spiMaster|rate)
		r.set("SPDR", 0x42)
		began := r.cycle
		for r.get("SPSR")&spiFlag == 0 {
			r.run(1)
		}
		if took := r.cycle - began; took < 8*div || took > 8*div+3 || r.get("SPDR") != 0xFF || r.get("SPSR") != 0 {
			t.Errorf("rate %d: %d cycles; want %d, 0xFF and a cleared flag", rate, took, 8*div)
		}
	}
}

// TestAbsentTWI addresses a device that is not there and follows the status codes of
// the datasheet's master modes.
func TestAbsentTWI(t *testing.T) {
	r := newRig(t, Options{})
	r.set("TWBR", 72) // 100 kHz
	do := func(control uint8) uint8 {
		r.set("TWCR", twiFlag|twiOn|control)
		for i := 0; r.get("TWCR")&twiFlag == 0; i++ {
			if r.run(20); i > 1000 {
				t.Fatal("TWINT never rises")
			}
		}
		return r.get("TWSR")
	}
	if s := do(twiStart); s != twiStarted {
		t.Errorf("START: 0x%02X", s)
	}
	r.set("TWDR", 0x42<<1)
	began := r.cycle
	if s := do(0); s != twiWriteNack || r.cycle-began < 9*160 {
		t.Errorf("SLA+W: 0x%02X after %d cycles; want 0x20 after nine bits of 160", s, r.cycle-began)
	}
	if s := do(twiStart); s != twiRestarted {
		t.Errorf("repeated START: 0x%02X", s)
	}
	r.set("TWDR", 0x42<<1|1)
	if s := do(0); s != twiReadNack {
		t.Errorf("SLA+R: 0x%02X", s)
	}
	r.set("TWCR", twiFlag|twiOn|twiStop)
	r.run(400)
	if r.get("TWCR")&twiStop != 0 || r.get("TWSR") != twiIdle {
		t.Errorf("STOP: TWCR 0x%02X, TWSR 0x%02X", r.get("TWCR"), r.get("TWSR"))
	}
}

// TestBrownOut lets the supply sag: the part is held in reset, lets go of its pins, and
// starts again with BORF when the supply is back.
func TestBrownOut(t *testing.T) {
	r := newRig(t, Options{BrownOutMV: 2700, StartMS: 65})
	r.run(16_000 * 70)
	p := PinOf('B', 0)
	r.Watch(p)
	r.set("DDRB", 1)
	r.SetSupply(2900)
	if r.Pin(p) != Low {
		t.Error("reset too early")
	}
	r.SetSupply(2600)
	if r.Pin(p) != Floating || r.Resets()[2] != 1 {
		t.Errorf("the pin is %v, resets %v", r.Pin(p), r.Resets())
	}
	r.run(16_000_000)
	if r.pc != 0 {
		t.Error("it runs without a supply")
	}
	r.SetSupply(2740) // inside the hysteresis
	r.run(16_000_000)
	if r.pc != 0 {
		t.Error("it starts inside the hysteresis")
	}
	r.SetSupply(3300)
	back := r.cycle
	r.run(16_000 * 64)
	if r.pc != 0 {
		t.Errorf("it starts %v after the supply", r.InstantOf(r.cycle-back))
	}
	r.run(16_000 * 2)
	if r.pc == 0 || r.get("MCUSR") != resetBrownOut|resetPower {
		t.Errorf("pc %d, MCUSR 0x%02X", r.pc, r.get("MCUSR"))
	}
}

func TestUnsafeSupply(t *testing.T) {
	r := newRig(t, Options{SupplyMV: 3300})
	if r.run(4); count(r.events, UnsafeSupply) != 1 {
		t.Errorf("16 MHz at 3.3 V is not named: %+v", r.events)
	}
	r = newRig(t, Options{SupplyMV: 3300, ClockHz: 8e6})
	if r.run(4); count(r.events, UnsafeSupply) != 0 {
		t.Errorf("8 MHz at 3.3 V: %+v", r.events)
	}
}

// TestStops wants every end that a wild program can come to named with its place.
func TestStops(t *testing.T) {
	for _, row := range []struct {
		name string
		code []uint16
		want StopReason
		text string
	}{
		{"runs off its end", []uint16{0, 0, 0}, WildJump, "executes flash that was never written (last computed jump at 0x0000) at 0x0006"},
		{"jumps into nothing", []uint16{0, 0xE0F1, 0xE0E0, 0x9409}, WildJump, "last computed jump at 0x0006) at 0x0200"},
		{"no instruction", []uint16{0, 0x9404}, BadOpcode, "executes 0x9404, which is no instruction of the atmega328p"},
		{"SPM", []uint16{0, 0x95E8}, SelfProgrammed, "executes SPM, which is refused"},
		{"SPMCSR", []uint16{0, 0xE001, 0xBF07}, SelfProgrammed, "SPMCSR is 0x01"},
		{"stack in the registers", []uint16{0, 0xE020, 0xBF2E, 0xE22F, 0xBF2D, 0x920F}, StackOutside, "pushes to 0x002F, outside RAM (0x0100 to 0x08FF) at 0x000A"},
		{"pops too much", []uint16{0, 0x900F}, StackOutside, "pops from 0x0900"},
		{"ends", []uint16{0, 0x94F8, 0xCFFF}, Ended, "goes round in 2 cycles"},
		{"restarts", []uint16{0, 0, 0xCFFD}, RestartLoop, "it has begun 20 times in the same way"},
	} {
		for _, opts := range []Options{{}, {Plain: true}} {
			if opts.Plain && row.want == Ended {
				continue
			}
			c := load(t, row.code, opts)
			stop, _ := c.Run(16_000_000, nil)
			if stop.Why != row.want || !strings.Contains(stop.Text, row.text) {
				t.Errorf("%s: %v; want %q", row.name, stop, row.text)
			}
			if again, _ := c.Run(32_000_000, nil); again != stop {
				t.Errorf("%s: run again it says %v", row.name, again)
			}
			if c.Reset(); c.stopped {
				t.Errorf("%s: a reset does not help", row.name)
			}
		}
	}
}

// TestBadInterrupt enables an interrupt that has no handler: compilers let it jump to
// the beginning, and the report names it.
func TestBadInterrupt(t *testing.T) {
	code := make([]uint16, 0x50)
	for n := range 26 {
		code[2*n], code[2*n+1] = 0x940C, 0 // jmp 0
	}
	code[1] = 0x40
	// ldi r16, 3; out TCCR0B, r16; ldi r16, 1; sts TIMSK0, r16; sei; rjmp .-2
	copy(code[0x40:], []uint16{0xE003, 0xBD05, 0xE001, 0x9300, 0x006E, 0x9478, 0xCFFF})
	c := load(t, code, Options{})
	stop, events := c.Run(1<<40, nil)
	if stop.Why != RestartLoop || !strings.Contains(stop.Text, "the last interrupt was TIMER0_OVF") || count(events, Restarted) < maxSameLives {
		t.Errorf("%v, %d restarts told", stop, count(events, Restarted))
	}
}

// TestWatchdogLoop is a program that never feeds its watchdog.
func TestWatchdogLoop(t *testing.T) {
	// ldi r16, WDCE|WDE; sts WDTCSR, r16; ldi r16, WDE; sts WDTCSR, r16; rjmp .-2
	c := load(t, []uint16{0, 0xE108, 0x9300, 0x0060, 0xE008, 0x9300, 0x0060, 0xCFFF}, Options{})
	stop, events := c.Run(1<<40, nil)
	if stop.Why != RestartLoop || !strings.Contains(stop.Text, "the watchdog") || count(events, WasReset) < maxSameLives {
		t.Errorf("%v after %d resets", stop, count(events, WasReset))
	}
}

// TestStall polls a flag that never comes, with interrupts off.
func TestStall(t *testing.T) {
	// lds r16, UCSR0A; sbrs r16, 7; rjmp back
	c := load(t, []uint16{0, 0x9100, 0x00C0, 0xFF07, 0xCFFC}, Options{StallMS: 5000})
	stop, _ := c.Run(1<<40, nil)
	if stop.Why != Stalled || !strings.Contains(stop.Text, "for 5.000 s, and it goes on reading UCSR0A") {
		t.Errorf("%v", stop)
	}
}

// TestSleepIsNoStall sleeps in power-down for hours, woken by the watchdog now and then.
func TestSleepIsNoStall(t *testing.T) {
	r := sleeper(t, uint8(sleepDown-1), Options{})
	r.stallAfter = r.cyclesOf(10_000)
	r.writeIO(r.addrOf("WDTCSR"), watchdogWay|watchdogResets, 0)
	r.writeIO(r.addrOf("WDTCSR"), watchdogInterrupts|1<<5|1, 0) // 8 s
	if stop, _ := r.Run(r.CycleAt(3600*when.Second), nil); stop.Final() || r.data[16] < 150 {
		t.Errorf("%v after %d wakings", stop, r.data[16])
	}
}

// TestNotModelled wants each access named once, with the register and the place.
func TestNotModelled(t *testing.T) {
	r := newRig(t, Options{})
	for range 3 {
		r.set("UCSR0C", 0x46)
		r.set("ASSR", 1<<5)
		r.writeIO(0xD0, 1, r.cycle)
		r.readIO(0x4F, r.cycle)
		r.get("ACSR")
		r.set("MCUCR", 2)
	}
	r.run(4)
	if count(r.events, NotModelled) != 6 {
		t.Errorf("%d things named; want 6: %+v", count(r.events, NotModelled), r.events)
	}
	for _, e := range r.events {
		if e.Kind == NotModelled && !strings.HasSuffix(e.Text, " at 0x0080") {
			t.Errorf("without its place: %q", e.Text)
		}
	}
	// lds r16, 0x0A00; sts 0x0A01, r16: beyond RAM
	c := load(t, []uint16{0, 0x9100, 0x0A00, 0x9300, 0x0A01, 0xCFFA}, Options{StallMS: -1})
	if _, events := c.Run(5000, nil); count(events, BeyondRAM) != 2 {
		t.Errorf("%+v", events)
	}
}

// TestTimes turns cycles to nanoseconds and back.
func TestTimes(t *testing.T) {
	for _, hz := range []float64{16e6, 8e6, 11.0592e6, 1e6, 20e6} {
		c := New(ATmega328P(), Options{ClockHz: hz})
		for _, n := range []Cycle{0, 1, 7, 1000, 16_000_001, 123_456_789_012} {
			at := c.InstantOf(n)
			if back := c.CycleAt(at); back > n || n-back > 1 {
				t.Errorf("%.4f MHz: cycle %d begins at %v, where cycle %d begins", hz/1e6, n, at, back)
			}
		}
		if got := c.CycleAt(when.Second); got != Cycle(hz) {
			t.Errorf("%.4f MHz: a second is %d cycles", hz/1e6, got)
		}
	}
	if c := New(ATmega328P(), Options{}); c.InstantOf(Never) != when.Never || c.CycleAt(when.Never) != Never {
		t.Error("never is not never")
	}
}

func ExampleCore_Run() {
	// ldi r16, 0x20; out DDRB, r16; sbi PINB, 5; nop; nop; nop; rjmp back to sbi
	code := []byte{0x00, 0xE2, 0x04, 0xB9, 0x1D, 0x9A, 0, 0, 0, 0, 0, 0, 0xFB, 0xCF}
	c := New(ATmega328P(), Options{})
	if err := c.Load(&Image{Name: "blink", Flash: code}); err != nil {
		fmt.Println(err)
		return
	}
	c.Watch(PinOf('B', 5))
	stop, events := c.Run(20, nil)
	for _, e := range events {
		fmt.Println(e.At, e.Pin, e.Drive)
	}
	fmt.Println(stop)
	// Output:
	// 2 PB5 low
	// 4 PB5 high
	// 11 PB5 low
	// 18 PB5 high
	// reached the time
}
