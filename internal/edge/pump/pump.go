// Package pump is the one loop: line to machine, machine to line, deadlines to
// timers; and the same loop without a wire, in simulated time.
//
// # Where to start
//
// Read [Machine], then [Simulate].
package pump

import "firstfix/internal/when"

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
