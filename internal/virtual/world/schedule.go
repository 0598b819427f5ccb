package world

import (
	"slices"

	"firstfix/internal/earth/geo"
	"firstfix/internal/when"
)

// Scheduled is a fault in a world's life: when it is on.
//
// Its clock begins with the world, or when the module has done what event
// names; with again it begins anew each time. Without at_s the fault is on from
// then, without until_s it stays. With every_s it comes back: on for for_s in
// each period, later by up to jitter_s. With within_m it is on only near a place.
type Scheduled struct {
	Fault      string  `yaml:"fault"`
	AtS        float64 `yaml:"at_s"`
	UntilS     float64 `yaml:"until_s"` // 0: for good
	EveryS     float64 `yaml:"every_s"` // 0: once
	ForS       float64 `yaml:"for_s"`
	JitterS    float64 `yaml:"jitter_s"`
	Event      string  `yaml:"event"` // one of Events; "": the world's beginning
	Again      bool    `yaml:"again"` // the clock begins anew with every such event
	NearLatDeg float64 `yaml:"near_lat_deg"`
	NearLonDeg float64 `yaml:"near_lon_deg"`
	WithinM    float64 `yaml:"within_m"` // of that place; 0: everywhere
	Params     `yaml:",inline"`
}

// Events are what the module does that a fault can wait for.
var Events = []string{"started", "registered", "transmits", "text-sent", "text-arrived", "call", "context-active", "engine-on", "first-fix"}

// maxEvents is the room for what is known of each event.
const maxEvents = 16

// happenings is when each event happened first and last.
type happenings struct {
	first, last [maxEvents]when.Instant
	count       [maxEvents]int
}

// Happened tells the life that the module did one of [Events]. It says whether
// the conditions may be others now.
func (l *Life) Happened(event string, now when.Instant) bool {
	i := slices.Index(Events, event)
	if i < 0 {
		panic("world: no such event: " + event)
	}
	h := &l.happened
	if h.count[i] == 0 {
		h.first[i] = now
	}
	h.last[i] = now
	h.count[i]++
	if !l.listens[i] {
		return false
	}
	l.known = false
	return true
}

// begins is the instant at which the clock of a schedule starts; false while
// its event has not come.
func (l *Life) begins(s *Scheduled) (when.Instant, bool) {
	if s.Event == "" {
		return 0, true
	}
	i := slices.Index(Events, s.Event)
	if i < 0 || l.happened.count[i] == 0 {
		return 0, false
	}
	if s.Again {
		return l.happened.last[i], true
	}
	return l.happened.first[i], true
}

// A window is the stretch of time around an instant in which a fault is on, or off.
type window struct {
	on     bool
	since  when.Instant // when it came on
	change when.Instant // when that changes
	number uint64       // which of its periods it is
}

// state says whether a scheduled fault is on at now.
func (l *Life) state(s *Scheduled, now when.Instant, seed uint64) window {
	zero, begun := l.begins(s)
	if !begun {
		return window{change: when.Never}
	}
	if now < zero {
		return window{change: zero}
	}
	w := s.inTime(now-zero, seed)
	w.since += zero
	if w.change != when.Never {
		w.change += zero
	}
	if s.WithinM > 0 && w.on {
		w.on = l.near(s, now)
		w.change = min(w.change, l.nextLook(now))
	}
	return w
}

// inTime is the state by time alone, now counted from the schedule's beginning.
func (s *Scheduled) inTime(now when.Instant, seed uint64) window {
	begin, end := instant(s.AtS), when.Never
	if s.UntilS > 0 {
		end = instant(s.UntilS)
	}
	switch {
	case now < begin && s.EveryS == 0:
		return window{change: begin}
	case now >= end:
		return window{change: when.Never}
	case s.EveryS == 0:
		return window{on: true, since: begin, change: end}
	}
	period := max(instant(s.EveryS), 1)
	n := max(now-begin, 0) / period
	for {
		on := begin + n*period + instant(s.JitterS*chance(seed, uint64(n)))
		off := min(on+instant(s.ForS), end)
		switch {
		case on >= end:
			return window{change: end}
		case now < on:
			return window{change: on}
		case now < off:
			return window{on: true, since: on, change: off, number: uint64(n)}
		}
		n++
	}
}

// near says whether the module is close to the schedule's place.
func (l *Life) near(s *Scheduled, now when.Instant) bool {
	p := l.Where(now)
	return geo.DistanceM(geo.Point{LatDeg: p.LatDeg, LonDeg: p.LonDeg}, geo.Point{LatDeg: s.NearLatDeg, LonDeg: s.NearLonDeg}) <= s.WithinM
}

// lookEvery is how often a moving module's place is compared with the places of
// cells and faults: at 30 m/s it has gone 60 m meanwhile; our choice.
const lookEvery = 2 * when.Second

// nextLook is when the place may have to be looked at again.
func (l *Life) nextLook(now when.Instant) when.Instant {
	if rests, until := l.restsUntil(now); rests {
		return until
	}
	return now - now%lookEvery + lookEvery
}
