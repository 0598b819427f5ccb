package world

import (
	"math"
	"time"

	"firstfix/internal/earth/sky"
	"firstfix/internal/when"
)

// Life is a world with a seed: what holds at each instant of one session. It
// keeps the last answer, so it serves one module. It draws nothing, so asking
// often or seldom gives the same answers; and, apart from what the module has
// told it ([Life.Happened]), so does asking backwards.
type Life struct {
	world *World
	seed  uint64
	start time.Time

	legs     []leg
	faults   []*Fault        // of the schedules, in their order; nil for one that is not known
	listens  [maxEvents]bool // to which events a schedule listens
	happened happenings

	now         Conditions
	from, until when.Instant // now holds from "from" to before "until"
	known       bool

	horizon      sky.Horizon
	horizonPlace Place
	haveHorizon  bool
	above        []sky.Seen
}

// Begin returns the life that this world leads with a seed.
func (w *World) Begin(seed uint64) *Life {
	l := &Life{world: w, seed: seed, start: w.Start, legs: legsOf(w.Route)}
	for i := range w.Faults {
		s := &w.Faults[i]
		var fault *Fault
		if f, ok := FaultNamed(s.Fault); ok {
			fault = &f
		}
		l.faults = append(l.faults, fault)
		for n, name := range Events {
			l.listens[n] = l.listens[n] || s.Event == name
		}
	}
	return l
}

// World is the world that is lived.
func (l *Life) World() *World { return l.world }

// UTC is the wall clock at an instant.
func (l *Life) UTC(now when.Instant) time.Time { return l.start.Add(time.Duration(now)).UTC() }

// At returns what holds at now. The result is good until the next call; the
// caller must not change it.
func (l *Life) At(now when.Instant) *Conditions {
	if l.known && now >= l.from && now < l.until {
		return &l.now
	}
	l.now = l.world.Conditions
	l.from, l.until, l.known = now, when.Never, true
	if len(l.world.Cells) > 0 {
		l.coverageAt(&l.now.Coverage, now)
		l.until = l.nextLook(now)
	}
	for i, f := range l.faults {
		s := &l.world.Faults[i]
		w := l.state(s, now, l.seed+uint64(i))
		l.until = min(l.until, w.change)
		if !w.on || f == nil {
			continue
		}
		if f.Apply != nil {
			f.Apply(&l.now, s.Params)
		}
		if f.Moves != nil {
			step := when.Instant(f.Step)
			age := (now - w.since) / step * step
			f.Moves(&l.now, s.Params, time.Duration(age))
			l.until = min(l.until, w.since+age+step)
		}
	}
	return &l.now
}

// NextChange says when the conditions that hold at now end; when.Never when
// nothing will change them.
func (l *Life) NextChange(now when.Instant) when.Instant {
	l.At(now)
	return l.until
}

// Going lists the faults that are on at now, in the world's order.
func (l *Life) Going(now when.Instant) []string {
	var names []string
	for i := range l.world.Faults {
		s := &l.world.Faults[i]
		if l.state(s, now, l.seed+uint64(i)).on {
			names = append(names, s.Fault)
		}
	}
	return names
}

// instant rounds seconds to an instant.
func instant(s float64) when.Instant { return when.Instant(math.Round(s * 1e9)) }

// chance is a number from 0 to below 1 that depends on its arguments only, so
// that the hundredth period of a fault can be asked for without the first 99
// (splitmix64's finishing steps).
func chance(seed, n uint64) float64 {
	z := seed*0x9e3779b97f4a7c15 + n*0xbf58476d1ce4e5b9 + 0x94d049bb133111eb
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	return float64(z>>11) / (1 << 53)
}
