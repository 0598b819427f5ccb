package pump

import (
	"context"
	"errors"
	"math/rand/v2"
	"time"

	"firstfix/internal/edge/line"
	"firstfix/internal/when"
	"firstfix/internal/wire/uart"
)

// Clock tells how long a session has been going on.
type Clock interface{ Now() when.Instant }

// RealClock is a clock that began when it was made. It never goes back.
type RealClock struct{ began time.Time }

// NewClock starts a clock at zero.
func NewClock() RealClock { return RealClock{time.Now()} }

// Now is the time since the clock was made.
func (c RealClock) Now() when.Instant { return when.Instant(time.Since(c.began)) }

// Began is the wall clock at zero.
func (c RealClock) Began() time.Time { return c.began }

// Options say how [Run] drives a machine.
type Options struct {
	Me    Side // who the machine is; the other end of the line is the other side
	Clock Clock
	Tap   Tap
	// Pace lets bytes leave no faster than the machine's speed, for lines that
	// have none of their own. With a [line.PeerSpeeder] it also plays speeds
	// that do not fit.
	Pace bool
	// What the wire would lose, both ways, for a stand-in whose world says so.
	LostPerMillion float64
	Chance         *rand.Rand // decides which bytes; needed when LostPerMillion is not 0
}

const (
	readBytes = 4096
	// Nobody waits longer than this in one read, whatever the machine wants.
	longestWait = time.Hour
	// Paced bytes go out in pieces of about this much time: shorter than a
	// person or a buffer of 64 bytes notices at usual speeds.
	paceStep = 4 * time.Millisecond
)

// ErrLost is the reason why [Run] ends when the peer or the device has gone.
// The reason of the line itself is wrapped with it.
var ErrLost = errors.New("pump: the line was lost")

// Run drives a machine on a real line until it is done (nil), ctx ends (its
// error), or the line is lost (ErrLost). It does not close the line.
func Run(ctx context.Context, l line.Line, m Machine, o Options) error {
	if o.Clock == nil {
		o.Clock = NewClock()
	}
	if o.Me == 0 {
		o.Me = Controller
	}
	r := runner{line: l, machine: m, Options: o, in: make([]byte, readBytes)}
	r.peer = Module
	if o.Me == Module {
		r.peer = Controller
	}
	r.setSpeed()
	// A read that waits is ended by closing the line: there is no other way
	// that all kinds of line share.
	stop := context.AfterFunc(ctx, func() { l.Close() })
	defer stop()
	err := r.loop(ctx)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return err
}

// runner is one machine on one line.
type runner struct {
	Options
	line    line.Line
	machine Machine
	peer    Side

	in, out []byte
	waiting []byte       // paced bytes that have not left
	free    when.Instant // when the next paced byte may leave
	baud    int          // the line's, as last set
	last    when.Instant // deadline for which the machine was ticked
	ticks   int          // and how often
}

func (r *runner) loop(ctx context.Context) error {
	for ctx.Err() == nil {
		now := r.Clock.Now()
		if err := r.send(now); err != nil {
			return err
		}
		if done(r.machine) && len(r.waiting) == 0 {
			return nil
		}
		at, why := r.machine.Deadline()
		if at <= now {
			if at != r.last {
				r.ticks, r.last = 0, at
			}
			if r.ticks++; r.ticks > maxAtOnce {
				return &StuckError{r.Me, at, why}
			}
			if err := r.say(now, r.machine.Tick(now, r.out[:0])); err != nil {
				return err
			}
			continue
		}
		if err := r.listen(now, at); err != nil {
			return err
		}
	}
	return ctx.Err()
}

