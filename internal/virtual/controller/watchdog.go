package controller

// The bits of WDTCSR.
const (
	watchdogFlag       = 1 << 7
	watchdogInterrupts = 1 << 6
	watchdogWay        = 1 << 4 // WDCE
	watchdogResets     = 1 << 3 // WDE
	watchdogTimes      = 1<<5 | 7
)

// watchdogHz is the watchdog's own oscillator, and watchdogShortest its first
// time-out in cycles of it (datasheet, "Watchdog timer prescale select": 16 ms
// nominal). A real one is off by several per cent.
const (
	watchdogHz       = 128e3
	watchdogShortest = 2048
	watchdogLongest  = 9 // the largest choice that is not reserved
)

// changeCycles is the time after WDCE in which the watchdog may be changed.
const changeCycles = 4

type watchdog struct {
	began    Cycle // when it was last reset
	openTill Cycle
	kicked   bool // since idle.go last looked
}

func (c *Core) watchdogPeriod() Cycle {
	v := c.data[c.where[regWDTCSR]]
	n := min(v&7|v>>2&8, watchdogLongest)
	return Cycle(float64(uint32(watchdogShortest)<<n) / watchdogHz * c.opts.ClockHz)
}

// planWatchdog sets the alarm anew.
func (c *Core) planWatchdog() {
	at := Never
	if c.data[c.where[regWDTCSR]]&(watchdogResets|watchdogInterrupts) != 0 {
		at = c.watchdog.began + c.watchdogPeriod()
	}
	c.setDue(alarmWatchdog, at)
}

// watchdogReset is WDR.
func (c *Core) watchdogReset() {
	c.watchdog.began = c.cycle + c.cost
	c.watchdog.kicked = true
	c.planWatchdog()
}

func (c *Core) readWatchdog(at Cycle) uint8 {
	v := c.data[c.where[regWDTCSR]]
	if c.raised&(1<<srcWatchdog) != 0 {
		v |= watchdogFlag
	}
	if at <= c.watchdog.openTill {
		v |= watchdogWay
		c.touched++
	}
	return v
}

// writeWatchdog obeys the timed sequence of the datasheet: the time and a cleared WDE
// are taken only within four cycles after WDCE and WDE were written together.
func (c *Core) writeWatchdog(v uint8, at Cycle) {
	addr := c.where[regWDTCSR]
	old := c.data[addr]
	if v&watchdogFlag != 0 {
		c.lower(srcWatchdog)
	}
	open := at <= c.watchdog.openTill && c.watchdog.openTill != 0
	next := v & watchdogInterrupts
	if open {
		next |= v & (watchdogTimes | watchdogResets)
	} else {
		next |= old&(watchdogTimes|watchdogResets) | v&watchdogResets
		if v&watchdogWay == 0 && (v^old)&watchdogTimes != 0 || old&watchdogResets != 0 && v&(watchdogResets|watchdogWay) == 0 {
			c.note(Refused, addr, "changes the watchdog outside the four cycles after WDCE: it stays as it was,")
		}
	}
	if c.opts.WatchdogOn || c.data[c.where[regMCUSR]]&resetWatchdog != 0 {
		next |= watchdogResets
	}
	if c.opts.WatchdogOn {
		next &^= watchdogInterrupts
	}
	c.watchdog.openTill = 0
	if v&(watchdogWay|watchdogResets) == watchdogWay|watchdogResets {
		c.watchdog.openTill = at + changeCycles
	}
	c.data[addr] = next
	c.enable(srcWatchdog, next&watchdogInterrupts != 0, at)
	if (next^old)&(watchdogTimes|watchdogResets|watchdogInterrupts) != 0 {
		if old&(watchdogResets|watchdogInterrupts) == 0 {
			c.watchdog.began = at
		}
		c.planWatchdog()
		if c.due[alarmWatchdog] < at {
			c.setDue(alarmWatchdog, at)
		}
	}
}

// watchdogDue is the end of the time. An interrupt that was not served by the next
// end becomes a reset, if resets are on (datasheet, WDIE).
func (c *Core) watchdogDue(at Cycle) {
	v := c.data[c.where[regWDTCSR]]
	c.watchdog.began = at
	if v&watchdogResets != 0 && (v&watchdogInterrupts == 0 || c.raised&(1<<srcWatchdog) != 0) {
		c.causeDue = resetWatchdog
		return
	}
	c.raise(srcWatchdog, at)
	c.planWatchdog()
}

// watchdogEntered is the entry to its vector, which turns an interrupt-then-reset
// watchdog into one that resets.
func (c *Core) watchdogEntered() {
	addr := c.where[regWDTCSR]
	if c.data[addr]&watchdogResets != 0 {
		c.data[addr] &^= watchdogInterrupts
		c.enable(srcWatchdog, false, c.cycle)
	}
}
