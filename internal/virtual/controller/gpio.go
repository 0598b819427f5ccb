package controller

import (
	"fmt"
	"math/bits"
)

// port is eight pins.
type port struct {
	has      uint8 // bits that the part has
	ddr, out uint8 // DDRx and PORTx

	// Who else decides: a compare output gives the value of an output; a transmitter
	// makes its pin an output and gives its value; a receiver makes its pin an input.
	ocOn, ocVal, txOn, txVal, rxOn uint8

	extLow, extHigh, extPull uint8 // what the outside does

	drives, value, pulls uint8 // what this side does, as last worked out
	level, floats        uint8 // what the pins have
	seen                 uint8 // what the synchronizer still shows in the cycle of a change
	changedAt            Cycle
	watched              uint8
}

// role says who listens to a pin.
type role struct {
	external, capture, clockIn, rx int8 // 1 more than the number; 0: nobody
	group                          int8 // pin-change group, 1 more
	bit                            uint8
}

// input is an edge that is still to come.
type input struct {
	at    Cycle
	pin   Pin
	drive Drive
	what  effect
	arg   uint8
}

// effect is what an edge does once it has passed the synchronizers.
type effect uint8

const (
	effectOutside effect = iota
	effectExternal
	effectPinChange
	effectClock
	effectCapture
)

// How many cycles an edge takes to its effect.
const (
	pinChangeDelay = 3 // datasheet, "Pin change interrupt timing": from the latch to PCIF
	externalDelay  = 2 // our estimate: the synchronizer and the edge detector
	clockDelay     = 3 // datasheet, "External clock source": 2.5 to 3.5 cycles
	captureDelay   = 3 // the same synchronizer ("Input capture trigger source")
	cancelDelay    = 4 // more with the noise canceller: four equal samples
)

// maxInputs is how many edges may be given ahead: a second of a serial line at 115200 baud.
const maxInputs = 1 << 17

func (c *Core) buildPorts() {
	for i := range c.pinRoles {
		c.pinRoles[i] = role{}
	}
	for _, r := range c.part.registers {
		if r.kind == regDDR {
			c.ports[r.unit].has = r.keep
		}
	}
	for i, p := range c.part.external {
		c.pinRoles[p].external = int8(i + 1)
	}
	for g, pins := range c.part.pinChange {
		for bit, p := range pins {
			if p != NoPin {
				c.pinRoles[p].group, c.pinRoles[p].bit = int8(g+1), 1<<bit
			}
		}
	}
	for i, t := range c.part.timers {
		if t.clockIn != NoPin {
			c.pinRoles[t.clockIn].clockIn = int8(i + 1)
		}
		if t.capture != NoPin {
			c.pinRoles[t.capture].capture = int8(i + 1)
		}
	}
	for i, u := range c.part.usarts {
		c.pinRoles[u.rx].rx = int8(i + 1)
	}
}

// Watch asks for an event whenever the controller changes what it does to a pin. A
// pin that nobody watches costs nothing.
func (c *Core) Watch(pins ...Pin) {
	c.syncTimers(c.cycle)
	for _, p := range pins {
		c.ports[p.port()].watched |= p.mask()
	}
	c.planTimers(c.cycle)
}

// Pin tells what the controller does to a pin now.
func (c *Core) Pin(p Pin) Drive {
	c.syncTimers(c.cycle)
	q, bit := &c.ports[p.port()], p.mask()
	switch {
	case q.drives&bit != 0 && q.value&bit != 0:
		return High
	case q.drives&bit != 0:
		return Low
	case q.pulls&bit != 0:
		return PulledUp
	}
	return Floating
}

// Drive says that the outside does something to a pin from a cycle on. What lies in
// the past happens now. Edges may be given ahead, in any order.
func (c *Core) Drive(p Pin, d Drive, at Cycle) error {
	if int(p) >= maxPins || c.ports[p.port()].has&p.mask() == 0 {
		return fmt.Errorf("drive %v: the %s has no such pin", p, c.part.Name)
	}
	if c.inputs.full() {
		return fmt.Errorf("drive %v at cycle %d: %d edges are waiting already, which is the limit", p, at, maxInputs)
	}
	c.inputs.add(input{at: max(at, c.cycle), pin: p, drive: d})
	c.setDue(alarmInput, c.inputs.first())
	return nil
}

// inputs is a list in order of time.
type inputs struct {
	list []input
	head int // what lies before it has happened
}

func (q *inputs) full() bool { return len(q.list)-q.head >= maxInputs }

// first is when the first edge is due.
func (q *inputs) first() Cycle {
	if q.head == len(q.list) {
		return Never
	}
	return q.list[q.head].at
}

// add puts an edge behind all that are due no later.
func (q *inputs) add(in input) {
	if q.head > 64 && q.head > len(q.list)/2 {
		q.list, q.head = append(q.list[:0], q.list[q.head:]...), 0
	}
	q.list = append(q.list, in)
	for i := len(q.list) - 1; i > q.head && q.list[i-1].at > in.at; i-- {
		q.list[i], q.list[i-1] = q.list[i-1], q.list[i]
	}
}

// take removes the first edge.
func (q *inputs) take() input {
	in := q.list[q.head]
	q.head++
	return in
}

func (c *Core) takeInputs(at Cycle) {
	for c.inputs.first() <= at {
		in := c.inputs.take()
		q, bit := &c.ports[in.pin.port()], in.pin.mask()
		q.extLow, q.extHigh, q.extPull = q.extLow&^bit, q.extHigh&^bit, q.extPull&^bit
		switch in.drive {
		case Low:
			q.extLow |= bit
		case High:
			q.extHigh |= bit
		case PulledUp:
			q.extPull |= bit
		}
		c.progress = at
		c.lives.add(at, in.pin, in.drive)
		c.refresh(in.pin.port(), at)
	}
	c.setDue(alarmInput, c.inputs.first())
}

