package controller

// timer is one timer/counter. It is brought up to date only when somebody looks, and
// at the cycles for which plan has set an alarm.
type timer struct {
	at       Cycle // tcnt is right at this cycle
	tcnt     uint16
	max      uint16
	ocr      [3]uint16
	buffer   [3]uint16 // what OCRnx becomes at the next update
	icr      uint16
	temp     uint8 // the high byte of 16-bit accesses
	a, b     uint8 // TCCRnA and TCCRnB
	mode     mode
	div      Cycle // 0: stopped
	external uint8 // clock pin: 1 falling edges, 2 rising
	sources  source
	channels int
	down     bool
	blocked  bool // a write to TCNT blocks the next match
	oc       [3]bool
	polled   bool // the program looks at flags that do not interrupt
}

// prescaler divides the clock for the timers that share it.
type prescaler struct {
	base Cycle // when it was last zero
	held bool  // TSM
}

func (c *Core) resetTimers(now Cycle) {
	c.prescale = [2]prescaler{{base: now}, {base: now}}
	for i, p := range c.part.timers {
		t := timer{at: now, max: 0xFF, sources: p.sources, mode: modes8[0]}
		if p.wide {
			t.max, t.mode = 0xFFFF, modes16[0]
		}
		for t.channels < len(p.out) && p.out[t.channels] != NoPin {
			t.channels++
		}
		c.timers[i] = t
	}
}

func (c *Core) prescalerOf(i int) *prescaler {
	if c.part.timers[i].slow {
		return &c.prescale[1]
	}
	return &c.prescale[0]
}

// syncTimer brings one timer up to a cycle.
func (c *Core) syncTimer(i int, to Cycle) {
	t := &c.timers[i]
	from := t.at
	if to <= from {
		return
	}
	t.at = to
	pre := c.prescalerOf(i)
	if t.div == 0 || pre.held || c.asleep.stopsIO() {
		return
	}
	before := (from - pre.base) / t.div
	if n := (to-pre.base)/t.div - before; n > 0 {
		c.count(i, n, pre.base+(before+1)*t.div, t.div)
	}
}

func (c *Core) syncTimers(to Cycle) {
	for i := range c.timers {
		c.syncTimer(i, to)
	}
}

// planTimers is for when it changes who looks at timers.
func (c *Core) planTimers(to Cycle) {
	for i := range c.timers {
		c.syncTimer(i, to)
		c.plan(i)
	}
}

// timerDue is the cycle of a count that somebody waits for.
func (c *Core) timerDue(i int, at Cycle) {
	c.syncTimer(i, at)
	c.plan(i)
}

// plan sets the alarm for the next count that anybody would notice: one that raises a
// flag that interrupts or is polled, or that changes a pin that is watched.
func (c *Core) plan(i int) {
	t := &c.timers[i]
	a := alarmTimer + alarm(i)
	pre := c.prescalerOf(i)
	if t.div == 0 || pre.held || c.asleep.stopsIO() {
		c.setDue(a, Never)
		return
	}
	best := Never
	for s := ofOverflow; s <= ofCapture; s++ {
		bit := uint64(1) << (t.sources + s)
		if c.raised&bit == 0 && (t.polled || c.enabled&bit != 0 || c.adcTriggered(t.sources+s)) {
			best = min(best, t.untilFlag(s))
		}
	}
	for ch := range t.channels {
		if t.connected(ch) && c.heard(c.part.timers[i].out[ch]) {
			best = min(best, t.untilFlag(ofMatchA+source(ch)))
			if t.mode.wave == waveFast {
				best = min(best, t.untilEnd())
			}
		}
	}
	if best == Never {
		c.setDue(a, Never)
		return
	}
	if t.buffer != t.ocr { // an update may change everything
		best = min(best, t.untilEnd())
	}
	done := (t.at - pre.base) / t.div
	c.setDue(a, pre.base+(done+best)*t.div)
}

// untilFlag is how many counts pass before a flag rises.
func (t *timer) untilFlag(s source) Cycle {
	switch s {
	case ofOverflow:
		switch t.mode.wave {
		case waveNormal, waveCTC:
			if n, ok := t.after(t.max); ok {
				return n
			}
			return Never
		}
		return t.untilEnd()
	case ofCapture:
		if t.mode.from != topICR {
			return Never
		}
		return t.untilEnd()
	}
	ch := int(s - ofMatchA)
	if ch >= t.channels {
		return Never
	}
	if n, ok := t.after(t.ocr[ch]); ok {
		return n
	}
	return Never
}

