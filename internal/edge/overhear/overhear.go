// Package overhear listens to both directions of a line: beside it, with one
// tap for each direction, or from its middle, passing on every byte.
//
// # What it promises
//
// What passed is told in the order of time. In the middle a byte is passed on
// before anything else is done with it, unchanged; how long that took is
// measured. A line that vanishes is told, tried again, and told when it is back;
// what could not be passed on is told with its number of bytes. When the line
// agrees on another speed (+IPR), lines that have a speed follow.
//
// # What it leaves to others
//
// Opening lines is the work of edge/line, writing the capture and judging it
// that of the caller.
//
// # Where to start
//
// Read [Ear] and [Ear.Listen].
package overhear

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"firstfix/internal/edge/line"
	"firstfix/internal/edge/pump"
	"firstfix/internal/talk/capture"
)

// Side is one end that is listened to.
type Side struct {
	Line line.Line
	// Reopen opens the line again after it was lost; nil: this side ends then.
	Reopen func() (line.Line, error)
}

// Ear listens to the two sides of a line.
type Ear struct {
	Controller, Module Side // one of them may have no line, unless Bridge
	Bridge             bool // pass on what is heard
	Clock              pump.Clock
	Tap                pump.Tap // called by one goroutine; the bytes stay good
	// Idle is called about every [IdleEvery] by that goroutine, whether anything
	// passed or not. It may be nil.
	Idle func()

	queue  queue
	delays Delays
	lines  [3]atomic.Pointer[line.Line] // by direction, as they are now
	speed  follower
	mu     sync.Mutex // over speed
}

// Times, each with its reason.
const (
	// IdleEvery is often enough for a screen and seldom enough for a processor.
	IdleEvery = 100 * time.Millisecond
	// retryEvery: an adapter that is plugged in again takes about a second to appear.
	retryEvery = 500 * time.Millisecond
	// readWait: how soon the end of the listening is noticed, should closing not do it.
	readWait = 200 * time.Millisecond
	readSize = 4096
	// statesEvery: a person's hand on a cable or a restart shows for longer.
	statesEvery = 100 * time.Millisecond
)

// ErrNoLine says that there is nothing to listen to.
var ErrNoLine = errors.New("overhear: no line to listen to")

// Note tells a marker that a person made. It may be called at any time while
// [Ear.Listen] runs.
func (e *Ear) Note(words string) { e.queue.put(e.Clock, capture.Unknown, nil, "note: "+words) }

// Delays says how long bytes were held in the middle so far, by the side that sent them.
func (e *Ear) Delays() *Delays { return &e.delays }

// Listen listens until ctx ends (nil) or all lines are lost for good
// ([pump.ErrLost]). It closes the lines.
func (e *Ear) Listen(ctx context.Context) error {
	if e.Controller.Line == nil && e.Module.Line == nil || e.Bridge && (e.Controller.Line == nil || e.Module.Line == nil) {
		return ErrNoLine
	}
	if e.Clock == nil {
		e.Clock = pump.NewClock()
	}
	e.queue.init()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	stop := context.AfterFunc(ctx, func() {
		for i := range e.lines {
			if l := e.lines[i].Load(); l != nil {
				(*l).Close()
			}
		}
	})
	defer stop()
	var readers sync.WaitGroup
	for _, s := range []struct {
		from capture.Direction
		side *Side
	}{{capture.Controller, &e.Controller}, {capture.Module, &e.Module}} {
		if s.side.Line == nil {
			continue
		}
		e.lines[s.from].Store(&s.side.Line)
		readers.Add(1)
		go func() {
			defer readers.Done()
			e.hear(ctx, s.from, s.side)
		}()
	}
	heard := make(chan struct{})
	go func() {
		e.queue.drain(e.Tap, e.Idle)
		close(heard)
	}()
	readers.Wait()
	lost := ctx.Err() == nil
	e.queue.end()
	<-heard
	if lost {
		return pump.ErrLost
	}
	return nil
}

// hear reads one side until ctx ends, or it is lost and cannot come back.
func (e *Ear) hear(ctx context.Context, from capture.Direction, s *Side) {
	l := s.Line
	for {
		err := e.read(ctx, from, l)
		l.Close()
		if ctx.Err() != nil {
			return
		}
		e.queue.put(e.Clock, from, nil, "line-lost")
		if err != nil {
			e.queue.put(e.Clock, capture.Unknown, nil, fmt.Sprintf("note: the %v's side was lost: %v", from, err))
		}
		e.lines[from].Store(nil)
		if s.Reopen == nil {
			return
		}
		again := reopen(ctx, s.Reopen) // a variable of its own: others may still hold the address of the last
		if again == nil {
			return
		}
		l = again
		e.lines[from].Store(&again)
		if ctx.Err() != nil { // it ended while the line was being opened
			l.Close()
			return
		}
		e.queue.put(e.Clock, from, nil, "line-found")
	}
}

func reopen(ctx context.Context, open func() (line.Line, error)) line.Line {
	again := time.NewTicker(retryEvery)
	defer again.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-again.C:
			if l, err := open(); err == nil {
				return l
			}
		}
	}
}

// read passes on and tells what comes from one side until its line is lost.
func (e *Ear) read(ctx context.Context, from capture.Direction, l line.Line) error {
	buf := make([]byte, readSize)
	states := stateWatch{line: l}
	peer := speedWatch{line: l}
	for ctx.Err() == nil {
		n, outcome, err := l.Read(buf, readWait)
		if outcome == line.Lost {
			return err
		}
		if baud := peer.changed(); baud != 0 && e.Bridge {
			e.setSpeed(from, baud)
		}
		if outcome == line.Got {
			e.pass(from, buf[:n])
		}
		if words := states.changed(); words != "" {
			e.queue.put(e.Clock, capture.Unknown, nil, fmt.Sprintf("note: the %v's side: %s", from, words))
		}
	}
	return nil
}

// pass tells bytes and, in the middle, passes them on.
func (e *Ear) pass(from capture.Direction, b []byte) {
	began := time.Now()
	e.queue.put(e.Clock, from, b, "")
	if e.Bridge {
		if lost := e.write(other(from), b); lost > 0 {
			e.queue.put(e.Clock, from, nil, fmt.Sprintf("overrun: %d bytes lost", lost))
		}
		e.delays.add(from, time.Since(began))
	}
	e.follow(from, b)
}

// write passes bytes on to a side; lost says how many did not go.
func (e *Ear) write(to capture.Direction, b []byte) (lost int) {
	l := e.lines[to].Load()
	if l == nil {
		return len(b)
	}
	err := (*l).Write(b)
	var overrun *line.OverrunError
	switch {
	case errors.As(err, &overrun):
		return overrun.Lost
	case err != nil:
		return len(b) // its own reader tells that the line is lost
	}
	return 0
}

func other(d capture.Direction) capture.Direction {
	if d == capture.Controller {
		return capture.Module
	}
	return capture.Controller
}
