// Package pump is the one loop: line to machine, machine to line, deadlines to
// timers; and the same loop without a wire, in simulated time.
//
// # What it promises
//
// [Simulate] couples two machines without waiting for anything: time jumps to
// the next deadline or the next byte that arrives. Bytes take the time that
// their speed gives them, and two ends at different speeds hear what a real
// receiver would. [Run] drives one machine on a real line, [Serve] one for each
// peer. Every byte that passed, and every one that was lost, goes to the tap.
//
// # What it leaves to others
//
// What is said: the machines know. Recording it: talk/capture, given by the tap.
//
// # Where to start
//
// Read [Machine], then [Simulate].
package pump

import (
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
)

// Machine is whatever sits at one end of a line: a procedure, the stand-in.
// It has no hands: time and bytes come in, bytes go out.
type Machine interface {
	// Feed gives the machine bytes that arrived at now, and appends what it sends.
	Feed(now when.Instant, b []byte, out []byte) []byte
	// Tick tells the machine that time has reached now, and appends what it sends.
	Tick(now when.Instant, out []byte) []byte
	// Deadline says when Tick is next wanted, and why.
	Deadline() (at when.Instant, why string)
}

// Speaker is a machine that knows the speed of its end; 0 when it follows the other.
type Speaker interface{ Baud() int }

// Finisher is a machine that knows when its work is done.
type Finisher interface{ Done() bool }

// Side is who sent something; [capture.Unknown] for what no side sent.
type Side = capture.Direction

// The sides of a line.
const (
	Controller = capture.Controller
	Module     = capture.Module
)

// Tap is told everything that passes, in order of time: bytes as the
// controller's side sent or received them, or an event without bytes. The
// bytes are good until it returns. It may be nil.
type Tap func(from Side, at when.Instant, bytes []byte, event string)

func (t Tap) bytes(from Side, at when.Instant, b []byte) {
	if t != nil && len(b) > 0 {
		t(from, at, b, "")
	}
}

func (t Tap) event(from Side, at when.Instant, words string) {
	if t != nil {
		t(from, at, nil, words)
	}
}

func done(m Machine) bool {
	f, ok := m.(Finisher)
	return ok && f.Done()
}

// speedOf is the speed of a machine's end; otherwise when it does not say.
func speedOf(m Machine, otherwise int) int {
	if s, ok := m.(Speaker); ok {
		return s.Baud()
	}
	return otherwise
}
