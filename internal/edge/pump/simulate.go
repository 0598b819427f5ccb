package pump

import (
	"context"
	"fmt"

	"firstfix/internal/when"
)

// Limits end a simulation that does not end by itself.
type Limits struct {
	Until when.Instant // the time at which it ends; 0: a day
	Steps int          // what may happen in all; 0: a hundred million
}

const (
	usualUntil = 86400 * when.Second
	usualSteps = 100_000_000
	// A machine that is ticked this often without time passing does not move its
	// deadline; it is broken.
	maxAtOnce = 10_000
)

// A StuckError is a machine that asks for Tick again and again at one instant.
type StuckError struct {
	Side Side
	At   when.Instant
	Why  string
}

func (e *StuckError) Error() string {
	return fmt.Sprintf("pump: the %v asks for Tick at %v for ever (%s)", e.Side, e.At, e.Why)
}

// Simulate lets two machines talk over a wire in simulated time: it jumps to
// the next deadline or the next byte that arrives, so that minutes take
// milliseconds. It ends when the controller says that it is done, or at the
// limit, which is no error, or with ctx. The same machines give the same bytes.
func Simulate(ctx context.Context, limits Limits, controller, module Machine, wire Wire, tap Tap) (end when.Instant, err error) {
	if limits.Until == 0 {
		limits.Until = usualUntil
	}
	if limits.Steps == 0 {
		limits.Steps = usualSteps
	}
	s := simulation{wire: wire, tap: tap, limits: limits, controller: controller, module: module}
	return s.run(ctx)
}

// simulation is one talk between two machines.
type simulation struct {
	wire               Wire
	tap                Tap
	limits             Limits
	controller, module Machine

	toModule, toController lane
	now                    when.Instant
	steps, atOnce          int
	baud                   int // the controller's, as last told to the tap
	out                    []byte
}

func (s *simulation) run(ctx context.Context) (when.Instant, error) {
	s.baud = speedOf(s.controller, s.wire.Baud)
	for !done(s.controller) {
		at, who := s.next()
		if at > s.limits.Until {
			return s.limits.Until, nil
		}
		if s.steps++; s.steps > s.limits.Steps {
			return s.now, fmt.Errorf("pump: after %d steps it is still %v: want an end within %v", s.limits.Steps, s.now, s.limits.Until)
		}
		if s.steps%1024 == 0 && ctx.Err() != nil {
			return s.now, ctx.Err()
		}
		if s.atOnce++; at > s.now {
			s.now, s.atOnce = at, 0
		}
		if s.atOnce > maxAtOnce {
			return s.now, s.stuck()
		}
		s.step(who)
	}
	return s.now, nil
}

// happening is one kind of thing that can happen next.
type happening uint8

// What happens first when several are due at once: bytes before ticks, the
// module before the controller.
const (
	moduleHears happening = iota
	controllerHears
	moduleTicks
	controllerTicks
)

func (s *simulation) next() (at when.Instant, who happening) {
	at, who = s.toModule.next(), moduleHears
	if t := s.toController.next(); t < at {
		at, who = t, controllerHears
	}
	if t, _ := s.module.Deadline(); t < at {
		at, who = t, moduleTicks
	}
	if t, _ := s.controller.Deadline(); t < at {
		at, who = t, controllerTicks
	}
	return at, who
}

func (s *simulation) step(who happening) {
	switch who {
	case moduleHears:
		s.out = s.module.Feed(s.now, s.toModule.take(), s.out[:0])
	case moduleTicks:
		s.out = s.module.Tick(s.now, s.out[:0])
	case controllerHears:
		b := s.toController.take()
		s.tap.bytes(Module, s.now, b)
		s.out = s.controller.Feed(s.now, b, s.out[:0])
	case controllerTicks:
		s.out = s.controller.Tick(s.now, s.out[:0])
	}
	theirs, ours := speedOf(s.module, s.wire.Baud), speedOf(s.controller, s.wire.Baud)
	if who == moduleHears || who == moduleTicks {
		if lost := s.toController.put(&s.wire, s.now, s.out, theirs, ours); lost > 0 {
			s.tap.event(Module, s.now, overrun(lost))
		}
		return
	}
	if ours != s.baud {
		s.baud = ours
		s.tap.event(Controller, s.now, speedEvent(ours))
	}
	s.tap.bytes(Controller, s.now, s.out)
	if lost := s.toModule.put(&s.wire, s.now, s.out, ours, theirs); lost > 0 {
		s.tap.event(Controller, s.now, overrun(lost))
	}
}

func (s *simulation) stuck() error {
	if at, why := s.module.Deadline(); at <= s.now {
		return &StuckError{Module, at, why}
	}
	at, why := s.controller.Deadline()
	return &StuckError{Controller, at, why}
}
