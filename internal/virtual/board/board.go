// Package board wires a controller made of software to a module made of software, bit
// by bit.
//
// # What it promises
//
// A [Board] lets both live on one clock. What the controller's pins do is heard by the
// module with the module's own bit time, and the other way round: two ends at different
// speeds hear what real ones would, and firmware that works its line bit by bit is as
// good as a USART. The same image, world, seed and wiring give the same life, however
// [Board.Run] was cut.
//
// # What it leaves to others
//
// The controller is virtual/controller, the module virtual/module, what the module lives
// through virtual/world; faults of the line other than its speed are the peer's affair. Whether the dialogue makes sense is for those who get
// what [Board.Run] returns: nothing here judges.
//
// # Where to start
//
// Read [Wiring], then [Board.Run].
package board

import (
	"fmt"
	"math/rand/v2"

	"firstfix/internal/virtual/controller"
	"firstfix/internal/when"
)

// Wiring says which pins of the controller go where, and how good the wires are.
type Wiring struct {
	ToModule, FromModule controller.Pin // the pins on which it sends to the module and hears it
	Baud                 float64        // at which the firmware works this line; the module's too while that has none of its own
	Debug                controller.Pin // on which the firmware speaks to people; NoPin
	DebugBaud            float64
	ModuleOff            float64 // how far the module's clock is off: 0.01 is one per cent too fast
	Noise                float64 // probability of a glitch in a bit from the module
	Lamp                 controller.Pin
}

// Peer is what the controller talks to: virtual/module, or a cable with faults of its
// own before it.
type Peer interface {
	Feed(now when.Instant, b []byte, out []byte) []byte
	Tick(now when.Instant, out []byte) []byte
	Deadline() (at when.Instant, why string)
	Baud() int // 0: it follows the other end
}

// Side says whose words passed.
type Side uint8

// The sides.
const (
	Controller Side = iota // bytes from the controller to the module
	Module                 // bytes from the module to the controller
	Debug                  // bytes from the controller to people
	Lamp                   // the lamp pin changed; Text is "on" or "off"
	Remark                 // something about the controller; Text says what
)

func (s Side) String() string {
	return [...]string{"controller", "module", "debug", "lamp", "remark"}[s]
}

// Passed is one thing that happened. Bytes are as an ear on the controller's side, at
// the controller's speed, makes them out.
type Passed struct {
	At   when.Instant
	From Side
	Byte byte   // of the first three sides
	Bad  bool   // its stop bit was missing
	Text string // of the last two
}

// Board is a controller and a module in one life.
type Board struct {
	core   *controller.Core
	module Peer
	wiring Wiring

	talk  controller.Talker   // the module's transmitter
	hear  controller.Listener // the module's receiver
	tapTx controller.Listener // what an ear at the controller's speed makes of either wire
	tapRx controller.Listener
	debug controller.Listener

	coming []controller.Edge // from the module, on their way
	edges  []controller.Edge
	events []controller.Event
	heard  []controller.Heard
	words  []byte
}

// New wires the two. The controller's image must be loaded. Chance decides on noise
// and may be nil without it.
func New(c *controller.Core, m Peer, w Wiring, chance *rand.Rand) (*Board, error) {
	if w.Baud <= 0 {
		return nil, fmt.Errorf("wire the module: a line of %v baud: want a speed above 0", w.Baud)
	}
	if w.Noise > 0 && chance == nil {
		return nil, fmt.Errorf("wire the module: noise of %v without chance: want a source of chance with it", w.Noise)
	}
	b := &Board{core: c, module: m, wiring: w}
	b.talk.Noise, b.talk.Chance = w.Noise, chance
	b.tapTx.BitCycles, b.tapRx.BitCycles = c.BitCycles(w.Baud), c.BitCycles(w.Baud)
	c.Watch(w.ToModule)
	if w.Debug != controller.NoPin {
		c.Watch(w.Debug)
		b.debug.BitCycles = c.BitCycles(w.DebugBaud)
	}
	if w.Lamp != controller.NoPin {
		c.Watch(w.Lamp)
	}
	b.follow()
	return b, c.Drive(w.FromModule, controller.High, c.Now())
}

// follow takes the module's present speed.
func (b *Board) follow() {
	baud := float64(b.module.Baud())
	if baud == 0 {
		baud = b.wiring.Baud // it finds the speed itself
	}
	bit := b.core.BitCycles(baud * (1 + b.wiring.ModuleOff))
	b.talk.BitCycles, b.hear.BitCycles = bit, bit
}