// untilEnd is how many counts pass before TOP or BOTTOM, whichever is first.
func (t *timer) untilEnd() Cycle {
	n, ok := t.after(t.topOf())
	if !ok {
		n = Cycle(t.max) + 2
	}
	if t.tcnt > t.topOf() {
		n = min(n, Cycle(t.max-t.tcnt)+1)
	}
	if t.mode.twoSlopes() {
		if m, ok := t.after(0); ok {
			n = min(n, m)
		}
	}
	return n
}

// heard says that somebody would notice a change of a pin.
func (c *Core) heard(p Pin) bool {
	q, r := &c.ports[p.port()], c.pinRoles[p]
	if q.ddr&p.mask() == 0 {
		return false
	}
	return q.watched&p.mask() != 0 ||
		r.group != 0 && c.changeMask[r.group-1]&r.bit != 0 ||
		r.external != 0 || r.rx != 0 ||
		r.clockIn != 0 && c.timers[r.clockIn-1].external != 0 ||
		r.capture != 0
}

// setClock takes the clock choice of TCCRnB.
func (c *Core) setClock(i int, at Cycle) {
	c.syncTimer(i, at)
	t, p := &c.timers[i], &c.part.timers[i]
	choice := t.b & 7
	t.div, t.external = dividers[choice], 0
	if p.slow {
		t.div = slowDividers[choice]
	} else if choice >= 6 {
		t.external = choice - 5
	}
	if c.data[c.where[regPRR]]&p.off != 0 {
		if t.div != 0 || t.external != 0 {
			c.note(Refused, c.where[regPRR]<<8|uint16(p.off), "starts timer %d while PRR holds it off,", i)
		}
		t.div, t.external = 0, 0
	}
	c.plan(i)
}

// shiftTimers moves timers on over a time in which they stood.
func (c *Core) shiftTimers(by, now Cycle) {
	for i := range c.prescale {
		c.prescale[i].base += by
	}
	mode := c.asleep
	c.asleep = awake
	for i := range c.timers {
		c.timers[i].at = now
		c.plan(i)
	}
	c.asleep = mode
}

// com is COMnx1:0 of a channel.
func (t *timer) com(ch int) uint8 { return t.a >> (6 - 2*ch) & 3 }

// connected says that a channel decides its pin.
func (t *timer) connected(ch int) bool {
	switch t.com(ch) {
	case 0:
		return false
	case 1:
		return !t.mode.pwm() || t.mode.toggles && ch == 0
	}
	return true
}

func (c *Core) setOC(i, ch int, high bool, at Cycle) {
	t := &c.timers[i]
	t.oc[ch] = high
	if t.connected(ch) {
		c.showOC(i, ch, at)
	}
}

// showOC lets a channel decide its pin, or lets go of it.
func (c *Core) showOC(i, ch int, at Cycle) {
	t, p := &c.timers[i], c.part.timers[i].out[ch]
	q, bit := &c.ports[p.port()], p.mask()
	on, val := q.ocOn&^bit, q.ocVal&^bit
	if t.connected(ch) {
		on |= bit
	}
	if t.oc[ch] {
		val |= bit
	}
	if on != q.ocOn || val != q.ocVal {
		q.ocOn, q.ocVal = on, val
		c.refresh(p.port(), at)
	}
}

// wantsEdge says that the timer counts this edge of its clock pin.
func (t *timer) wantsEdge(high bool) bool {
	return t.external == 1 && !high || t.external == 2 && high
}

func (c *Core) externalTick(i int, at Cycle) {
	if c.timers[i].external != 0 && !c.asleep.stopsIO() {
		c.count(i, 1, at, 1)
	}
}

// The bits of TCCR1B that belong to the input capture.
const (
	captureCancel = 1 << 7 // ICNC
	captureRising = 1 << 6 // ICES
)

func (c *Core) captureEdge(i int, high bool, at Cycle) {
	t := &c.timers[i]
	if t.mode.from == topICR || high != (t.b&captureRising != 0) || c.asleep.stopsIO() {
		return
	}
	delay := Cycle(captureDelay)
	if t.b&captureCancel != 0 {
		delay += cancelDelay
	}
	c.later(at+delay, effectCapture, uint8(i))
}

func (c *Core) captured(i int, at Cycle) {
	t, p := &c.timers[i], c.part.timers[i].capture
	high := c.ports[p.port()].level&p.mask() != 0
	if t.b&captureCancel != 0 && high != (t.b&captureRising != 0) {
		return // too short for the noise canceller
	}
	c.syncTimer(i, at)
	t.icr = t.tcnt
	c.raise(t.sources+ofCapture, at)
}
