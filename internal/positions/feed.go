package positions

import (
	"strconv"
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// feed turns sentences into sightings: one for each epoch that speaks of a position, and one
// for each damaged sentence of an epoch that lost its position by it.
type feed struct {
	name   string
	timed  bool
	began  maybe.Value[time.Time] // the recording's clock at instant zero
	epochs *epoch.Assembler
	done   []*epoch.Epoch
	s      nmea.Sentence

	into    *track.Sighting // where the next sighting is wanted; nil: in ready
	ready   []track.Sighting
	next    int
	damaged []damaged // since the last epoch
	last    lastFix
	skipped int // damaged sentences whose epochs had a position all the same
	cut     int // damaged sentences beyond maxDamaged
	broken  int // texts that begin like a sentence and are none
	guesses int

	decimals int // of a minute, as the sentences write it
	looked   int
	young    bool // the last RMC had a form of version 4.1
}

// damaged is a sentence with a wrong checksum.
type damaged struct {
	origin track.Origin
	at     when.Instant
	text   string
}

// lastFix is the last fix that the receiver stood by.
type lastFix struct {
	point geo.Point
	time  maybe.Value[time.Duration]
	known bool
}

// maxDamaged bounds the damaged sentences held for one epoch. Of a line at a wrong speed
// every sentence is damaged.
const maxDamaged = 4

// young41 is version 4.1 of the standard, which gave RMC its thirteenth field.
var young41 = track.Birth{Date: time.Date(2012, time.January, 1, 0, 0, 0, 0, time.UTC), Why: "RMC with a navigational status, NMEA 0183 version 4.1 (of 2012, from memory)"}

func newFeed(name string) *feed { return &feed{name: name, epochs: epoch.New()} }

// wanted are the sentences that speak of a position or its quality. The others, most of
// all GSV, are not even scanned.
func wanted(kind string) bool {
	switch kind {
	case "RMC", "GGA", "GNS", "GLL", "VTG", "ZDA", "GSA":
		return true
	}
	return false
}

// places are the sentences that have a position.
func places(kind string) bool {
	switch kind {
	case "RMC", "GGA", "GNS", "GLL":
		return true
	}
	return false
}

// sentence takes a text that begins with "$". The text must not change afterwards.
func (f *feed) sentence(text string, record, line int, at when.Instant) {
	if len(text) > 6 && text[0] == '$' && text[1] != 'P' && !wanted(text[3:6]) {
		return
	}
	err := nmea.Scan(text, &f.s)
	if err != nil && len(f.s.Type) != 3 {
		f.broken++
		return
	}
	if f.s.HasSum && !f.s.SumOK() {
		f.hurt(text, record, line, at)
		return
	}
	if err != nil && !f.s.HasSum && places(f.s.Type) {
		f.broken++ // half a sentence: what is left of it may read as another place
		return
	}
	f.done = f.epochs.Add(epoch.Source{Record: record, SourceLine: line, At: at, Text: text}, &f.s, f.done[:0])
	f.finish()
	if f.s.Type == "RMC" {
		f.young = f.s.Count >= 13
	}
}

// hurt holds a damaged sentence until its epoch is over.
func (f *feed) hurt(text string, record, line int, at when.Instant) {
	if !places(f.s.Type) {
		return
	}
	if len(f.damaged) >= maxDamaged {
		f.cut++
		return
	}
	f.damaged = append(f.damaged, damaged{f.origin(record, line, "sentence"), at, text})
}

func (f *feed) origin(record, line int, what string) track.Origin {
	return track.Origin{File: f.name, Record: record, Line: line, What: what}
}

// end finishes what is open.
func (f *feed) end() {
	f.done = f.epochs.End(f.done[:0])
	f.finish()
	f.release(nil)
}

func (f *feed) finish() {
	for _, e := range f.done {
		f.epoch(e)
		f.epochs.Recycle(e)
	}
}

// epoch makes a sighting of an epoch that speaks of a position.
func (f *feed) epoch(e *epoch.Epoch) {
	source := -1
	for i := range e.Sources {
		if kind := kindOf(e.Sources[i].Text); places(kind) {
			source = i
			f.grain(kind, e.Sources[i].Text)
			break
		}
	}
	f.release(e)
	if source < 0 {
		return
	}
	from := &e.Sources[source]
	s := f.into
	if s != nil && len(f.ready) == 0 {
		f.into = nil
	} else {
		f.ready = append(f.ready, track.Sighting{})
		s = &f.ready[len(f.ready)-1]
	}
	*s = track.Sighting{Fix: e.Fix, From: f.origin(from.Record, from.SourceLine, "sentences")}
	f.clock(s)
	if f.decimals > 0 {
		s.StepDeg = minuteSteps[f.decimals]
	}
	if f.young {
		s.Born = &young41
	}
	if p, ok := e.Fix.Point.Get(); ok && e.Fix.Valid && p.Valid() {
		f.last = lastFix{p, e.Fix.TimeOfDay, true}
	}
}

// clock puts the recording's clock to a sighting.
func (f *feed) clock(s *track.Sighting) {
	s.Timed = f.timed
	if began, ok := f.began.Get(); ok && f.timed {
		s.Wall = maybe.Known(began.Add(time.Duration(s.At)))
	}
}

// kindOf is the type of a scanned sentence.
func kindOf(text string) string {
	if at := strings.IndexByte(text, '$'); at >= 0 && len(text) > at+6 {
		return text[at+3 : at+6]
	}
	return ""
}

// grainLooks is how many epochs are looked at for the decimals of their minutes: a receiver
// does not change them.
const grainLooks = 64

// minuteSteps is the worth in degrees of a last digit, by the decimals of a minute.
var minuteSteps = [...]float64{1.0 / 60, 0.1 / 60, 0.01 / 60, 1e-3 / 60, 1e-4 / 60, 1e-5 / 60, 1e-6 / 60, 1e-7 / 60, 1e-8 / 60}

func (f *feed) grain(kind, text string) {
	if f.looked >= grainLooks {
		return
	}
	f.looked++
	field := 2 // GGA, GNS: time, latitude
	switch kind {
	case "RMC":
		field = 3
	case "GLL":
		field = 1
	}
	for range field {
		_, text, _ = strings.Cut(text, ",")
	}
	lat, _, _ := strings.Cut(text, ",")
	if dot := strings.IndexByte(lat, '.'); dot >= 0 {
		f.decimals = max(f.decimals, min(len(lat)-dot-1, len(minuteSteps)-1))
	}
}

// release tells of the damaged sentences that stand before an epoch: one whose epoch has a
// position all the same is only counted. Those behind its beginning may belong to the next
// epoch and wait for it. At the end, without an epoch, all are told.
func (f *feed) release(e *epoch.Epoch) {
	kept := f.damaged[:0]
	for i := range f.damaged {
		d := &f.damaged[i]
		switch {
		case e != nil && e.Fix.Valid && sameEpoch(d.text, e.Fix.TimeOfDay):
			f.skipped++
			continue
		case e != nil && len(e.Sources) > 0 && d.origin.Record >= e.Sources[0].Record:
			kept = append(kept, *d)
			continue
		}
		s := track.Sighting{From: d.origin, Guess: f.repair(d.text)}
		s.At = d.at
		s.From.Text = strings.Clone(d.text)
		f.clock(&s)
		f.ready = append(f.ready, s)
	}
	f.damaged = kept
}

// sameEpoch: the time of a damaged sentence, where it survived, is that of the epoch.
func sameEpoch(text string, at maybe.Value[time.Duration]) bool {
	t, ok := at.Get()
	if !ok {
		return false
	}
	var s nmea.Sentence
	_ = nmea.Scan(text, &s)
	field := 1
	if s.Type == "GLL" {
		field = 5
	}
	said, ok := s.Clock(field)
	return ok && said == t
}

// take hands out the next sighting that is ready, or notes where one is wanted: the next
// epoch is written there, unless others come before it. Then into is nil again.
func (f *feed) take(s *track.Sighting) bool {
	if f.next >= len(f.ready) {
		f.ready, f.next = f.ready[:0], 0
		f.into = s
		return false
	}
	*s = f.ready[f.next]
	f.next++
	return true
}

// passed says what was passed over.
func (f *feed) passed() (list []string) {
	if f.skipped > 0 {
		list = append(list, count(f.skipped, "damaged sentence", "damaged sentences")+" whose position other sentences gave too")
	}
	if f.cut > 0 {
		list = append(list, count(f.cut, "damaged sentence", "damaged sentences")+" one after the other")
	}
	if f.broken > 0 {
		list = append(list, count(f.broken, "piece", "pieces")+" of sentences")
	}
	return list
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