// listen reads until the machine or the pacing wants to be asked.
func (r *runner) listen(now, deadline when.Instant) error {
	if len(r.waiting) > 0 {
		deadline = min(deadline, r.free.Add(paceStep))
	}
	wait := longestWait
	if deadline != when.Never {
		wait = min(wait, deadline.Sub(now))
	}
	n, outcome, err := r.line.Read(r.in, wait)
	switch outcome {
	case line.Got:
		now = r.Clock.Now()
		b := r.heard(r.in[:n])
		if len(b) == 0 {
			return nil // the wire lost them
		}
		r.Tap.bytes(r.peer, now, b)
		return r.say(now, r.machine.Feed(now, b, r.out[:0]))
	case line.Lost:
		r.Tap.event(0, r.Clock.Now(), "line-lost")
		return errors.Join(ErrLost, err)
	}
	return nil
}

// say sends what the machine said, or queues it for its speed.
func (r *runner) say(now when.Instant, b []byte) error {
	r.out = b
	r.setSpeed()
	if len(b) == 0 {
		return nil
	}
	r.Tap.bytes(r.Me, now, b)
	b = r.spoken(b)
	if !r.Pace || speedOf(r.machine, 0) == 0 {
		return r.write(now, b)
	}
	if len(r.waiting) == 0 {
		r.free = max(r.free, now)
	}
	if room := maxWaitingBytes - len(r.waiting); len(b) > room {
		r.Tap.event(r.Me, now, overrun(len(b)-room))
		b = b[:room]
	}
	r.waiting = append(r.waiting, b...)
	return r.send(now)
}

// send writes the paced bytes whose time has come.
func (r *runner) send(now when.Instant) error {
	if len(r.waiting) == 0 || now < r.free {
		return nil
	}
	perByte := 10e9 / float64(max(speedOf(r.machine, usualBaud), 1))
	n := min(int(float64(now.Sub(r.free)+paceStep)/perByte)+1, len(r.waiting))
	err := r.write(now, r.waiting[:n])
	r.free += when.Instant(float64(n) * perByte)
	r.waiting = r.waiting[:copy(r.waiting, r.waiting[n:])]
	return err
}

// write gives bytes to the line. What it lost is told, and no reason to end.
func (r *runner) write(now when.Instant, b []byte) error {
	if len(b) == 0 {
		return nil
	}
	err := r.line.Write(b)
	var lost *line.OverrunError
	if errors.As(err, &lost) {
		r.Tap.event(r.Me, now, overrun(lost.Lost))
		return nil
	}
	if err != nil {
		r.Tap.event(0, now, "line-lost")
		return errors.Join(ErrLost, err)
	}
	return nil
}

// setSpeed follows the machine with the line's own speed, where it has one.
func (r *runner) setSpeed() {
	want := speedOf(r.machine, 0)
	s, ok := r.line.(line.Speeder)
	if !ok || want == 0 || want == r.baud {
		return
	}
	r.baud = want
	if s.SetBaud(want) == nil && r.Me == Controller {
		r.Tap.event(Controller, r.Clock.Now(), speedEvent(want))
	}
}

// heard and spoken play a wrong speed on a line that passes any bytes and
// knows the speed of its other end.
func (r *runner) heard(b []byte) []byte {
	if peer, me := r.speeds(); peer != me {
		b, _ = uart.Mishear(b, float64(peer), float64(me), uart.Frame{})
	}
	return survivors(b, r.LostPerMillion, r.Chance)
}

func (r *runner) spoken(b []byte) []byte {
	if peer, me := r.speeds(); peer != me {
		b, _ = uart.Mishear(b, float64(me), float64(peer), uart.Frame{})
	}
	return survivors(b, r.LostPerMillion, r.Chance)
}

// speeds are those of both ends; equal when they are the same within the
// tolerance of a receiver, or when one is not known.
func (r *runner) speeds() (peer, me int) {
	p, ok := r.line.(line.PeerSpeeder)
	if !ok || !r.Pace {
		return 0, 0
	}
	peer, me = p.PeerBaud(), speedOf(r.machine, 0)
	if peer <= 0 || me <= 0 {
		return 0, 0
	}
	if ratio := float64(peer) / float64(me); ratio > 1-sameSpeed && ratio < 1+sameSpeed {
		return me, me
	}
	return peer, me
}
