// Package module is a cellular and GNSS module made of software: it listens,
// answers, registers, fixes and fails.
//
// # What it promises
//
// A [Module] is a machine without hands: bytes and time in, bytes out, chance
// from a seed. The same world, seed and input give the same bytes, however the
// input was cut and however often it was ticked. Every command line gets
// exactly one final result, unless it was aborted by the controller or ended
// by a restart. Everything it does is simulated, and it says so when asked for
// its identity. It shares the spelling (wire) and the ruler (earth) with the
// judge, and nothing else.
//
// # What it leaves to others
//
// What goes wrong around it, and when, is the work of virtual/world. What the
// wire does to its bytes, and at which speed they pass, is the work of
// edge/pump, which asks [Module.Baud].
//
// # Where to start
//
// Read [Module.Feed] and [Module.Tick], then reader.go (bytes to command
// lines), execute.go (command lines to answers) and commands.go (the list).
package module

import (
	"math/rand/v2"
	"time"

	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
)

// Module is one module in one life.
type Module struct {
	life  *world.Life
	delay *rand.Rand // how long answers take
	air   *rand.Rand // registration and what the network does

	now when.Instant
	out []byte // where the running call of Feed or Tick appends
	due [timerCount]when.Instant

	power    power
	settings settings
	saved    settings // what a start and ATZ bring back
	baud     int
	nextBaud int
	begun    bool   // it had power before
	planted  [4]int // +CSMP as the world had it at the last start

	rows     map[string]*command
	names    []string // of the rows, in their order
	reader   reader
	exec     execution
	entry    entry
	pending  []byte // unsolicited lines held back while the controller is typing
	card     card
	radio    radio
	packet   packet
	store    [memoryCount]memory
	network  network
	receiver receiver
	locate   locate
	clock    clock

	lastByte when.Instant // for sleep
	wakeAt   when.Instant
}

// power is whether the module runs.
type power uint8

const (
	booting power = iota
	running
	starved // the supply does not carry it even at rest
	off     // switched off by a command
)

// A timer is one thing the module waits for.
type timer int

// The timers, in the order in which they go off when they are due together.
const (
	timerRestart timer = iota // the supply has failed, or a restart was asked for
	timerBoot                 // start-up ends
	timerWorld                // the conditions around the module change
	timerBaud                 // a new speed takes effect
	timerExec                 // the running command has something to do
	timerRadio                // a step of registration
	timerNetwork              // a text or report arrives
	timerEpoch                // sentences are due on the line
	timerLocate               // +CMOLR is due
	timerStale                // a command line was begun and not ended
	timerCount
)

var timerNames = [timerCount]string{
	"restart", "start-up", "a change in the world", "new speed", "the running command",
	"registration", "the service centre", "the next sentences", "a location report", "an unfinished command line",
}

// New returns a module that gets power at instant zero.
func New(w *world.World, rng *rand.Rand) *Module {
	branch := func() *rand.Rand { return rand.New(rand.NewPCG(rng.Uint64(), rng.Uint64())) }
	m := &Module{life: w.Begin(rng.Uint64()), delay: branch(), air: branch()}
	m.receiver.noise = branch()
	m.rows = make(map[string]*command, len(commands))
	for i := range commands {
		m.rows[commands[i].name] = &commands[i]
		m.names = append(m.names, commands[i].name)
	}
	for t := range m.due {
		m.due[t] = when.Never
	}
	m.fillStore()
	m.powerUp()
	m.due[timerWorld] = m.life.NextChange(0)
	return m
}

// Feed gives the module bytes that arrived at now, and appends what it sends.
func (m *Module) Feed(now when.Instant, b []byte, out []byte) []byte {
	out = m.Tick(now, out)
	m.out = out
	for _, c := range b {
		m.receive(c)
	}
	out, m.out = m.out, nil
	return out
}

// Tick tells the module that time has reached now, and appends what it sends.
// What falls due happens at its own time, in order, not at now.
func (m *Module) Tick(now when.Instant, out []byte) []byte {
	m.out = out
	for {
		t, at := m.next()
		if at > now {
			break
		}
		m.now, m.due[t] = max(m.now, at), when.Never
		m.fire(t)
	}
	m.now = max(m.now, now)
	out, m.out = m.out, nil
	return out
}

// Deadline says when Tick is next wanted, and why.
func (m *Module) Deadline() (at when.Instant, why string) {
	t, at := m.next()
	if at == when.Never {
		return when.Never, ""
	}
	return at, timerNames[t]
}

// Baud is the speed at which the module speaks and listens now; 0 when it
// follows the other end.
func (m *Module) Baud() int { return m.baud }

func (m *Module) next() (timer, when.Instant) {
	first, at := timer(0), m.due[0]
	for t := timer(1); t < timerCount; t++ {
		if m.due[t] < at {
			first, at = t, m.due[t]
		}
	}
	return first, at
}

func (m *Module) fire(t timer) {
	switch t {
	case timerRestart:
		m.restart()
	case timerBoot:
		m.booted()
	case timerWorld:
		m.due[timerWorld] = m.life.NextChange(m.now)
		m.worldChanged()
	case timerBaud:
		m.baud = m.nextBaud
	case timerExec:
		m.step()
	case timerRadio:
		m.radioStep()
	case timerNetwork:
		m.deliverDue()
	case timerEpoch:
		m.epochDue()
	case timerLocate:
		m.locateDue()
	case timerStale:
		m.reader.reset()
		m.flush()
	}
}

// after sets a timer; an earlier one of the same kind is replaced.
func (m *Module) after(t timer, d time.Duration) { m.due[t] = m.now.Add(d) }

// around draws a duration about d: as most things in a module's life it takes
// a little less or quite a bit longer. Whole microseconds: processors differ in
// the last bits of a product.
func around(rng *rand.Rand, d time.Duration) time.Duration {
	return time.Duration(float64(d) * (0.8 + 0.5*rng.Float64())).Round(time.Microsecond)
}

// conditions is what holds around the module now.
func (m *Module) conditions() *world.Conditions { return m.life.At(m.now) }
