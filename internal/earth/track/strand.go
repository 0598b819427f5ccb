package track

import (
	"fmt"
	"math"
	"time"

	"firstfix/internal/earth/geo"
)

// A sighting that does not fit the last one kept may be an outlier, or the last one was. So
// it waits, with those that agree with it, as a strand. The next sighting that fits the one
// kept makes outliers of all that wait; a strand that grows long enough is believed instead.

const (
	// believed is how many sightings in a row must agree before a jump is taken for the truth:
	// the first fixes after a reflection or a gap are often poor together (common practice,
	// no source).
	believed = 5

	// firstBelieved is the same at the start, when nothing speaks against them.
	firstBelieved = 3

	// maxStrands bounds the stories that are weighed at once, maxWaiting how many sightings
	// wait for a verdict: half a minute of a receiver that speaks once a second.
	maxStrands = 3
	maxWaiting = 32
)

type strand struct {
	last  mark
	count int
	id    int8
}

// waiting is a judged sighting that may not go out yet.
type waiting struct {
	Judged
	strand int8 // whose fate it shares
	rounds int  // of the week number, as line.roundsNow said
}

const decided int8 = -1

// move judges a sighting by how it could have got there.
func (v *Sieve) move(s *Sighting, m Moment, out []Judged) []Judged {
	here := markOf(s, m)
	var why Reason
	if v.hasBase {
		if why = v.fits(&v.base, &here, s); why.Name == "" {
			out = v.flush(decided, out)
			v.keep(s, m, here)
			return append(out, Judged{Sighting: *s, Moment: m, Note: v.roundNote()})
		}
	} else {
		if why = v.against(s, here); why.Name == Duplicate {
			return v.settle(s, m, why, out)
		}
		v.start(s, m)
	}
	id := v.join(s, here)
	v.queue = append(v.queue, waiting{Judged{Sighting: *s, Moment: m, Why: why}, id, v.line.roundsNow})
	if v.long(id) {
		return v.believe(id, out)
	}
	if len(v.queue) >= maxWaiting {
		return v.decide(out)
	}
	return out
}

// against says what speaks against a sighting while nothing is believed yet: it is the same
// as one that waits, or it does not fit the first of those.
func (v *Sieve) against(s *Sighting, here mark) Reason {
	why := reason(Contradiction, "no other sighting nearby agrees with it")
	for i := range v.strands {
		last := &v.strands[i].last
		if here.moment.Known && here.moment == last.moment && s.TimeStep == 0 && stepM(last.point, here.point) <= v.noise(last, s) {
			return reason(Duplicate, "the same time and place as a sighting before")
		}
		if no := v.fits(last, &here, s); i == 0 && no.Name != "" {
			why = no
		}
	}
	return why
}

// start lets the line of moments begin before anything is believed, so that the first
// sightings have moments that compare.
func (v *Sieve) start(s *Sighting, m Moment) {
	rounds := v.line.roundsNow
	v.line.roundsNow = 0
	v.line.place(s, m)
	v.line.roundsNow = rounds
}

// join adds a sighting to the strand it fits, or begins one. It returns the strand's name.
func (v *Sieve) join(s *Sighting, here mark) int8 {
	for i := range v.strands {
		t := &v.strands[i]
		if why := v.fits(&t.last, &here, s); why.Name == "" {
			t.last = here
			t.count++
			return t.id
		}
	}
	if len(v.strands) == maxStrands {
		v.strands = v.strands[:copy(v.strands, v.strands[1:])]
	}
	id := int8(0)
	for v.inQueue(id) { // every strand has somebody there
		id++
	}
	v.strands = append(v.strands, strand{last: here, count: 1, id: id})
	return id
}

func (v *Sieve) inQueue(id int8) bool {
	for i := range v.queue {
		if v.queue[i].strand == id {
			return true
		}
	}
	return false
}

func (v *Sieve) long(id int8) bool {
	need := believed
	if !v.hasBase {
		need = firstBelieved
	}
	for i := range v.strands {
		if v.strands[i].id == id {
			return v.strands[i].count >= need
		}
	}
	return false
}

// keep takes a sighting as the one that the next is compared with.
func (v *Sieve) keep(s *Sighting, m Moment, here mark) {
	if here.point == v.base.point && v.hasBase && here.told && m.Known && v.base.moment.Known {
		v.frozenM += here.speedMPS * m.Sub(v.base.moment).Seconds()
	} else {
		v.frozenM = 0
	}
	v.line.place(s, m)
	v.base, v.hasBase = here, true
	copy(v.recent[1:], v.recent[:recentMarks-1])
	v.recent[0] = here
	v.recents = min(v.recents+1, recentMarks)
}

