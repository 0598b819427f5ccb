// Package controller is a microcontroller made of software: it runs the very image
// that will be flashed, cycle by cycle.
//
// # What it promises
//
// A [Core] is a machine without hands: time is counted in clock cycles, and what
// its pins do is returned. The same image, options and inputs give the same outputs
// at the same cycles, however [Core.Run] was cut. Every instruction costs what the
// instruction set manual says. Waiting is skipped only where running on would have
// come to the same. What the part has and this package does not model is named once,
// with its address and the place in the program; nothing is passed over silently,
// and nothing runs for ever without a word.
//
// It is written from the AVR instruction set manual (DS40002198) and the datasheet
// of the part (DS40002061). Where they are silent, a constant says "our estimate".
//
// # What it leaves to others
//
// What hangs on the pins: [Listener] and [Talker] turn edges to bytes and back for
// whoever holds the other end. What a dialogue means. What time it is outside: a
// caller who counts in nanoseconds asks [Core.CycleAt] and [Core.InstantOf].
//
// # Where to start
//
// Read [Core.Run], then exact.go (what each instruction does), io.go (which register
// belongs to whom) and sprint.go (the same, fast). part.go holds the tables.
package controller

import "firstfix/internal/when"

// Cycle counts clock cycles since power came.
type Cycle uint64

// Never is later than every cycle that can happen.
const Never Cycle = 1<<64 - 1

// Options say what the board and the fuses decide. The zero value is a bare part at
// 16 MHz and 5 V that starts at once; [Board] is what most boards are.
type Options struct {
	ClockHz     float64 // 0: 16 MHz
	SupplyMV    int     // 0: 5000
	BrownOutMV  int     // the BODLEVEL fuses; 0: off
	StartMS     float64 // what the SUT fuses add to every reset
	WakeCycles  Cycle   // of the oscillator after power-down, from the CKSEL fuses
	WatchdogOn  bool    // the WDTON fuse
	SkipNothing bool    // run through every wait
	Plain       bool    // one instruction at a time, to compare with; implies SkipNothing
	StallMS     float64 // how long it may run awake with nothing happening before Run stops; 0: an hour, negative: no limit
}

// Board is how a usual board sets the fuses: 16 MHz crystal, brown-out at 2.7 V,
// 65 ms after reset (common practice, no source).
func Board() Options {
	return Options{ClockHz: 16e6, BrownOutMV: 2700, StartMS: 65, WakeCycles: 16384}
}

const (
	usualClockHz  = 16e6
	usualSupplyMV = 5000
	usualStallMS  = 3600e3 // longer than any tracker should be silent; our estimate
)

// Core is one microcontroller in one life.
type Core struct {
	// What every instruction touches comes first.
	data              [dataSpan]uint8 // registers, shadows of I/O registers, RAM
	cycle             Cycle           // when the next instruction begins
	pc                uint32          // in words
	lastPC            uint32
	ramEnd            uint32
	ramStart, ramSize uint32
	sp                uint16
	deepest           uint16 // lowest that sp has been
	sreg              uint8
	shadow            bool // one instruction runs before the next interrupt
	asleep            sleepMode
	stopped           bool
	cost              Cycle  // of the instruction in step
	nextPC            uint32 // after it
	leapt             uint32 // where the last computed jump was

	flags flagTables

	plain []op              // one instruction each
	fast  *[fastSpan]fastOp // several in one where that is known; see fuse.go
	flash []uint16
	entry op // what stands at address 0

	part    *Part
	opts    Options
	decoder *decoder
	image   *Image
	regAt   [0x200]register
	where   [regKinds]uint16 // the first register of a kind

	due      [alarmCount]Cycle
	next     Cycle // the earliest of due
	runUntil Cycle // where the present Run ends

	raised   uint64 // interrupt flags, by source
	enabled  uint64 // interrupt enables, by source
	levels   uint64 // flags that their cause holds up, which entering a vector does not clear
	priority [64]uint8
	raisedAt [64]Cycle
	held     [64]Held
	lastIRQ  string

	ports      [maxPorts]port
	inputs     inputs
	synced     inputs // edges on their way through the synchronizers
	pinRoles   [maxPins]role
	changeMask [4]uint8 // PCMSKx
	timers     []timer
	prescale   [2]prescaler
	usarts     []usart
	eeprom     eeprom
	watchdog   watchdog
	adc        adc
	spi        spi
	twi        twi
	supplyMV   int
	starved    bool   // the supply is below the brown-out level
	inReset    bool   // held in reset, or still starting
	wakeAt     Cycle  // when instructions run again
	fresh      bool   // the program has not begun since the last reset
	causeDue   uint8  // a reset that waits for the end of the instruction, as its bit of MCUSR
	clockOpen  Cycle  // CLKPR may be changed until then
	slept      Cycle  // when the clock of the peripherals stopped
	causes     [4]int // resets so far, by the bits of MCUSR

	out        []Event
	noted      map[noteKey]bool
	stop       Stop
	touched    uint64 // counts what a wait must not do; see idle.go
	stallAfter Cycle  // without progress
	progress   Cycle  // when something last happened that the outside could see
	lives      lives
	idle       idle

	// Counts for the curious and for benchmarks.
	Skipped Cycle // cycles that were jumped over
}

