package epoch

import (
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/wire/nmea"
)

// kind is a type of sentence that speaks of an instant of measurement.
type kind uint8

const (
	other kind = iota
	rmcKind
	ggaKind
	gnsKind
	gllKind
	vtgKind
	zdaKind
	gstKind
	gbsKind
	grsKind
	gsaKind
	gsvKind
	kinds
)

func kindOf(s *nmea.Sentence) kind {
	if s.IsMakers() {
		return other
	}
	switch s.Type {
	case "RMC":
		return rmcKind
	case "GGA":
		return ggaKind
	case "GNS":
		return gnsKind
	case "GLL":
		return gllKind
	case "VTG":
		return vtgKind
	case "ZDA":
		return zdaKind
	case "GST":
		return gstKind
	case "GBS":
		return gbsKind
	case "GRS":
		return grsKind
	case "GSA":
		return gsaKind
	case "GSV":
		return gsvKind
	}
	return other
}

// timeFields is where each kind has its time; 0: it has none.
var timeFields = [kinds]int{rmcKind: 1, ggaKind: 1, gnsKind: 1, gllKind: 5, zdaKind: 1, gstKind: 1, gbsKind: 1, grsKind: 1}

// talker is the two letters of a talker, as a number that keeps no text alive.
type talker uint16

func talkerOf(s string) talker {
	if len(s) < 2 {
		return 0
	}
	return talker(s[0])<<8 | talker(s[1])
}

const combined talker = 'G'<<8 | 'N'

// cycle is what the open epoch has heard: it decides what still belongs to it.
type cycle struct {
	serial int // of the epoch, from 1
	time   maybe.Value[time.Duration]
	loose  bool // time comes from a ZDA and gives way to that of any other
	last   kind
	run    int // GSA sentences one after the other
	heard  [kinds]talkers
	gsa    [maxGSA]gsaKey
	gsas   int
	kept   [maxSources]kind // of the sources
}

// maxGSA is how many GSA an epoch has at most: six systems, twice for those that
// say GN and GP.
const maxGSA = 12

type gsaKey struct {
	talker talker
	system byte // as written; 0: not said
}

// talkers are those that said one kind. A fifth talker of one kind begins an epoch: no
// receiver known has more than one for each of its systems that it says alone.
type talkers struct {
	list  [4]talker
	count int
}

func (t *talkers) has(who talker) bool {
	for i := range t.count {
		if t.list[i] == who {
			return true
		}
	}
	return t.count == len(t.list)
}

func (c *cycle) begin() {
	*c = cycle{serial: c.serial + 1}
}

// begins says whether a sentence begins a new epoch: it has another time than the open
// one, or it repeats what that one has.
func (a *Assembler) begins(kind kind, s *nmea.Sentence, gsv *nmea.GSV) bool {
	c := &a.cycle
	switch kind {
	case gsvKind:
		return a.sky.repeats(gsv, s.Talker, c.serial)
	case gsaKind:
		return c.repeatsGSA(s)
	}
	if c.heard[kind].has(talkerOf(s.Talker)) {
		return true
	}
	if n := timeFields[kind]; n > 0 {
		if t, ok := s.Clock(n); ok {
			return c.otherTime(kind, t)
		}
	}
	return false
}

// otherTime says whether t is another instant than the open one. Some receivers tell in
// ZDA when they send it: within the same second that is no other instant.
func (c *cycle) otherTime(kind kind, t time.Duration) bool {
	open, known := c.time.Get()
	if !known || t == open {
		return false
	}
	sameSecond := t/time.Second == open/time.Second
	return !(sameSecond && (kind == zdaKind || c.loose))
}

// repeatsGSA: there is one GSA for each system. Before version 4.10 they do not name it, and
// those of one talker GN come in a row.
func (c *cycle) repeatsGSA(s *nmea.Sentence) bool {
	key := gsaKeyOf(s)
	if c.gsas == maxGSA {
		return true
	}
	for _, had := range c.gsa[:c.gsas] {
		if had == key {
			const systems = 6
			inRow := c.last == gsaKind && c.run < systems
			return !(key.talker == combined && key.system == 0 && inRow)
		}
	}
	return false
}

func gsaKeyOf(s *nmea.Sentence) gsaKey {
	key := gsaKey{talker: talkerOf(s.Talker)}
	if id := s.Field(18); len(id) == 1 {
		key.system = id[0]
	}
	return key
}

// hear notes a sentence that belongs to the open epoch.
func (c *cycle) hear(kind kind, s *nmea.Sentence) {
	who := talkerOf(s.Talker)
	if h := &c.heard[kind]; !h.has(who) {
		h.list[h.count] = who
		h.count++
	}
	c.run++
	if c.last != gsaKind || kind != gsaKind {
		c.run = 1
	}
	c.last = kind
	if kind == gsaKind && c.gsas < maxGSA {
		c.gsa[c.gsas] = gsaKeyOf(s)
		c.gsas++
	}
	if n := timeFields[kind]; n > 0 && (!c.time.IsKnown() || c.loose) {
		if t, ok := s.Clock(n); ok {
			c.time, c.loose = maybe.Known(t), kind == zdaKind
		}
	}
}
