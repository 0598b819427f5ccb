package track

import (
	"math"
	"time"

	"firstfix/internal/when"
)

const (
	day = 24 * time.Hour

	// Round is after how long the week number of the legacy GPS message begins again: ten
	// bits, 1024 weeks (IS-GPS-200, 20.3.3.3.1.1).
	Round = 1024 * 7 * day

	// sameTime is how far a date may be from a multiple of a round and still be called one
	// round off: half a day, so that no other week is meant.
	sameTime = day / 2

	// patience bounds how far a void sighting may move the line of moments on. It carries the
	// days through a night without a fix; the clock of a receiver without one may be anything.
	patience = time.Hour
)

// A line puts sightings on one line of time. What a sighting lacks is taken from its
// neighbours: days are counted from midnight to midnight where no date is told, so a log of
// 25 hours without a date is 25 hours long.
type line struct {
	moment    int64 // of the last sighting that was placed
	placed    bool
	timeOfDay time.Duration
	hasTime   bool
	at        when.Instant
	timed     bool

	unix      int64 // of the last sighting with a date, nanoseconds
	unixAt    int64 // the moment it got
	dated     bool
	rounds    int // by how many rounds of the week number the dates have changed
	roundsNow int // of the sighting asked for last
}

// of says when a sighting was, and changes nothing but roundsNow.
func (l *line) of(s *Sighting) Moment {
	l.roundsNow = 0
	utc, dated := s.UTC.Get()
	switch {
	case dated && l.dated:
		apart := time.Duration(utc.UnixNano() - l.unix)
		if n := math.Round(float64(apart) / float64(Round)); n != 0 && (apart-time.Duration(n)*Round).Abs() < sameTime {
			l.roundsNow = int(n)
			apart -= time.Duration(n) * Round
		}
		return Moment{l.unixAt + int64(apart), true}
	case dated && !l.placed:
		return Moment{utc.UnixNano(), true}
	case dated && l.hasTime:
		return Moment{l.moment + int64(l.sinceTime(timeOfDay(utc), s)), true}
	}
	if t, ok := s.TimeOfDay.Get(); ok && !dated {
		if !l.placed {
			return Moment{int64(t), true}
		}
		if l.hasTime {
			return Moment{l.moment + int64(l.sinceTime(t, s)), true}
		}
	}
	switch {
	case s.Timed && l.placed && l.timed:
		return Moment{l.moment + int64(s.At.Sub(l.at)), true}
	case s.Timed && !l.placed:
		if wall, ok := s.Wall.Get(); ok {
			return Moment{wall.UnixNano(), true}
		}
		return Moment{int64(s.At), true}
	}
	return Moment{}
}

// sinceTime is how long after the last sighting a time of day was: the way round the clock
// that is shorter, and as many whole days more as the recording's clock tells.
func (l *line) sinceTime(t time.Duration, s *Sighting) time.Duration {
	apart := t - l.timeOfDay
	switch {
	case apart < -day/2:
		apart += day
	case apart > day/2:
		apart -= day
	}
	if s.Timed && l.timed {
		heard := s.At.Sub(l.at)
		apart += time.Duration(math.Round(float64(heard-apart)/float64(day))) * day
	}
	return apart
}

// place takes a sighting, with the moment it got, as the last one.
func (l *line) place(s *Sighting, m Moment) {
	if !m.Known {
		return
	}
	l.moment, l.placed = m.NS, true
	l.at, l.timed = s.At, s.Timed
	if utc, ok := s.UTC.Get(); ok {
		l.unix, l.unixAt, l.dated = utc.UnixNano(), m.NS, true
		l.timeOfDay, l.hasTime = timeOfDay(utc), true
		l.rounds += l.roundsNow
	} else if t, ok := s.TimeOfDay.Get(); ok {
		l.timeOfDay, l.hasTime = t, true
	}
}

func timeOfDay(utc time.Time) time.Duration {
	const perDay = int64(day)
	n := utc.UnixNano() % perDay
	if n < 0 {
		n += perDay
	}
	return time.Duration(n)
}
