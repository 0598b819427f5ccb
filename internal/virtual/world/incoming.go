package world

import (
	"firstfix/internal/when"
)

// Incoming is what comes from outside: texts, calls and broadcasts of the cell.
type Incoming struct {
	Texts      []IncomingText `yaml:"texts"`
	Calls      []IncomingCall `yaml:"calls"`
	Broadcasts []Broadcast    `yaml:"broadcasts"`
}

// Times is when something comes: at at_s, and with every_s again and again,
// later each time by up to jitter_s; with count no more often than that.
type Times struct {
	AtS     float64 `yaml:"at_s"`
	EveryS  float64 `yaml:"every_s"` // 0: once
	JitterS float64 `yaml:"jitter_s"`
	Count   int     `yaml:"count"` // 0: without end
}

// IncomingText is a text for this module.
type IncomingText struct {
	Times  `yaml:",inline"`
	From   string  `yaml:"from"` // a number, or a name
	Text   string  `yaml:"text"`
	Coding string  `yaml:"coding"` // one of TextCodings
	Flash  bool    `yaml:"flash"`  // class 0: to be shown at once, not to be kept
	AgeS   float64 `yaml:"age_s"`  // how long the service centre has had it
}

// IncomingCall is a call for this module.
type IncomingCall struct {
	Times `yaml:",inline"`
	From  string  `yaml:"from"`
	ForS  float64 `yaml:"for_s"` // how long the caller waits
}

// Broadcast is a message that a cell sends to all.
type Broadcast struct {
	Times  `yaml:",inline"`
	Number int    `yaml:"number"` // its message identifier, 3GPP TS 23.041 clause 9.4.1.2.2
	Text   string `yaml:"text"`
}

// TextCodings are how an incoming text may be written; "" goes by its letters.
var TextCodings = []string{"", "gsm", "ucs2", "data"}

// ArrivalKind is what arrives.
type ArrivalKind uint8

// The kinds of arrival.
const (
	TextArrives ArrivalKind = iota
	CallArrives
	BroadcastArrives
)

// An Arrival is one text, call or broadcast that comes to the module.
type Arrival struct {
	At     when.Instant // for a fault's: how long after it comes on
	Kind   ArrivalKind
	From   string
	Text   string
	Coding string
	Flash  bool
	AgeS   float64
	ForS   float64 // of a call
	Number int     // of a broadcast
}

// nth is when something comes for the n-th time, counted from 0; false when it
// comes no more.
func (t *Times) nth(n uint64, seed uint64) (when.Instant, bool) {
	if t.EveryS == 0 && n > 0 || t.Count > 0 && n >= uint64(t.Count) {
		return 0, false
	}
	return instant(t.AtS+float64(n)*t.EveryS) + instant(t.JitterS*chance(seed, n)), true
}

// following is the first time later than after; [when.Never] when there is none.
func (t *Times) following(after when.Instant, seed uint64) when.Instant {
	n := uint64(0)
	if t.EveryS > 0 && after > instant(t.AtS) {
		// The jitter is never longer than a period: the one before may still be to come.
		n = uint64(max(int64((after-instant(t.AtS))/max(instant(t.EveryS), 1))-1, 0))
	}
	for {
		at, ok := t.nth(n, seed)
		if !ok {
			return when.Never
		}
		if at > after {
			return at
		}
		n++
	}
}

// The seeds of what comes in are apart from those of the faults.
const (
	seedTexts      = 1000
	seedCalls      = 3000
	seedBroadcasts = 5000
)

// Arrivals appends what comes to the module later than after and not later than
// now, in order of time, and says when it wants to be asked again. after is
// negative for the first time.
func (l *Life) Arrivals(after, now when.Instant, out []Arrival) (due []Arrival, next when.Instant) {
	next = when.Never
	begun := len(out)
	take := func(t *Times, seed uint64, a Arrival) {
		for from := after; ; from = a.At {
			a.At = t.following(from, l.seed+seed)
			if a.At > now {
				next = min(next, a.At)
				return
			}
			out = append(out, a)
		}
	}
	in := &l.world.Incoming
	for i := range in.Texts {
		t := &in.Texts[i]
		take(&t.Times, seedTexts+uint64(i), Arrival{Kind: TextArrives, From: t.From, Text: t.Text, Coding: t.Coding, Flash: t.Flash, AgeS: t.AgeS})
	}
	for i := range in.Calls {
		c := &in.Calls[i]
		take(&c.Times, seedCalls+uint64(i), Arrival{Kind: CallArrives, From: c.From, ForS: c.ForS})
	}
	for i := range in.Broadcasts {
		b := &in.Broadcasts[i]
		take(&b.Times, seedBroadcasts+uint64(i), Arrival{Kind: BroadcastArrives, Text: b.Text, Number: b.Number})
	}
	for i, f := range l.faults {
		if f != nil && f.Arrives != nil {
			var again when.Instant
			out, again = l.brought(i, after, now, out)
			next = min(next, again)
		}
	}
	sortArrivals(out[begun:])
	return out, next
}

// brought is what a fault brings each time it comes on.
func (l *Life) brought(i int, after, now when.Instant, out []Arrival) (due []Arrival, next when.Instant) {
	s, f := &l.world.Faults[i], l.faults[i]
	for at := max(after, 0); ; {
		w := l.state(s, at, l.seed+uint64(i))
		if w.on && w.since > after && w.since <= now {
			for _, a := range f.Arrives(s.Params, w.number) {
				a.At += w.since
				out = append(out, a)
			}
		}
		if w.change > now {
			return out, w.change
		}
		at = w.change
	}
}

// sortArrivals orders a few arrivals by time; those of one instant keep their order.
func sortArrivals(a []Arrival) {
	for i := 1; i < len(a); i++ {
		for k := i; k > 0 && a[k].At < a[k-1].At; k-- {
			a[k], a[k-1] = a[k-1], a[k]
		}
	}
}
