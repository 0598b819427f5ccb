package controller

// The causes of a reset, as MCUSR shows them.
const (
	resetPower    = 1 << 0
	resetPin      = 1 << 1
	resetBrownOut = 1 << 2
	resetWatchdog = 1 << 3
)

var resetNames = [4]string{"power came", "the reset pin", "brown-out", "the watchdog"}

// brownOutHysteresisMV is how far the supply must rise above the brown-out level
// (datasheet, "System and reset characteristics": 50 mV).
const brownOutHysteresisMV = 50

// Reset is the reset pin, pulled low and let go.
func (c *Core) Reset() {
	c.stopped = false
	c.stop = Stop{}
	c.reset(resetPin)
}

// Resets counts the resets so far: power, pin, brown-out, watchdog.
func (c *Core) Resets() [4]int { return c.causes }

// reset puts everything but RAM, the working registers and EEPROM to its start.
func (c *Core) reset(cause uint8) {
	now := c.cycle
	cleared := c.data[c.where[regMCUSR]]
	if cause == resetPower {
		cleared = 0
	}
	for _, r := range c.part.registers {
		c.data[r.addr] = r.start
	}
	c.data[c.where[regMCUSR]] = cleared | cause
	c.fresh = true
	c.pc, c.sreg, c.sp = 0, 0, uint16(c.ramEnd)
	c.deepest = c.sp
	c.shadow, c.asleep, c.causeDue = false, awake, 0
	c.raised, c.enabled, c.levels, c.lastIRQ = 0, 0, 0, ""
	c.changeMask = [4]uint8{}
	for a := range alarm(alarmCount) {
		if a != alarmInput && a != alarmEEPROM || c.due[a] == 0 {
			c.due[a] = Never
		}
	}
	c.findNext()
	c.synced = inputs{}
	for i := range c.ports {
		q := &c.ports[i]
		q.ddr, q.out, q.ocOn, q.txOn, q.rxOn = 0, 0, 0, 0, 0
	}
	c.resetTimers(now)
	for i := range c.usarts {
		c.resetUSART(i, now)
	}
	c.adc.reset()
	c.spi, c.twi = spi{}, twi{}
	c.startWatchdog(cause, now)
	c.inReset = true
	c.wakeAt = now + c.cyclesOf(c.opts.StartMS)
	if c.wakeAt == now && !c.starved {
		c.inReset = false
	}
	for n := range c.ports {
		c.refresh(uint8(n), now)
	}
	c.touched++
	c.tellReset(cause)
}

// startWatchdog gives the watchdog its state after a reset. A watchdog reset leaves
// it running, at its shortest time (datasheet, WDRF and WDE).
func (c *Core) startWatchdog(cause uint8, now Cycle) {
	c.watchdog = watchdog{began: now}
	if c.opts.WatchdogOn || c.data[c.where[regMCUSR]]&resetWatchdog != 0 {
		c.data[c.where[regWDTCSR]] = watchdogResets
	}
	c.planWatchdog()
}

func (c *Core) tellReset(cause uint8) {
	for i, name := range resetNames {
		if cause&(1<<i) == 0 {
			continue
		}
		c.causes[i]++
		if c.causes[resetBit(resetPower)] == 1 && cause == resetPower {
			return // the first start is no news
		}
		c.out = append(c.out, Event{At: c.cycle, Kind: WasReset, PC: 0, Text: "reset: " + name})
	}
	if cause != resetPower {
		c.endLife(resetNames[resetBit(cause)])
	}
}

func resetBit(cause uint8) int {
	for i := range resetNames {
		if cause == 1<<i {
			return i
		}
	}
	return 0
}

// runs says that instructions run.
func (c *Core) runs() bool { return c.asleep == awake && !c.inReset && c.wakeAt <= c.cycle }

