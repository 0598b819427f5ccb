// Package cable is the wire at the module's pins: what it does to bytes.
//
// # What it promises
//
// A [Cable] stands between a module and whoever speaks to it, and behaves like
// the module with the faults that its world gives the line: bytes lost and
// damaged, another frame, answers that stall, a controller whose buffer runs
// over, a second program on the same port. It is a machine without hands: the
// same world, seed and input give the same bytes, however the input was cut and
// however often it was ticked. On a good line it changes nothing.
//
// # What it leaves to others
//
// The speed at which bytes pass, and what two speeds that do not fit make of
// them, is the work of edge/pump, which asks [Cable.Baud].
//
// # Where to start
//
// Read [Cable.Feed], then spoil.go.
package cable

import (
	"math/rand/v2"
	"time"

	"firstfix/internal/virtual/module"
	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
)

// Cable is one wire with its module.
type Cable struct {
	m        *module.Module
	inward   *rand.Rand // chance on the way to the module
	outward  *rand.Rand // and to the controller
	now      when.Instant
	heard    []byte // room for what the module hears of the running call
	said     []byte // and for what it says
	lastByte when.Instant
	spoken   bool // the controller has said something

	// The wire to the controller.
	free    when.Instant // when it will have carried all that was said
	burst   int          // bytes since it was idle
	held    []byte       // what waits for a stalled line
	stalled when.Instant // until then; Never: it flows
	window  when.Instant // of the controller's buffer
	filled  int

	// The other program on the port.
	other     when.Instant
	otherLine int
}

// New joins a cable to a module.
func New(m *module.Module, chance *rand.Rand) *Cable {
	branch := func() *rand.Rand { return rand.New(rand.NewPCG(chance.Uint64(), chance.Uint64())) }
	c := &Cable{m: m, inward: branch(), outward: branch(), stalled: when.Never, other: when.Never}
	c.watchOther()
	return c
}

// Module is the module at the cable's end.
func (c *Cable) Module() *module.Module { return c.m }

// Baud is the speed of the module's end; 0 when it follows the other end.
func (c *Cable) Baud() int { return c.m.Baud() }

// Feed gives the cable bytes that arrived at now, and appends what comes back.
func (c *Cable) Feed(now when.Instant, b []byte, out []byte) []byte {
	out = c.Tick(now, out)
	line := c.line()
	heard := c.hear(line, b)
	c.lastByte, c.spoken = now, true
	c.said = c.m.Feed(now, heard, c.said[:0])
	return c.pass(line, out)
}

// Tick tells the cable that time has reached now, and appends what comes.
func (c *Cable) Tick(now when.Instant, out []byte) []byte {
	for {
		at, what := c.next()
		if at > now {
			break
		}
		c.now = max(c.now, at)
		switch what {
		case dueModule:
			c.said = c.m.Tick(c.now, c.said[:0])
			out = c.pass(c.line(), out)
		case dueStall:
			out = c.release(out)
		case dueOther:
			c.said = c.m.Feed(c.now, c.otherTypes(), c.said[:0])
			out = c.pass(c.line(), out)
		}
		c.watchOther()
	}
	c.now = max(c.now, now)
	return out
}

// Deadline says when Tick is next wanted, and why.
func (c *Cable) Deadline() (at when.Instant, why string) {
	at, what := c.next()
	switch what {
	case dueStall:
		return at, "a stalled line"
	case dueOther:
		return at, "another program"
	}
	return c.m.Deadline()
}

// due is what happens next on a cable.
type due uint8

const (
	dueModule due = iota
	dueStall
	dueOther
)

func (c *Cable) next() (at when.Instant, what due) {
	at, _ = c.m.Deadline()
	if c.stalled < at {
		at, what = c.stalled, dueStall
	}
	if c.other < at {
		at, what = c.other, dueOther
	}
	return at, what
}

func (c *Cable) line() *world.Line { return &c.m.Life().At(c.now).Line }

// perByte is how long one byte takes.
func (c *Cable) perByte() when.Instant {
	baud := c.m.Baud()
	if baud <= 0 {
		baud = world.Default().Line.Baud // it follows the other end: as usual
	}
	return 10 * when.Second / when.Instant(baud)
}

// otherEvery is how often the other program speaks; our choice.
const otherEvery = 2300 * time.Millisecond

// otherLines is what it says: a service that looks for modems.
var otherLines = []string{"AT\r", "AT+CGMI\r", "AT+CPIN?\r", "AT+CREG?\r", "AT+CMGF=0\r", "AT+CSQ\r"}

// watchOther starts and stops the other program with its fault.
func (c *Cable) watchOther() {
	switch on := c.line().OtherMaster; {
	case on && c.other == when.Never:
		c.other = c.now.Add(otherEvery)
	case !on:
		c.other = when.Never
	}
}

// otherTypes is the next line of the other program.
func (c *Cable) otherTypes() []byte {
	l := otherLines[c.otherLine%len(otherLines)]
	c.otherLine++
	c.other = c.now.Add(otherEvery)
	return []byte(l)
}