// refresh works out what a port does and has, tells the outside what it watches and
// passes edges on.
func (c *Core) refresh(n uint8, at Cycle) {
	q := &c.ports[n]
	drives := q.ddr&^q.rxOn | q.txOn
	value := (q.out&^q.ocOn|q.ocVal&q.ocOn)&^q.txOn | q.txVal&q.txOn
	pulls := q.out &^ drives
	if c.data[c.where[regMCUCR]]&pullUpsOff != 0 {
		pulls = 0
	}
	if c.inReset || c.wakeAt > at && c.asleep == awake {
		drives, pulls = 0, 0 // a reset lets go of all pins at once
	}
	changed := (drives ^ q.drives | drives&(value^q.value) | ^drives&(pulls^q.pulls)) & q.has
	q.drives, q.value, q.pulls = drives, value, pulls
	low := drives&^value | q.extLow
	high := (drives&value | q.extHigh | pulls | q.extPull) &^ low
	q.floats = q.has &^ (low | high)
	if against := (drives&value&q.extLow | drives&^value&q.extHigh) & q.has; against != 0 {
		p := Pin(n*8 + uint8(bits.TrailingZeros8(against)))
		c.note(Contention, uint16(p), "%v is driven by both sides against each other", p)
	}
	for told := changed & q.watched; told != 0; told &= told - 1 {
		c.progress = at
		c.tell(Pin(n*8+uint8(bits.TrailingZeros8(told))), at)
	}
	edges := high ^ q.level
	if edges == 0 {
		return
	}
	if at > q.changedAt {
		q.seen, q.changedAt = q.level, at
	}
	q.level = high
	for ; edges != 0; edges &= edges - 1 {
		p := Pin(n*8 + uint8(bits.TrailingZeros8(edges)))
		c.edge(p, high&p.mask() != 0, at)
	}
}

func (c *Core) tell(p Pin, at Cycle) {
	q, bit, d := &c.ports[p.port()], p.mask(), Floating
	switch {
	case q.drives&q.value&bit != 0:
		d = High
	case q.drives&bit != 0:
		d = Low
	case q.pulls&bit != 0:
		d = PulledUp
	}
	c.lives.add(at, p, d)
	c.out = append(c.out, Event{At: at, Kind: PinDriven, Pin: p, Drive: d, PC: c.pc * 2})
}

// edge passes a change of level to whoever listens.
func (c *Core) edge(p Pin, high bool, at Cycle) {
	r := c.pinRoles[p]
	if r.rx != 0 {
		c.lineChanged(int(r.rx-1), high, at)
	}
	if r.group != 0 && c.changeMask[r.group-1]&r.bit != 0 {
		c.later(at+pinChangeDelay, effectPinChange, uint8(r.group-1))
	}
	if r.external != 0 {
		c.externalEdge(uint8(r.external-1), high, at)
	}
	if r.clockIn != 0 && c.timers[r.clockIn-1].wantsEdge(high) {
		c.later(at+clockDelay, effectClock, uint8(r.clockIn-1))
	}
	if r.capture != 0 {
		c.captureEdge(int(r.capture-1), high, at)
	}
}

func (c *Core) later(at Cycle, what effect, arg uint8) {
	if c.synced.full() {
		return // an edge in every cycle of a second: nobody counts them any more
	}
	c.synced.add(input{at: at, what: what, arg: arg})
	c.setDue(alarmSync, c.synced.first())
}

func (c *Core) takeSynced(at Cycle) {
	for c.synced.first() <= at {
		in := c.synced.take()
		switch in.what {
		case effectExternal:
			c.raise(srcINT0+source(in.arg), at)
		case effectPinChange:
			c.raise(srcPCINT0+source(in.arg), at)
		case effectClock:
			c.externalTick(int(in.arg), at)
		case effectCapture:
			c.captured(int(in.arg), at)
		}
	}
	c.setDue(alarmSync, c.synced.first())
}

// readPins is what PINx shows: the level that the synchronizer has latched. What
// changes at the very cycle of the read is not seen yet, so reading back a pin that
// was just written needs a nop between (datasheet, "Reading the pin value").
func (c *Core) readPins(n uint8, at Cycle) uint8 {
	c.syncTimers(at)
	q := &c.ports[n]
	if q.ocOn&q.drives&^q.watched != 0 { // it may change without an alarm
		c.touched++
	}
	v := q.level
	if at <= q.changedAt {
		v = q.seen
		c.touched++
	}
	return v & q.has
}

// floating says once for each pin that the program decides by a level that nobody
// drives. Which bits of a port it decides by is seen in this instruction or the next.
func (c *Core) floating(n uint8) {
	q := &c.ports[n]
	if q.floats == 0 {
		return
	}
	var tested uint8
	if c.pc == 0 {
		return // plain[0] is the entry
	}
	o, then := &c.plain[c.pc], &c.plain[(c.pc+1)&c.lastPC]
	switch {
	case o.kind == kSBIC || o.kind == kSBIS:
		tested = o.b
	case (then.kind == kSBRC || then.kind == kSBRS) && then.a == o.a:
		tested = then.b
	case then.kind == kANDI && then.a == o.a:
		tested = uint8(then.k)
	}
	for tested &= q.floats; tested != 0; tested &= tested - 1 {
		p := Pin(n*8 + uint8(bits.TrailingZeros8(tested)))
		c.note(FloatingRead, uint16(p), "reads %v, an input that nobody drives and nothing pulls up", p)
	}
}