// SetSupply says what the supply is from now on, in millivolts.
func (c *Core) SetSupply(mV int) {
	c.supplyMV = mV
	level := c.opts.BrownOutMV
	switch {
	case level > 0 && mV < level && !c.starved:
		c.starved = true
		c.reset(resetBrownOut)
	case c.starved && mV >= level+brownOutHysteresisMV:
		c.starved = false
		c.wakeAt = c.cycle + c.cyclesOf(c.opts.StartMS)
	}
	if !c.starved && c.opts.ClockHz > c.safeHz(mV)*1.001 {
		c.note(UnsafeSupply, 0, "runs at %.1f MHz from %d mV, which is safe to %.1f MHz only: a real part may do anything", c.opts.ClockHz/1e6, mV, c.safeHz(mV)/1e6)
	}
}

// safeHz is the fastest clock that the datasheet allows at a supply.
func (c *Core) safeHz(mV int) float64 {
	corners := c.part.safe
	if mV < corners[0].supplyMV {
		return 0
	}
	for i := 1; i < len(corners); i++ {
		a, b := corners[i-1], corners[i]
		if mV < b.supplyMV {
			return a.clockHz + (b.clockHz-a.clockHz)*float64(mV-a.supplyMV)/float64(b.supplyMV-a.supplyMV)
		}
	}
	return corners[len(corners)-1].clockHz
}

// sleepMode is how deep it sleeps, as SM2:0 of SMCR, plus one.
type sleepMode uint8

const (
	awake       sleepMode = 0
	sleepIdle   sleepMode = 1
	sleepADC    sleepMode = 2
	sleepDown   sleepMode = 3
	sleepSave   sleepMode = 4
	sleepStand  sleepMode = 7
	sleepStandX sleepMode = 8
)

// standbyWake is the wake-up time with the oscillator running (datasheet, "Sleep modes": 6 cycles).
const standbyWake = 6

// wakeCycles is the pause before the interrupt of a wake-up (datasheet, "Interrupt
// response time": four cycles more).
const wakeCycles = 4

// stopsIO says that the peripherals have no clock.
func (m sleepMode) stopsIO() bool { return m > sleepIdle }

// fallAsleep is SLEEP.
func (c *Core) fallAsleep() {
	v := c.data[c.where[regSMCR]]
	if v&1 == 0 {
		c.note(Refused, c.where[regSMCR], "executes SLEEP while SE in SMCR is 0: it does not sleep,")
		return
	}
	mode := sleepMode(v>>1&7) + 1
	if mode > sleepSave && mode < sleepStand {
		c.note(Refused, c.where[regSMCR], "chooses the reserved sleep mode %d; idle is taken,", mode-1)
		mode = sleepIdle
	}
	now := c.cycle + c.cost
	c.touched++
	c.asleep = mode
	if mode.stopsIO() {
		c.stopClocks(now)
	}
	if mode == sleepADC {
		c.adcSleeps(now)
	}
}

// stopClocks freezes timers and everything else that lives on the I/O clock.
func (c *Core) stopClocks(now Cycle) {
	c.syncTimers(now)
	c.slept = now
	for i := range c.timers {
		c.setDue(alarmTimer+alarm(i), Never)
	}
	for i := range c.usarts {
		c.setDue(alarmRx+alarm(i), Never)
	}
}

// frozen are the alarms that wait while the I/O clock stands, besides the timers.
var frozen = [...]alarm{alarmTx, alarmTx + 1, alarmTx + 2, alarmTx + 3, alarmSPI}

// startClocks lets them go on where they were.
func (c *Core) startClocks(now Cycle) {
	by := now - c.slept
	c.shiftTimers(by, now)
	for _, a := range frozen {
		if c.due[a] != Never {
			c.setDue(a, c.due[a]+by)
		}
	}
	for i := range c.usarts {
		c.usarts[i].resume(by)
	}
}

// wakes says that an interrupt ends the sleep.
func (c *Core) wakes() bool {
	if c.sreg&flagI == 0 {
		return false
	}
	return c.raised&c.enabled&c.mayWake() != 0
}

