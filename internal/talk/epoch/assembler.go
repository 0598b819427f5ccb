package epoch

import (
	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// maxSources is how many sentences an epoch keeps for evidence. A receiver of one system
// needs 6 to 8; one of four says 20, most of them GSV, which give way.
const maxSources = 12

// Assembler groups sentences into epochs.
type Assembler struct {
	open    *Epoch // nil: none
	cycle   cycle
	said    said
	sky     sky
	spare   *Epoch // given back, see Recycle
	badSums int    // of the open epoch, or since the last one when none is open
	sources int    // of the last epoch
	sums    bool   // a sentence with a checksum was heard: one without is then a damaged one
}

// New returns an assembler that has heard nothing yet.
func New() *Assembler { return &Assembler{} }

// block is an epoch with room for its sources: one allocation for both. Most
// epochs of a receiver have as many sentences as the last one.
type block struct {
	Epoch
	room [maxSources]Source
}

type smallBlock struct {
	Epoch
	room [maxSources / 3]Source
}

// Add gives the assembler the next sentence, as scanned. It appends the epochs
// that this completes to out. The caller keeps s; the assembler keeps source.Text.
//
// A sentence that says nothing of an instant of measurement (a text, a heading, a
// maker's own) is passed over. So is one with a wrong checksum, which is counted.
func (a *Assembler) Add(source Source, s *nmea.Sentence, out []*Epoch) []*Epoch {
	kind := kindOf(s)
	if !a.sound(s) || kind == other {
		return out
	}
	gsv := &a.said.gsv
	if kind == gsvKind {
		_ = gsv.Decode(s) // what could not be read is not known
	}
	if a.open != nil && a.begins(kind, s, gsv) {
		out = a.close(out)
	}
	if a.open == nil {
		a.begin(source.At)
	}
	a.keep(source, kind)
	a.cycle.hear(kind, s)
	if kind == gsvKind {
		a.sky.hear(gsv, s.Talker, source.At, a.cycle.serial)
	} else {
		a.said.hear(kind, s, source.At)
	}
	return out
}

// End returns the epoch that was still open.
func (a *Assembler) End(out []*Epoch) []*Epoch {
	if a.open == nil {
		return out
	}
	return a.close(out)
}

// sound says whether a sentence may be used, and counts it when not.
func (a *Assembler) sound(s *nmea.Sentence) bool {
	a.sums = a.sums || s.SumOK()
	if s.HasSum && !s.SumOK() || !s.HasSum && a.sums {
		a.badSums++
		return false
	}
	return true
}

// Recycle takes back an epoch that nobody reads any more: its room is used for the next one.
// Who reads a year of sentences wants it; who keeps epochs must not call it.
func (a *Assembler) Recycle(e *Epoch) {
	if e != a.open {
		a.spare = e
	}
}

func (a *Assembler) begin(at when.Instant) {
	if e := a.spare; e != nil {
		a.spare = nil
		*e = Epoch{Sources: e.Sources[:0]}
		a.open = e
	} else if a.sources <= maxSources/3 {
		b := &smallBlock{}
		b.Sources = b.room[:0]
		a.open = &b.Epoch
	} else {
		b := &block{}
		b.Sources = b.room[:0]
		a.open = &b.Epoch
	}
	a.open.Began = at
	a.cycle.begin()
	a.said.clear()
}

// keep adds a source. When there is no more room a GSV gives way, the last of them.
func (a *Assembler) keep(source Source, kind kind) {
	e := a.open
	e.At = source.At
	if len(e.Sources) < maxSources {
		a.cycle.kept[len(e.Sources)] = kind
		e.Sources = append(e.Sources, source)
		return
	}
	if kind == gsvKind {
		return
	}
	for i := maxSources - 1; i >= 0; i-- {
		if a.cycle.kept[i] == gsvKind {
			copy(e.Sources[i:], e.Sources[i+1:])
			copy(a.cycle.kept[i:], a.cycle.kept[i+1:])
			e.Sources[maxSources-1], a.cycle.kept[maxSources-1] = source, kind
			return
		}
	}
}

func (a *Assembler) close(out []*Epoch) []*Epoch {
	e := a.open
	a.open = nil
	a.sources = len(e.Sources)
	e.BadSums, a.badSums = a.badSums, 0
	a.said.compose(&e.Fix, a.cycle.time, e.At)
	e.Satellites, e.SkyKnown = a.sky.view(e.At, a.cycle.time, a.cycle.serial, &a.said)
	return append(out, e)
}
