package controller

// alarm is one thing that will happen by itself at a known cycle.
type alarm uint8

// The alarms, in the order in which they go off when they are due together.
const (
	alarmInput    alarm = iota // an edge from outside
	alarmSync                  // an edge has passed a synchronizer
	alarmTimer                 // one for each timer
	alarmTx       = alarmTimer + 6
	alarmRx       = alarmTx + 4
	alarmADC      = alarmRx + 4
	alarmSPI      = alarmADC + 1
	alarmTWI      = alarmSPI + 1
	alarmEEPROM   = alarmTWI + 1
	alarmWatchdog = alarmEEPROM + 1
	alarmCount    = alarmWatchdog + 1
)

// setDue sets one alarm and keeps next true.
func (c *Core) setDue(a alarm, at Cycle) {
	old := c.due[a]
	c.due[a] = at
	if at <= c.next {
		c.next = at
	} else if old == c.next {
		c.findNext()
	}
}

func (c *Core) findNext() {
	next := Never
	for _, at := range c.due {
		next = min(next, at)
	}
	c.next = next
}

// catchUp lets everything happen that is due by a cycle, each at its own time. What
// the handlers set for the same cycle happens too.
func (c *Core) catchUp(to Cycle) {
	for c.next <= to {
		at := c.next
		for a := range alarm(alarmCount) {
			if c.due[a] == at {
				c.due[a] = Never
				c.fire(a, at)
				break
			}
		}
		c.findNext()
	}
}

func (c *Core) fire(a alarm, at Cycle) {
	c.touched++
	switch {
	case a == alarmInput:
		c.takeInputs(at)
	case a == alarmSync:
		c.takeSynced(at)
	case a < alarmTx:
		c.timers[a-alarmTimer].polled = false
		c.timerDue(int(a-alarmTimer), at)
	case a < alarmRx:
		c.transmit(int(a-alarmTx), at)
	case a < alarmADC:
		c.sample(int(a-alarmRx), at)
	case a == alarmADC:
		c.converted(at)
	case a == alarmSPI:
		c.spiDone(at)
	case a == alarmTWI:
		c.twiDone(at)
	case a == alarmEEPROM:
		c.eepromDone(at)
	case a == alarmWatchdog:
		c.watchdogDue(at)
	}
}
