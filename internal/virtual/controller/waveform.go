package controller

// wave is how a timer counts.
type wave uint8

const (
	waveNormal    wave = iota
	waveCTC            // clear on compare match
	waveFast           // fast PWM
	wavePhase          // phase-correct PWM
	wavePhaseFreq      // phase- and frequency-correct PWM
)

// topFrom says where the highest count comes from, when it is no fixed number.
type topFrom uint8

const (
	topFixed topFrom = iota
	topOCRA
	topICR
)

// mode is one row of the datasheet's "Waveform generation mode bit description".
type mode struct {
	wave    wave
	top     uint16
	from    topFrom
	toggles bool // COMnA = 1 toggles the pin although it is PWM
}

// modes8 is that table for timers 0 and 2, by WGM2:0. Reserved rows count as normal.
var modes8 = [16]mode{
	{waveNormal, 0xFF, topFixed, false}, {wavePhase, 0xFF, topFixed, false}, {waveCTC, 0, topOCRA, false}, {waveFast, 0xFF, topFixed, false},
	{waveNormal, 0xFF, topFixed, false}, {wavePhase, 0, topOCRA, true}, {waveNormal, 0xFF, topFixed, false}, {waveFast, 0, topOCRA, true},
}

// modes16 is that table for timer 1, by WGM3:0.
var modes16 = [16]mode{
	{waveNormal, 0xFFFF, topFixed, false}, {wavePhase, 0xFF, topFixed, false}, {wavePhase, 0x1FF, topFixed, false}, {wavePhase, 0x3FF, topFixed, false},
	{waveCTC, 0, topOCRA, false}, {waveFast, 0xFF, topFixed, false}, {waveFast, 0x1FF, topFixed, false}, {waveFast, 0x3FF, topFixed, false},
	{wavePhaseFreq, 0, topICR, false}, {wavePhaseFreq, 0, topOCRA, true}, {wavePhase, 0, topICR, false}, {wavePhase, 0, topOCRA, true},
	{waveCTC, 0, topICR, false}, {waveNormal, 0xFFFF, topFixed, false}, {waveFast, 0, topICR, true}, {waveFast, 0, topOCRA, true},
}

// Clock choices by CS2:0 (datasheet, "Clock select bit description"). 0 is stopped;
// the last two of timers 0 and 1 are an external clock.
var (
	dividers     = [8]Cycle{0, 1, 8, 64, 256, 1024, 0, 0}
	slowDividers = [8]Cycle{0, 1, 8, 32, 64, 128, 256, 1024}
)

func (m *mode) pwm() bool       { return m.wave >= waveFast }
func (m *mode) twoSlopes() bool { return m.wave >= wavePhase }

// topOf is the highest count in the present mode.
func (t *timer) topOf() uint16 {
	switch t.mode.from {
	case topOCRA:
		return t.ocr[0]
	case topICR:
		return t.icr
	}
	return t.mode.top
}

// tick is one count. What the datasheet calls a match, TOP or BOTTOM takes effect with
// the count that leaves the value ("Timer/counter timing diagrams"): flags rise and
// pins change when the counter goes on.
func (c *Core) tick(i int, at Cycle) {
	t := &c.timers[i]
	v, top := t.tcnt, t.topOf()
	atTop, atBottom := v == top, false
	if t.mode.twoSlopes() {
		switch {
		case v >= top && !t.down:
			t.down, atTop = true, true
		case v == 0 && t.down:
			t.down, atBottom = false, true
		default:
			atTop = false
		}
		t.tcnt = t.turn(v, top)
	} else if atTop || v == t.max {
		t.tcnt = 0
	} else {
		t.tcnt = v + 1
	}
	c.matches(i, v, at)
	c.ends(i, v, atTop, atBottom, at)
	t.blocked = false
}

// turn is the next count on a slope.
func (t *timer) turn(v, top uint16) uint16 {
	switch {
	case top == 0:
		return 0
	case t.down:
		return v - 1
	}
	return v + 1
}

// matches does what a compare match does.
func (c *Core) matches(i int, v uint16, at Cycle) {
	t := &c.timers[i]
	if t.blocked { // by a write to TCNT
		return
	}
	for ch := range t.channels {
		if t.ocr[ch] != v {
			continue
		}
		c.raise(t.sources+ofMatchA+source(ch), at)
		switch com := t.com(ch); {
		case com == 0:
		case com == 1:
			if !t.mode.pwm() || t.mode.toggles && ch == 0 {
				c.setOC(i, ch, !t.oc[ch], at)
			}
		case t.mode.twoSlopes():
			// Clear on the way up and set on the way down, or the other way round.
			c.setOC(i, ch, t.down == (com == 2), at)
		case t.mode.wave == waveFast && t.tcnt == 0:
			// A match at TOP: what BOTTOM does to the pin wins.
		default:
			c.setOC(i, ch, com == 3, at)
		}
	}
}

