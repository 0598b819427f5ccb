// Package procedure holds the exchanges a controller wants to hold: what to
// send, what to await, how long, and what to do otherwise.
//
// # What it promises
//
// A [Machine] is a machine without hands: bytes and time in, bytes out. It
// never sleeps; it waits for answers. The same answers give the same bytes.
//
// # Where to start
//
// Read [Procedure], then [Machine].
package procedure