// flush lets go all that waits: the strand named is kept, the others are set apart.
func (v *Sieve) flush(kept int8, out []Judged) []Judged {
	if len(v.queue) == 0 {
		return out
	}
	for i := range v.queue {
		w := &v.queue[i]
		if w.strand == kept && kept != decided {
			w.Why = Reason{}
		}
		out = append(out, w.Judged)
	}
	v.queue, v.strands = v.queue[:0], v.strands[:0]
	return out
}

// believe keeps a strand. Where the clock was set back with it, its moments move so that
// the line of time goes on: how long that took is then only known from the recording's clock.
func (v *Sieve) believe(id int8, out []Judged) []Judged {
	first, shift := true, int64(0)
	for i := range v.queue {
		w := &v.queue[i]
		if w.strand != id {
			continue
		}
		v.line.roundsNow = 0
		if first {
			v.line.roundsNow = w.rounds // the others of the strand follow the first
			if w.Moved = v.hasBase; w.Moved {
				w.Note = "believed after " + fmt.Sprint(believed) + " in a row: " + w.Why.Text
			}
			if v.hasBase && w.Moment.Known && v.base.moment.Known && w.Moment.NS < v.base.moment.NS {
				shift = v.base.moment.NS - w.Moment.NS
				if w.Timed && v.base.timed {
					shift += max(0, int64(w.At)-v.base.at)
				}
			}
			first = false
		}
		if w.Moment.Known {
			w.Moment.NS += shift
		}
		v.keep(&w.Sighting, w.Moment, markOf(&w.Sighting, w.Moment))
	}
	v.line.roundsNow = 0
	return v.flush(id, out)
}

// decide settles what has waited too long: at the start the longest story is kept, if one is
// longer than the others; later none is.
func (v *Sieve) decide(out []Judged) []Judged {
	if v.hasBase {
		return v.flush(decided, out)
	}
	best, tie := -1, false
	for i := range v.strands {
		switch {
		case best < 0 || v.strands[i].count > v.strands[best].count:
			best, tie = i, false
		case v.strands[i].count == v.strands[best].count:
			tie = true
		}
	}
	if best < 0 || tie {
		return v.flush(decided, out)
	}
	return v.believe(v.strands[best].id, out)
}

// End lets go what still waits.
func (v *Sieve) End(out []Judged) []Judged { return v.decide(out) }

// Rounds says by how many rounds of 1024 weeks the dates changed within the track.
func (v *Sieve) Rounds() int { return v.line.rounds }

func (v *Sieve) roundNote() string {
	if v.line.roundsNow == 0 {
		return ""
	}
	return "here the date changes by 1024 weeks while the time of day goes on"
}

// fits says why a sighting cannot follow a mark; the zero Reason when it can.
func (v *Sieve) fits(from, to *mark, s *Sighting) Reason {
	if !from.moment.Known || !to.moment.Known {
		return Reason{}
	}
	span := to.moment.Sub(from.moment)
	if span < -s.TimeStep {
		return Reason{Backwards, "its time is " + short(-span) + " before that of the sighting before it", sourceOf(Backwards)}
	}
	seconds := max(0, span+s.TimeStep).Seconds()
	if atMostM(from.point, to.point) <= unknownNoiseM {
		return Reason{}
	}
	way := stepM(from.point, to.point)
	may := v.reach(from, to, seconds)
	if limit := may + v.noise(from, s); way <= limit {
		return Reason{}
	}
	if seconds == 0 {
		return Reason{Contradiction, "at the same time " + geo.FormatMetres(way) + " from the sighting before it", sourceOf(Contradiction)}
	}
	return Reason{Jump, jumpWords(way, may, span, from, to), sourceOf(Jump)}
}

// reach is how far the device can have gone: with the speeds told at both ends and the
// acceleration allowed, at most v̄t + at²/4; never more than the greatest speed gives.
func (v *Sieve) reach(from, to *mark, seconds float64) float64 {
	top := v.limits.MaxSpeedMPS
	if from.told && to.told {
		// Both ends say that it is faster than we thought possible: believe them.
		top = max(top, 1.2*min(from.speedMPS, to.speedMPS))
		mean := (from.speedMPS + to.speedMPS) / 2
		return math.Min(top*seconds, mean*seconds+v.limits.MaxAccelMPS2*seconds*seconds/4)
	}
	return top * seconds
}

func jumpWords(way, may float64, span time.Duration, from, to *mark) string {
	text := fmt.Sprintf("%s in %s", geo.FormatMetres(way), short(span))
	if span > 0 {
		text += fmt.Sprintf(": %.0f m/s", way/span.Seconds())
	}
	if from.told && to.told {
		text += fmt.Sprintf(", while the speed says %.1f m/s", max(from.speedMPS, to.speedMPS))
	}
	return text + fmt.Sprintf("; it can have gone %s", geo.FormatMetres(may))
}