// ends does what TOP, BOTTOM and MAX do.
func (c *Core) ends(i int, v uint16, atTop, atBottom bool, at Cycle) {
	t := &c.timers[i]
	overflow, update := false, false
	switch t.mode.wave {
	case waveNormal, waveCTC:
		overflow = v == t.max
	case waveFast:
		overflow, update = atTop, t.tcnt == 0
		if t.tcnt == 0 {
			for ch := range t.channels {
				if com := t.com(ch); com >= 2 {
					c.setOC(i, ch, com == 2, at)
				}
			}
		}
	case wavePhase:
		overflow, update = atBottom, atTop
	case wavePhaseFreq:
		overflow, update = atBottom, atBottom
	}
	if overflow {
		c.raise(t.sources+ofOverflow, at)
	}
	if atTop && t.mode.from == topICR {
		c.raise(t.sources+ofCapture, at)
	}
	if update {
		t.ocr = t.buffer
	}
}

// period is how many counts bring the counter back.
func (t *timer) period() Cycle {
	top := Cycle(t.topOf())
	if t.mode.twoSlopes() {
		return max(2, 2*top)
	}
	return top + 1
}

// quiet is how many counts pass before one that does more than count.
func (t *timer) quiet() Cycle {
	if t.blocked {
		return 0
	}
	top, v := t.topOf(), t.tcnt
	end := t.max
	if t.mode.twoSlopes() {
		end = top
		if !t.down && v >= top || t.down && v == 0 {
			return 0
		}
	} else if v <= top {
		end = top
	}
	if t.down && t.mode.twoSlopes() {
		n := v
		for ch := range t.channels {
			if o := t.ocr[ch]; o <= v {
				n = min(n, v-o)
			}
		}
		return Cycle(n)
	}
	n := end - v
	for ch := range t.channels {
		if o := t.ocr[ch]; o >= v {
			n = min(n, o-v)
		}
	}
	return Cycle(n)
}

// count lets n counts pass. The first of them is at first, the others follow every step.
func (c *Core) count(i int, n, first, step Cycle) {
	t := &c.timers[i]
	if t.blocked {
		c.tick(i, first)
		n, first = n-1, first+step
	}
	// Over many periods nothing changes but a toggled pin, every second time. The
	// first two settle what was buffered, and raise what can rise.
	for p := t.period(); n > 6*p; p = t.period() {
		settled := t.ocr == t.buffer && t.tcnt <= t.topOf()
		c.counts(i, 2*p, first, step)
		n, first = n-2*p, first+2*p*step
		if settled && p == t.period() {
			skipped := n / (2 * p) * (2 * p)
			n, first = n-skipped, first+skipped*step
			break
		}
	}
	c.counts(i, n, first, step)
}

func (c *Core) counts(i int, n, first, step Cycle) {
	t := &c.timers[i]
	for n > 0 {
		k := min(t.quiet(), n)
		if t.down && t.mode.twoSlopes() {
			t.tcnt -= uint16(k)
		} else {
			t.tcnt += uint16(k)
		}
		n, first = n-k, first+k*step
		if n > 0 {
			c.tick(i, first)
			n, first = n-1, first+step
		}
	}
}

// after is how many counts pass until the one that leaves the value x, at least one.
// ok is false when the counter never comes there. It may be too few, never too many.
func (t *timer) after(x uint16) (n Cycle, ok bool) {
	top, v := t.topOf(), t.tcnt
	if t.blocked || t.mode.twoSlopes() && (top == 0 || v > top) {
		return 1, true
	}
	if t.mode.twoSlopes() {
		if x > top {
			return 0, false
		}
		p, round := Cycle(v), 2*Cycle(top)
		if t.down {
			p = round - p
		}
		up := (Cycle(x) + round - p) % round
		down := (2*round - Cycle(x) - p) % round
		return min(up, down) + 1, true
	}
	end := t.max
	if v <= top {
		end = top
	}
	switch {
	case x >= v && x <= end:
		return Cycle(x-v) + 1, true
	case x > top:
		return 0, false
	}
	return Cycle(end-v) + Cycle(x) + 2, true
}
