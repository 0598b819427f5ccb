// Package line joins the program to a real wire: a serial port, a
// pseudo-terminal, a TCP socket. It is one of the few packages with hands.
//
// # Where to start
//
// Read [Line] and [Open].
package line
