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
	luck  *rand.Rand // what befalls texts, calls and the line's output

	now when.Instant
	out []byte // where the running call of Feed or Tick appends
	due [timerCount]when.Instant

	power    power
	before   edges // of conditions that count when they come on
	settings settings
	saved    [profiles]settings // what a start and ATZ bring back
	baud     int
	nextBaud int
	begun    bool   // it had power before
	planted  [4]int // +CSMP as the world had it at the last start
	training int    // command lines that still pass until the speed is found
	unheard  bool   // the speed is not known yet: nothing is said
	starts   int    // how often it started

	rows     map[string]*command
	names    []string // of the rows, in their order
	reader   reader
	exec     execution
	entry    entry
	pending  []byte // unsolicited lines held back while the controller is typing
	breaking []byte // unsolicited lines that break into the next answer
	flow     flow
	card     card
	radio    radio
	sending  sendings
	packet   packet
	call     call
	data     data
	ussd     []string // answers of the network that are on their way
	shown    [indicatorCount]int
	store    [memoryCount]memory
	network  network
	arrived  when.Instant // what comes from outside is known until here
	receiver receiver
	locate   locate
	reports  positionReports
	clock    clock

	lastByte when.Instant // for sleep
	wakeAt   when.Instant
}

// power is whether the module runs.
type power uint8

const (
	booting power = iota
	running
	starved   // the supply does not carry it even at rest
	off       // switched off by a command or its key
	protected // switched off by itself: too hot, too high a voltage
	hung      // its program has stopped
)

// A timer is one thing the module waits for.
type timer int

// The timers, in the order in which they go off when they are due together.
const (
	timerRestart    timer = iota // the supply has failed, or a restart was asked for
	timerProtect                 // it switches itself off
	timerPrattle                 // noise and foreign text at a start
	timerBoot                    // start-up ends
	timerWorld                   // the conditions around the module change
	timerArrival                 // something comes from outside
	timerBaud                    // a new speed takes effect
	timerPrompt                  // a prompt that comes late
	timerExec                    // the running command has something to do
	timerCard                    // the card is ready
	timerRadio                   // a step of registration
	timerCall                    // a ring, an answer, the end of a call
	timerNetwork                 // a text or report arrives
	timerPacket                  // the network ends a context
	timerUSSD                    // the network answers a service code
	timerData                    // the data connection wants attention
	timerEscape                  // the pause behind +++
	timerIndicators              // indicators are looked at
	timerEpoch                   // sentences are due on the line
	timerLocate                  // +CMOLR is due
	timerReport                  // +CPOSR is due
	timerStale                   // a command line was begun and not ended
	timerCount
)

var timerNames = [timerCount]string{
	"restart", "switching itself off", "the noise of a start", "start-up", "a change in the world", "something from outside", "new speed", "a late prompt", "the running command",
	"the card", "registration", "a call", "the service centre", "the end of a data context", "the answer to a service code", "the data connection", "the pause behind +++",
	"indicators", "the next sentences", "a location report", "a position report", "an unfinished command line",
}

// New returns a module that gets power at instant zero.
func New(w *world.World, rng *rand.Rand) *Module {
	branch := func() *rand.Rand { return rand.New(rand.NewPCG(rng.Uint64(), rng.Uint64())) }
	m := &Module{life: w.Begin(rng.Uint64()), delay: branch(), air: branch()}
	m.receiver.begin(m.life.Satellites(), branch(), &m.sending)
	m.luck = branch()
	m.rows = make(map[string]*command, len(commands))
	for i := range commands {
		m.rows[commands[i].name] = &commands[i]
		m.names = append(m.names, commands[i].name)
	}
	for t := range m.due {
		m.due[t] = when.Never
	}
	m.arrived = -1
	m.fillStore()
	m.powerUp()
	m.edgesNow()
	m.due[timerWorld] = m.life.NextChange(0)
	m.arrivals()
	return m
}

// Life is the world that the module lives in; whoever plays the wire asks it
// what the line does to bytes.
func (m *Module) Life() *world.Life { return m.life }

// Feed gives the module bytes that arrived at now, and appends what it sends.
func (m *Module) Feed(now when.Instant, b []byte, out []byte) []byte {
	m.begin(m.Tick(now, out))
	for _, c := range b {
		m.receive(c)
	}
	return m.done()
}

// Tick tells the module that time has reached now, and appends what it sends.
// What falls due happens at its own time, in order, not at now.
func (m *Module) Tick(now when.Instant, out []byte) []byte {
	m.begin(out)
	for {
		t, at := m.next()
		if at > now {
			break
		}
		m.now, m.due[t] = max(m.now, at), when.Never
		m.fire(t)
	}
	m.now = max(m.now, now)
	return m.done()
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
	said := len(m.out)
	switch t {
	case timerRestart:
		m.restart()
	case timerProtect:
		m.protect()
	case timerPrattle:
		m.prattle()
	case timerBoot:
		m.booted()
	case timerWorld:
		m.worldChanged()
	case timerArrival:
		m.arrivals()
	case timerBaud:
		m.baud = m.nextBaud
	case timerPrompt:
		m.openEntry()
	case timerExec:
		m.step()
	case timerCard:
		m.look()
	case timerRadio:
		m.radioStep()
	case timerCall:
		m.callStep()
	case timerNetwork:
		m.deliverDue()
	case timerPacket:
		m.contextEnds()
	case timerUSSD:
		m.ussdDue()
	case timerData:
		m.dataDue()
	case timerEscape:
		m.escaped()
	case timerIndicators:
		m.indicate()
	case timerEpoch:
		m.epochDue()
	case timerLocate:
		m.locateDue()
	case timerReport:
		m.reportDue()
	case timerStale:
		m.reader.reset()
		m.flush()
	}
	m.account(said)
}

// happened tells the world what the module did; its faults may wait for that.
func (m *Module) happened(event string) {
	if m.life.Happened(event, m.now) {
		m.due[timerWorld], m.due[timerArrival] = m.now, m.now
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