// mayWake are the sources that work in the present sleep (datasheet, "Active clock
// domains and wake-up sources in the different sleep modes").
func (c *Core) mayWake() uint64 {
	const deep = 0xFF<<srcINT0 | 0x0F<<srcPCINT0 | 1<<srcWatchdog | 1<<srcTWI
	switch c.asleep {
	case sleepIdle:
		return ^uint64(0)
	case sleepADC:
		return deep | 1<<srcADC | 1<<srcEEPROM | 1<<srcSPM
	}
	return deep
}

func (c *Core) wakeUp() {
	start := Cycle(0)
	switch c.asleep {
	case sleepDown, sleepSave:
		start = c.opts.WakeCycles
	case sleepStand, sleepStandX:
		start = standbyWake
	}
	if c.asleep.stopsIO() {
		c.startClocks(c.cycle + start)
	}
	c.asleep = awake
	c.touched++
	c.progress = c.cycle // sleeping is no stall
	c.wakeAt = c.cycle + start + wakeCycles
	c.idle.lookAt = max(c.idle.lookAt, c.wakeAt+lookSlowest) // who sleeps seldom waits in loops
}

// rest lets time pass while no instruction runs.
func (c *Core) rest(until Cycle) {
	switch {
	case c.inReset && !c.starved && c.wakeAt <= c.cycle:
		c.inReset = false
		for n := range c.ports {
			c.refresh(uint8(n), c.cycle)
		}
		return
	case c.asleep != awake && !c.inReset && c.wakes():
		c.wakeUp()
		return
	}
	to := min(until, c.next)
	if c.wakeAt > c.cycle && !c.starved {
		to = min(to, c.wakeAt)
	}
	if c.asleep != awake && c.next == Never && !c.pinsMayWake() {
		c.halt(SleepsForEver, "sleeps, and nothing is left that could wake it,")
		return
	}
	if to == Never {
		c.halt(SleepsForEver, "waits without end for something outside,")
		return
	}
	c.Skipped += to - c.cycle
	c.cycle = to
}

// pinsMayWake says that something outside could end the sleep.
func (c *Core) pinsMayWake() bool {
	const fromPins = uint64(0xFF)<<srcINT0 | 0x0F<<srcPCINT0 | 7<<srcUSART0 | 1<<srcTWI | (1<<30-1)<<srcTimer0
	return c.sreg&flagI != 0 && c.enabled&c.mayWake()&fromPins != 0
}

func (c *Core) writeMCUCR(v uint8, at Cycle) {
	const vectorsInBoot = 1 << 1
	addr := c.where[regMCUCR]
	if v&vectorsInBoot != 0 {
		c.note(NotModelled, addr, "moves the interrupt vectors to the boot section (IVSEL), which is not modelled; they stay,")
	}
	c.data[addr] = v & pullUpsOff
	for n := range c.ports {
		c.refresh(uint8(n), at)
	}
}

func (c *Core) writeCLKPR(r *register, v uint8, at Cycle) {
	const enable = 1 << 7
	if v == enable {
		c.clockOpen = at + 4
		return
	}
	if at <= c.clockOpen && v&0x0F != c.data[r.addr]&0x0F {
		c.data[r.addr] = v & 0x0F
		c.note(NotModelled, r.addr, "divides its clock by %d, which is not modelled: all times are shorter by as much,", 1<<(v&0x0F))
	}
}

// powerReduced switches units off and on (datasheet, PRR). Timers stand still; what
// else is switched off is named when it is used.
func (c *Core) powerReduced(at Cycle) {
	for i := range c.timers {
		c.setClock(i, at)
	}
}

// offByPRR says, once, that a unit is used that PRR holds off.
func (c *Core) offByPRR(bit uint8, name string) bool {
	addr := c.where[regPRR]
	if c.data[addr]&bit == 0 {
		return false
	}
	c.note(Refused, addr<<8|uint16(bit), "uses %s while PRR holds it off,", name)
	return true
}
