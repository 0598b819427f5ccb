package controller

import "bytes"

// How waits are found. A program that only waits goes round and round and changes
// nothing. When it comes back to an instruction with the same registers, flags, stack
// and RAM as before, having done nothing to a peripheral and read nothing that
// changes with time alone, it will come back again after as many cycles, and again,
// until the next event. Then time may jump by whole rounds, to the last one before
// that event. TestSkippingIsInvisible holds it against running through.
const (
	lookSteps    = 120     // instructions that a look usually follows
	lookFar      = 1000    // and that every eighth follows; a longer round is no mere wait
	lookSoonest  = 1 << 10 // cycles until the next look after one that found nothing
	lookSlowest  = 1 << 14 // and at most, when it goes on finding nothing; 1 ms at 16 MHz
	handlerGrace = 1 << 14 // cycles that a handler has before its own loops are looked at
)

type idle struct {
	lookAt  Cycle
	pause   Cycle // between looks that find nothing
	waiting bool  // the last look found a wait
	looks   int
	handler bool  // a handler runs; until it returns, lookAt is its grace
	after   Cycle // what lookAt was before it
	before  []uint8
	reading uint16 // the register that the last round read
	ioReads uint64
}

// hurry runs instructions until limit, before which nothing is due.
func (c *Core) hurry(limit Cycle) {
	to := limit
	if !c.opts.SkipNothing {
		if c.cycle >= c.idle.lookAt {
			c.look(limit)
			return
		}
		to = min(limit, c.idle.lookAt)
	}
	if !c.sprint(to) || c.cycle < to {
		c.step()
	}
}

// look follows the program for a while and jumps over the rounds of a wait.
func (c *Core) look(limit Cycle) {
	w := &c.idle
	if c.delaying(limit) {
		return
	}
	head, began := c.pc, c.cycle
	sreg, sp := c.sreg, c.sp
	touched, reads := c.touched, w.ioReads
	c.watchdog.kicked = false
	w.before = append(w.before[:0], c.data[:c.ramEnd+1]...)
	steps := lookSteps
	if w.looks++; w.looks%8 == 0 {
		steps = lookFar
	}
	for range steps {
		if c.cycle >= min(limit, c.next) || c.stopped || c.touched != touched || c.sreg&flagI != 0 && c.raised&c.enabled != 0 {
			break
		}
		c.shadow = false
		c.step()
		if c.pc != head || c.touched != touched || c.stopped {
			continue
		}
		if c.sreg == sreg && c.sp == sp && bytes.Equal(c.data[:c.ramEnd+1], w.before) {
			c.skipRounds(limit, c.cycle-began, w.ioReads == reads)
			return
		}
		began, sreg, sp, reads = c.cycle, c.sreg, c.sp, w.ioReads
		c.watchdog.kicked = false
		copy(w.before, c.data[:c.ramEnd+1])
	}
	w.waiting = false
	w.pause = min(max(2*w.pause, lookSoonest), lookSlowest)
	w.lookAt = c.cycle + w.pause
}

// delaying says that the program is in one of the countdown loops that sprint works
// out at once: there is nothing to look for before its end.
func (c *Core) delaying(limit Cycle) bool {
	for c.cycle < min(limit, c.next) && c.causeDue == 0 {
		if n := c.fast[c.pc].delay(&c.data); n > 0 {
			c.idle.lookAt = c.cycle + n + lookSoonest
			return true
		}
		// Its later instructions are met when a look falls into the middle of it.
		if k := c.plain[c.pc].kind; k != kSBCI && k != kBRBC || c.fast[c.pc].kind == left.kind {
			return false
		}
		c.step()
	}
	return false
}

// delay is how long a countdown loop has still to go, about; 0 for every other step.
func (o *fastOp) delay(d *[dataSpan]uint8) Cycle {
	switch o.kind {
	case fLoopDEC:
		return 3 * Cycle(d[o.a])
	case fLoopSBIW:
		return 4 * (Cycle(d[o.a]) | Cycle(d[o.a+1])<<8)
	case fLoopSUBI:
		return Cycle(o.count(d)) * (Cycle(o.b) + 2)
	}
	return 0
}

// skipRounds jumps over as many rounds as there is time for before limit.
func (c *Core) skipRounds(limit, round Cycle, blind bool) {
	w := &c.idle
	w.waiting, w.pause = true, 0
	if blind && c.endless() {
		c.halt(Ended, "goes round in %d cycles, looks at nothing, and no interrupt is left that could end it,", round)
		return
	}
	// What the round polls may have been given an alarm only now.
	limit = min(limit, c.next)
	if c.watchdog.kicked && c.due[alarmWatchdog] != Never {
		// Every round resets the watchdog: it does not count as an event.
		due := c.due[alarmWatchdog]
		c.setDue(alarmWatchdog, Never)
		limit = min(c.next, c.runUntil)
		c.setDue(alarmWatchdog, due)
	}
	if limit > c.cycle {
		by := (limit - c.cycle) / round * round
		c.cycle += by
		c.Skipped += by
		if c.watchdog.kicked {
			c.watchdog.began += by
			c.planWatchdog()
		}
	}
	w.lookAt = limit
}

// endless says that nothing inside the part can end a loop that looks at nothing.
func (c *Core) endless() bool {
	if c.data[c.where[regWDTCSR]]&watchdogResets != 0 {
		return false
	}
	return c.sreg&flagI == 0 || c.enabled == 0
}

// entered is called when a handler begins: it is not what the program waits in.
func (w *idle) entered(now Cycle) {
	if !w.handler {
		w.handler, w.after = true, w.lookAt
	}
	w.lookAt = now + handlerGrace
}

// returned is called when one ends. A wait that it broke into probably goes on.
func (w *idle) returned(now Cycle) {
	if w.handler {
		w.handler, w.lookAt = false, w.after
	}
	if w.waiting {
		w.lookAt = now
	}
}