// New makes a controller with erased flash. Load comes next.
func New(p *Part, opts Options) *Core {
	if opts.ClockHz == 0 {
		opts.ClockHz = usualClockHz
	}
	if opts.SupplyMV == 0 {
		opts.SupplyMV = usualSupplyMV
	}
	if opts.StallMS == 0 {
		opts.StallMS = usualStallMS
	}
	c := &Core{part: p, opts: opts, supplyMV: opts.SupplyMV, ramEnd: p.RAMEnd(), ramStart: p.RAMStart, ramSize: p.RAMBytes, noted: map[noteKey]bool{}}
	c.stallAfter = Never
	if opts.StallMS > 0 {
		c.stallAfter = c.cyclesOf(opts.StallMS)
	}
	c.flash = make([]uint16, p.FlashBytes/2)
	for i := range c.flash {
		c.flash[i] = 0xFFFF
	}
	c.lastPC = uint32(len(c.flash) - 1)
	for _, r := range p.registers {
		c.regAt[r.addr] = r
		if c.where[r.kind] == 0 {
			c.where[r.kind] = r.addr
		}
	}
	for n, v := range p.vectors {
		c.priority[v.source] = uint8(n + 1)
	}
	c.buildPorts()
	c.timers = make([]timer, len(p.timers))
	c.usarts = make([]usart, len(p.usarts))
	c.eeprom.data = make([]uint8, p.EEPROMBytes)
	for i := range c.eeprom.data {
		c.eeprom.data[i] = 0xFF
	}
	c.flags.fill()
	c.decoder = newDecoder(p)
	// A zero op is erased flash, and a zero step is left to step.
	c.plain, c.fast = make([]op, len(c.flash)), new([fastSpan]fastOp)
	c.plain[0].kind = kEntry
	c.restart()
	return c
}

// predecode decodes the whole flash once.
func (c *Core) predecode() {
	for pc := range c.plain {
		c.plain[pc] = c.decoder.at(c.flash, uint32(pc))
	}
	c.entry = c.plain[0]
	c.plain[0].kind = kEntry
	c.fuse()
}

// restart is power coming back after it was gone long enough for RAM to be forgotten.
func (c *Core) restart() {
	c.data = [dataSpan]uint8{}
	c.cycle, c.progress, c.Skipped = 0, 0, 0
	c.stopped, c.stop, c.lives, c.idle = false, Stop{}, lives{}, idle{before: c.idle.before}
	c.causes, c.held, c.raisedAt = [4]int{}, [64]Held{}, [64]Cycle{}
	c.inputs, c.eeprom.busy, c.starved = inputs{}, false, false
	c.leapt = 0
	clear(c.noted)
	c.out = nil
	c.due = [alarmCount]Cycle{}
	for i := range c.ports {
		c.ports[i].seen, c.ports[i].changedAt = 0, 0
	}
	c.reset(resetPower)
	c.SetSupply(c.supplyMV)
}

// Now is the cycle at which the next instruction begins.
func (c *Core) Now() Cycle { return c.cycle }

// PC is the byte address of the next instruction.
func (c *Core) PC() uint32 { return c.pc * 2 }

// CycleAt is the first cycle that begins at or after an instant.
func (c *Core) CycleAt(at when.Instant) Cycle {
	if at == when.Never {
		return Never
	}
	whole, rest := at/when.Second, at%when.Second
	n := Cycle(float64(whole)*c.opts.ClockHz) + Cycle(float64(rest)*c.opts.ClockHz/1e9)
	for c.InstantOf(n) < at {
		n++
	}
	return n
}

// InstantOf is when a cycle begins, in nanoseconds rounded down.
func (c *Core) InstantOf(n Cycle) when.Instant {
	if n == Never {
		return when.Never
	}
	seconds := Cycle(float64(n) / c.opts.ClockHz)
	rest := float64(n) - float64(seconds)*c.opts.ClockHz
	return when.Instant(seconds)*when.Second + when.Instant(rest*1e9/c.opts.ClockHz)
}

// BitCycles is the length of a bit at a speed, for [Framing].
func (c *Core) BitCycles(baud float64) float64 { return c.opts.ClockHz / baud }

func (c *Core) cyclesOf(ms float64) Cycle { return Cycle(ms * c.opts.ClockHz / 1000) }

// Run lets the controller live up to a cycle and appends what its pins did and what
// there is to say. It may end a few cycles late, with the instruction that was
// running. It ends early only when the Stop says why.
func (c *Core) Run(until Cycle, out []Event) (Stop, []Event) {
	return c.run(until, 1<<62, out)
}

// RunToEvent is Run, but it also ends as soon as there is an event, so that whoever
// holds the other end of a wire can answer in time.
func (c *Core) RunToEvent(until Cycle, out []Event) (Stop, []Event) {
	return c.run(until, len(out)+1, out)
}

func (c *Core) run(until Cycle, fill int, out []Event) (Stop, []Event) {
	c.out, c.runUntil = append(out, c.out...), until // what was said between runs comes first
	for !c.stopped && c.cycle < until && len(c.out) < fill {
		switch {
		case c.causeDue != 0:
			c.reset(c.causeDue)
		case c.next <= c.cycle:
			c.catchUp(c.cycle)
		case c.shadow:
			c.shadow = false
			c.step()
		case c.raised&c.enabled != 0 && c.sreg&flagI != 0 && c.runs():
			c.interrupt()
		case !c.runs():
			c.rest(until)
		case c.opts.Plain:
			c.step()
		default:
			c.hurry(min(until, c.next))
		}
		if c.cycle-c.progress > c.stallAfter && !c.stopped {
			c.stall()
		}
	}
	out, c.out = c.out, nil
	if c.stopped {
		return c.stop, out
	}
	why := ReachedTime
	if c.cycle < until {
		why = EventWaiting
	}
	return Stop{Why: why, At: c.cycle, PC: c.pc * 2}, out
}

// stall says what it has been doing instead of getting on.
func (c *Core) stall() {
	doing := ""
	if r := c.regAt[c.idle.reading]; r.name != "" && c.idle.waiting {
		doing = ", and it goes on reading " + r.name
	}
	c.halt(Stalled, "nothing has left or reached a watched pin for %v s%s,", c.InstantOf(c.stallAfter), doing)
}
