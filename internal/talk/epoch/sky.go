package epoch

import (
	"slices"
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// maxSets is how many sets of GSV are kept: seven talkers with four signals each.
// seen.merged has a bit for each.
const maxSets = 28

// maxSetSatellites is how many satellites one set holds: nine sentences of four, the most
// that the one-digit numbers of a set allow.
const maxSetSatellites = 36

// keepSky is how long a whole set stands for later epochs: some receivers say
// GSV only every fifth second. Our estimate.
const keepSky = 10 * time.Second

// sky collects the GSV sentences into sets, one for each talker and signal. A set may be
// spread over several epochs.
type sky struct {
	sets  []set
	round int // raised when a set comes whole for the second time in it

	scratch []Satellite

	sentences int  // GSV heard so far
	last      seen // what view returned last
}

// seen is a view of the sky and what it was made of. Ten epochs a second with one
// GSV a second have the same view: they share it.
type seen struct {
	view      []Satellite
	known     bool
	sentences int
	merged    uint32 // which sets, a bit for each
	used      []usedSatellite
}

type set struct {
	talker talker
	signal int // -1: not said

	coming  []Satellite // of the set that is being said
	next    int         // number of its sentence that is expected; 0: none
	began   int         // serial of the epoch in which it began
	heard   int         // serial of the epoch in which it was heard last,
	highest int         // and the highest number in it

	whole   []Satellite // of the last set that came whole
	known   bool        // there is one
	wholeIn int         // serial of the epoch in which it came whole,
	inOne   bool        // and it began in the same
	at      when.Instant
	time    maybe.Value[time.Duration] // of that epoch
	round   int
}

// young says that the set may still stand for an epoch at this time. Of a capture without
// times the instants say nothing, so both clocks must agree.
func (s *set) young(at when.Instant, timeOfDay maybe.Value[time.Duration]) bool {
	then, known1 := s.time.Get()
	now, known2 := timeOfDay.Get()
	apart := (now - then).Abs()
	return at.Sub(s.at) <= keepSky && (!known1 || !known2 || min(apart, 24*time.Hour-apart) <= keepSky)
}

// find returns the set of a sentence; nil for none yet.
func (k *sky) find(g *nmea.GSV, who string) *set {
	talker, signal := talkerOf(who), g.SignalID.Or(-1)
	for i := range k.sets {
		if s := &k.sets[i]; s.talker == talker && s.signal == signal {
			return s
		}
	}
	return nil
}

// repeats says that the sentence repeats a number that its set had in this epoch.
func (k *sky) repeats(g *nmea.GSV, who string, serial int) bool {
	s := k.find(g, who)
	return s != nil && s.heard == serial && g.Number.Or(1) <= s.highest
}

// hear takes in a sentence of the epoch with this serial.
func (k *sky) hear(g *nmea.GSV, who string, at when.Instant, serial int) {
	k.sentences++
	s := k.find(g, who)
	if s == nil {
		s = k.add(set{talker: talkerOf(who), signal: g.SignalID.Or(-1)})
	}
	number, total := g.Number.Or(1), g.Total.Or(1)
	if s.heard != serial {
		s.heard, s.highest = serial, 0
	}
	s.highest = max(s.highest, number)
	switch {
	case number <= 1:
		s.coming, s.next, s.began = s.coming[:0], 1, serial
		number = 1
	case number != s.next:
		s.next = 0 // a sentence is missing: the rest is no set
		return
	}
	for i := range g.Seen() {
		v := &g.Satellites[i]
		if len(s.coming) < maxSetSatellites {
			s.coming = append(s.coming, Satellite{v.ID, v.ElevationDeg, v.AzimuthDeg, v.CN0DBHz, systemOf(nmea.SystemOf(who, 0, v.ID)), false})
		}
	}
	s.next = number + 1
	if number >= total {
		k.complete(s, at, serial)
	}
}

// add makes room for a set; when there is none, the one heard longest ago gives way.
func (k *sky) add(s set) *set {
	if len(k.sets) < maxSets {
		k.sets = append(k.sets, s)
		return &k.sets[len(k.sets)-1]
	}
	oldest := 0
	for i := range k.sets {
		if k.sets[i].heard < k.sets[oldest].heard {
			oldest = i
		}
	}
	k.sets[oldest] = s
	return &k.sets[oldest]
}

func (k *sky) complete(s *set, at when.Instant, serial int) {
	if s.known && s.round == k.round {
		k.round++
	}
	s.whole, s.coming = s.coming, s.whole[:0]
	s.known, s.wholeIn, s.inOne, s.at, s.round = true, serial, s.began == serial, at, k.round
	s.next = 0
}

// view is the sky of an epoch, and whether it is known: the sets that came whole in it;
// where none did, those of the last round, if they are young enough. When there is no such
// set either, it is what was heard of broken ones in this epoch, and not known.
func (k *sky) view(at when.Instant, timeOfDay maybe.Value[time.Duration], serial int, d *said) (view []Satellite, known bool) {
	fresh := false
	for i := range k.sets {
		s := &k.sets[i]
		if s.known && s.wholeIn == serial {
			s.time = timeOfDay
			fresh = fresh || s.inOne
		}
	}
	counts := func(s *set) bool {
		if fresh {
			return s.known && s.wholeIn == serial
		}
		return s.known && s.round >= k.round-1 && s.young(at, timeOfDay)
	}
	var merged uint32
	for i := range k.sets {
		if counts(&k.sets[i]) {
			merged |= 1 << i
		}
	}
	if known = merged != 0; !known {
		for i := range k.sets {
			if k.sets[i].heard == serial {
				merged |= 1 << i
			}
		}
	}
	if l := &k.last; l.sentences == k.sentences && l.merged == merged && l.known == known && slices.Equal(l.used, d.used) {
		return l.view, known
	}
	view = k.make(merged, known)
	d.markUsed(view)
	k.last = seen{view, known, k.sentences, merged, append(k.last.used[:0], d.used...)}
	return view, known
}

// make puts sets together: what came whole of them, or what is coming.
func (k *sky) make(merged uint32, whole bool) []Satellite {
	k.scratch = k.scratch[:0]
	for i := range k.sets {
		switch {
		case merged&(1<<i) == 0:
		case whole:
			k.merge(k.sets[i].whole)
		default:
			k.merge(k.sets[i].coming)
		}
	}
	if len(k.scratch) == 0 {
		return nil
	}
	return append([]Satellite(nil), k.scratch...)
}

// merge adds satellites to the scratch; of one that is there already, mostly by another
// signal, it keeps the better C/N0.
func (k *sky) merge(list []Satellite) {
	for i := range list {
		if old := find(k.scratch, &list[i]); old != nil {
			old.better(&list[i])
		} else {
			k.scratch = append(k.scratch, list[i])
		}
	}
}

func find(list []Satellite, v *Satellite) *Satellite {
	for i := range list {
		if list[i].ID == v.ID && list[i].System == v.System {
			return &list[i]
		}
	}
	return nil
}

func (v *Satellite) better(w *Satellite) {
	if mine, ok := v.CN0DBHz.Get(); !ok || w.CN0DBHz.Or(mine) > mine {
		v.CN0DBHz = w.CN0DBHz
	}
	v.ElevationDeg = first(v.ElevationDeg, w.ElevationDeg)
	v.AzimuthDeg = first(v.AzimuthDeg, w.AzimuthDeg)
}

// markUsed marks the satellites that a GSA of the epoch names.
func (d *said) markUsed(view []Satellite) {
	for i := range view {
		v := &view[i]
		for _, u := range d.used {
			if u.id == v.ID && (u.system == v.System || u.system == 0) {
				v.Used = true
				break
			}
		}
	}
}
