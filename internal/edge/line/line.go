// Package line joins the program to a real wire: a serial port, a
// pseudo-terminal, a TCP socket. It is one of the few packages with hands.
//
// # What it promises
//
// Every kind of [Line] behaves alike, and suite_test.go holds each to it:
// a read says in words what came of it ([Got], [Nothing], [Lost]), bytes keep
// their order, a peer that vanishes is noticed, closing ends a waiting read. No
// byte is dropped in silence: what could not be written is an [OverrunError].
//
// # What it leaves to others
//
// What the bytes mean and when they are wanted is the work of edge/pump and the
// machines it drives.
//
// # Where to start
//
// Read [Line] and [Open].
package line

import (
	"errors"
	"fmt"
	"net"
	"os"
	"strings"
	"time"
)

// Line is one end of a wire. One goroutine may read while another writes;
// Close may be called by any, more than once.
type Line interface {
	// Read waits at most wait for bytes. Lost comes with the reason.
	Read(p []byte, wait time.Duration) (n int, outcome Outcome, err error)
	// Write writes all of p, or says how much of it was lost.
	Write(p []byte) error
	Close() error
	// Describe names the line for people: "serial /dev/ttyUSB0, 9600 baud".
	Describe() string
}

// Outcome is what came of a read.
type Outcome uint8

// The outcomes of a read.
const (
	Got     Outcome = iota + 1 // n bytes
	Nothing                    // the time is up
	Lost                       // the line has ended; no later read will succeed
)

// String is the word for messages.
func (o Outcome) String() string {
	switch o {
	case Got:
		return "got"
	case Nothing:
		return "nothing"
	case Lost:
		return "lost"
	}
	return "no outcome"
}

// Speeder is a line whose speed can be changed while it is open.
type Speeder interface {
	SetBaud(baud int) error
}

// Stater is a line that can tell its modem-control inputs. Asking changes none.
type Stater interface {
	// States says them in words: "CTS on, DSR off, RI off, DCD off".
	States() (string, error)
}

// PeerSpeeder is a line that knows at which speed the other end speaks, though
// its bytes pass at any: a pseudo-terminal. 0 means that it cannot tell.
type PeerSpeeder interface {
	PeerBaud() int
}

// ErrClosed is the reason of a line that this program closed itself.
var ErrClosed = errors.New("line: closed")

// OverrunError says that bytes were lost because the other end does not take
// them: nobody listens, or too slowly. The line goes on.
type OverrunError struct {
	Line string
	Lost int
}

func (e *OverrunError) Error() string {
	return fmt.Sprintf("line: %s: %d bytes lost, the other end does not read", e.Line, e.Lost)
}

// Open opens a line by its address: a device as /dev/ttyUSB0 or COM3, or
// tcp:host:port. baud counts for lines that have a speed.
func Open(address string, baud int) (Line, error) {
	for _, k := range kinds {
		if rest, ok := k.match(address); ok {
			l, err := k.open(rest, baud)
			if err != nil {
				return nil, fmt.Errorf("open line %s: %w", address, err)
			}
			return l, nil
		}
	}
	return nil, fmt.Errorf("open line %q: want %s", address, Addresses())
}

// Addresses says in words which addresses [Open] understands.
func Addresses() string {
	forms := make([]string, len(kinds))
	for i, k := range kinds {
		forms[i] = k.form
	}
	return strings.Join(forms, ", or ")
}

// reason tells why a read or a write failed for good. A line that we closed
// has a reason of its own.
func reason(err error) error {
	if errors.Is(err, os.ErrClosed) || errors.Is(err, net.ErrClosed) {
		return ErrClosed
	}
	return err
}
