package world

import (
	"math"
	"time"

	"firstfix/internal/earth/sky"
	"firstfix/internal/when"
)

// Life is a world with a seed: what holds at each instant of one session. It
// keeps the last answer, so it serves one module; it draws nothing, so asking
// often or seldom, forwards or backwards, gives the same answers.
type Life struct {
	world *World
	seed  uint64
	start time.Time

	now         Conditions
	from, until when.Instant // now holds from "from" to before "until"
	known       bool

	horizon      sky.Horizon
	horizonPlace Place
	haveHorizon  bool
}

// Begin returns the life that this world leads with a seed.
func (w *World) Begin(seed uint64) *Life {
	return &Life{world: w, seed: seed, start: w.Start}
}

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
	for i := range l.world.Faults {
		s := &l.world.Faults[i]
		on, change := s.state(now, l.seed+uint64(i))
		l.until = min(l.until, change)
		if !on {
			continue
		}
		if f, ok := FaultNamed(s.Fault); ok {
			f.Apply(&l.now, s.Params)
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

// state says whether a scheduled fault is on at now, and when that changes.
func (s *Scheduled) state(now when.Instant, seed uint64) (on bool, change when.Instant) {
	begin, end := instant(s.AtS), when.Never
	if s.UntilS > 0 {
		end = instant(s.UntilS)
	}
	switch {
	case now < begin && s.EveryS == 0:
		return false, begin
	case now >= end:
		return false, when.Never
	case s.EveryS == 0:
		return true, end
	}
	period := max(instant(s.EveryS), 1)
	n := max(now-begin, 0) / period
	for {
		on := begin + n*period + instant(s.JitterS*chance(seed, uint64(n)))
		off := min(on+instant(s.ForS), end)
		switch {
		case on >= end:
			return false, end
		case now < on:
			return false, on
		case now < off:
			return true, off
		}
		n++
	}
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
