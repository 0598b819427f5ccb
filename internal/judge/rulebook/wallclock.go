package rulebook

import (
	"time"

	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// WallClock knows what time it was when something was said, by the best clock
// that the dialogue shows.
type WallClock struct {
	p        *Pass
	gnss     time.Time // the wall clock at instant zero, by the receiver
	module   time.Time // the same by +CCLK
	recorder time.Time // the same by the capture's own beginning
}

// oldestClock: a clock that shows an earlier year was never set (our estimate:
// the receivers and modules this is written for are younger).
const oldestClock = 2020

// WatchClock returns what follows the clocks of the dialogue.
func (p *Pass) WatchClock() *WallClock {
	c := &WallClock{p: p}
	if began, err := time.Parse(time.RFC3339, p.Info().Began); err == nil {
		c.recorder = began
	}
	p.OnEpoch(func(e *epoch.Epoch) {
		if utc, ok := e.Fix.UTC.Get(); ok && e.Fix.Valid && utc.Year() >= oldestClock {
			c.gnss = utc.Add(-time.Duration(e.At))
		}
	})
	p.OnInfo("+CCLK", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		if t, ok := ReadClock(a); ok && t.Year() >= oldestClock {
			c.module = t.Add(-time.Duration(l.Began))
		}
	})
	return c
}

// ReadClock reads an answer of +CCLK, "yy/MM/dd,hh:mm:ss±zz" with the zone in
// quarters of an hour (3GPP TS 27.007, 8.15). Years from 70 on are of the last century.
func ReadClock(a at.Answer) (time.Time, bool) {
	stamp, ok := sms.ParseTextMode(Text(a.Params, 0))
	if !ok {
		return time.Time{}, false
	}
	t, ok := stamp.Time()
	if ok && t.Year() >= 2070 {
		t = t.AddDate(-100, 0, 0)
	}
	return t, ok
}

// At returns the time at an instant and the clock that says so; ok is false when
// no clock is known, or when the times of the records mean nothing.
func (c *WallClock) At(at when.Instant) (now time.Time, by string, ok bool) {
	if !c.p.TimesKnown() {
		return now, "", false
	}
	for _, s := range [...]struct {
		zero time.Time
		by   string
	}{{c.gnss, "the receiver"}, {c.module, "+CCLK"}, {c.recorder, "the recording"}} {
		if !s.zero.IsZero() {
			return s.zero.Add(time.Duration(at)), s.by, true
		}
	}
	return now, "", false
}