// Run lets both live until an instant and appends what passed. It ends early only when
// the controller cannot go on; the Stop says why.
func (b *Board) Run(until when.Instant, out []Passed) (controller.Stop, []Passed) {
	end := b.core.CycleAt(until)
	for {
		out = b.listen(out)
		now := b.core.InstantOf(b.core.Now())
		if due, _ := b.module.Deadline(); due <= now {
			b.words = b.module.Tick(now, b.words[:0])
			b.say()
			continue
		}
		due, _ := b.module.Deadline()
		to := min(end, b.core.CycleAt(due), b.hear.Deadline(), b.tapTx.Deadline(), b.debug.Deadline(), b.nextComing())
		if b.core.Now() >= end {
			return controller.Stop{Why: controller.ReachedTime, At: b.core.Now(), PC: b.core.PC()}, out
		}
		var stop controller.Stop
		stop, b.events = b.core.RunToEvent(to, b.events[:0])
		if stop.Final() {
			return stop, append(b.listen(out), Passed{At: b.core.InstantOf(stop.At), From: Remark, Text: stop.String()})
		}
	}
}

// nextComing is when the next byte from the module is complete at the controller.
func (b *Board) nextComing() controller.Cycle {
	next := b.tapRx.Deadline()
	if len(b.coming) > 0 {
		next = min(next, b.coming[0].At)
	}
	return next
}

// listen works through what the controller's pins did and what is now complete.
func (b *Board) listen(out []Passed) []Passed {
	now := b.core.Now()
	for _, e := range b.events {
		out = b.arrived(e.At, out)
		switch {
		case e.Kind != controller.PinDriven:
			out = append(out, Passed{At: b.core.InstantOf(e.At), From: Remark, Text: e.Text})
		case e.Pin == b.wiring.ToModule:
			high, _ := e.Drive.Level(controller.PulledUp)
			edge := controller.Edge{At: e.At, High: high}
			b.heard = b.tapTx.Feed(edge, b.heard[:0])
			out = b.passed(Controller, out)
			b.heard = b.hear.Feed(edge, b.heard[:0])
			b.deliver()
		case e.Pin == b.wiring.Debug:
			high, _ := e.Drive.Level(controller.PulledUp)
			b.heard = b.debug.Feed(controller.Edge{At: e.At, High: high}, b.heard[:0])
			out = b.passed(Debug, out)
		case e.Pin == b.wiring.Lamp:
			text := "off"
			if e.Drive == controller.High {
				text = "on"
			}
			out = append(out, Passed{At: b.core.InstantOf(e.At), From: Lamp, Text: text})
		}
	}
	b.events = b.events[:0]
	out = b.arrived(now, out)
	b.heard = b.tapTx.Tick(now, b.heard[:0])
	out = b.passed(Controller, out)
	b.heard = b.debug.Tick(now, b.heard[:0])
	out = b.passed(Debug, out)
	b.heard = b.hear.Tick(now, b.heard[:0])
	b.deliver()
	return out
}

// arrived listens to the wire from the module up to a cycle.
func (b *Board) arrived(now controller.Cycle, out []Passed) []Passed {
	n := 0
	b.heard = b.heard[:0]
	for ; n < len(b.coming) && b.coming[n].At <= now; n++ {
		b.heard = b.tapRx.Feed(b.coming[n], b.heard)
	}
	b.coming = append(b.coming[:0], b.coming[n:]...)
	b.heard = b.tapRx.Tick(now, b.heard)
	return b.passed(Module, out)
}

func (b *Board) passed(from Side, out []Passed) []Passed {
	for _, h := range b.heard {
		out = append(out, Passed{At: b.core.InstantOf(h.At), From: from, Byte: byte(h.Value), Bad: h.BadStop})
	}
	return out
}

// deliver gives the module what its receiver has made out.
func (b *Board) deliver() {
	for _, h := range b.heard {
		b.words = b.module.Feed(b.core.InstantOf(h.At), []byte{byte(h.Value)}, b.words[:0])
		b.say()
	}
}

// say puts what the module has just said onto the wire.
func (b *Board) say() {
	if len(b.words) > 0 {
		b.edges = b.talk.Send(b.core.Now(), b.words, b.edges[:0])
		for _, e := range b.edges {
			d := controller.Low
			if e.High {
				d = controller.High
			}
			if err := b.core.Drive(b.wiring.FromModule, d, e.At); err != nil {
				break // more is waiting than any receiver could take: the rest is lost
			}
			b.coming = append(b.coming, e)
		}
	}
	b.follow()
}
