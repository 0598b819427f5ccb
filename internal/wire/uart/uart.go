// Package uart knows what bytes become when the two ends of an asynchronous
// line do not agree on speed or frame.
//
// # What it promises
//
// [Mishear] computes, bit by bit, what a receiver at one speed reads of bytes
// sent at another. It is the same arithmetic a serial port does, so it serves
// both the stand-in, which plays a wrong speed, and the judge, which finds out
// the likely true one.
//
// # Where to start
//
// Read [Mishear].
package uart
