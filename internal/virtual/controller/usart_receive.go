package controller

// lineChanged tells the receiver of an edge on its pin.
func (c *Core) lineChanged(i int, high bool, at Cycle) {
	u := &c.usarts[i]
	u.lastEdge = (u.lastEdge + 1) % len(u.edges)
	u.edges[u.lastEdge] = lineEdge{at, high}
	if !high && !u.hearing && u.b&usartRxOn != 0 && !c.asleep.stopsIO() {
		c.startBit(i, at)
	}
}

// startBit begins to look at a character: the first sample that sees the line low is
// number one.
func (c *Core) startBit(i int, at Cycle) {
	u := &c.usarts[i]
	u.hearing, u.got, u.word = true, 0, 0
	u.first = u.nextTick(at)
	c.setDue(alarmRx+alarm(i), u.first+u.decided())
}

// decided is from the first sample of a bit to the last of the three that decide it:
// numbers 8, 9 and 10 of 16, or 4, 5 and 6 of 8 (datasheet, "Asynchronous data recovery").
func (u *usart) decided() Cycle {
	if u.a&usartDouble != 0 {
		return 5 * u.step()
	}
	return 9 * u.step()
}

// highAt is the level of the line at a cycle that is not long gone.
func (u *usart) highAt(at Cycle) bool {
	for n := range u.edges {
		e := u.edges[(u.lastEdge+len(u.edges)-n)%len(u.edges)]
		if e.at <= at {
			return e.high
		}
	}
	return false // more edges than anybody could follow
}

// vote is the majority of the three samples that end at a cycle.
func (u *usart) vote(at Cycle) bool {
	n := 0
	for k := range Cycle(3) {
		if u.highAt(at - k*u.step()) {
			n++
		}
	}
	return n >= 2
}

// sample is the moment at which a bit is decided.
func (c *Core) sample(i int, at Cycle) {
	u := &c.usarts[i]
	high := u.vote(at)
	last := u.edges[u.lastEdge]
	if u.got == 0 {
		if high { // a glitch, no start bit
			u.hearing = false
			if !last.high {
				c.startBit(i, last.at)
			}
			return
		}
		if u.waiting {
			u.waiting, u.overrun = false, true
			c.say(at, ByteLost, c.where[regUDR], "USART%d lost the byte 0x%02X: two were waiting unread, and a further one began,", i, uint8(u.shift.data))
		}
	} else if high {
		u.word |= 1 << (u.got - 1)
	}
	u.got++
	n := u.dataBits()
	if _, parity := u.parity(0); parity {
		n++
	}
	if u.got < n+2 { // the start bit and the first stop bit too
		c.setDue(alarmRx+alarm(i), u.first+Cycle(u.got)*u.samples()*u.step()+u.decided())
		return
	}
	u.hearing = false
	c.receivedFrame(i, high, at)
	if !last.high && last.at+u.step() > at && high {
		c.startBit(i, at+1) // the next start bit came before this one was decided
	}
}

func (c *Core) receivedFrame(i int, stop bool, at Cycle) {
	u, src := &c.usarts[i], c.part.usarts[i].sources
	n := u.dataBits()
	f := frame{data: u.word & (1<<n - 1), badStop: !stop}
	if bit, on := u.parity(f.data); on {
		f.badParity = u.word>>n&1 != bit
	}
	if !stop {
		c.say(at, FramingError, c.where[regUDR], "USART%d heard 0x%02X without a stop bit,", i, uint8(f.data))
	}
	if u.a&usartMulti != 0 && !u.addressed(f, n, stop) {
		return
	}
	switch {
	case u.count < len(u.fifo):
		u.fifo[u.count] = f
		u.count++
		c.raise(src+ofReceived, at)
	default:
		u.shift, u.waiting = f, true
	}
}

// addressed says that a frame is for everybody on a multi-processor line: the ninth
// bit, or else the first stop bit, is one.
func (u *usart) addressed(f frame, n int, stop bool) bool {
	if n == 9 {
		return f.data&0x100 != 0
	}
	return stop
}

// resume goes on after a sleep without I/O clock: what was being heard is lost.
func (u *usart) resume(by Cycle) {
	u.base += by
	u.began += by
	u.hearing = false
}
