// Package track says what the positions of a moving device amount to: which of them
// may be believed, how far and how fast it went, where it stood, and where nothing was heard.
//
// # What it promises
//
// Nothing is thrown away silently: a sighting is kept, or it is set apart with a
// [Reason]. What is set apart never counts in a figure. All distances are on the ellipsoid.
// Every machine here streams: it holds a bounded amount, whatever the length of the
// track, and reads no clock.
//
// # What it leaves to others
//
// Reading and writing files is the work of earth/trackfile, drawing that of earth/trackmap.
// How well a still antenna does is told by earth/fix.
//
// # Where to start
//
// Read [Sighting]; then [Sieve.Add], which judges, [Pacer.Add], which finds the gaps, and
// [Meter.Add], which counts. [Simplifier], [Guard] and [ClockWatch] take what comes behind them.
package track

import (
	"time"

	"firstfix/internal/earth/fix"
	"firstfix/internal/maybe"
)

// A Sighting is one position that a file tells of, with the place where it tells it.
// Fix.At is when it was heard; it means something only with Timed.
type Sighting struct {
	fix.Fix
	Timed bool                   // Fix.At is a real time and not only an order
	Wall  maybe.Value[time.Time] // the recording's own clock when it was heard
	From  Origin

	HeightM maybe.Value[float64] // above the ellipsoid, where a file tells only that

	Born *Birth // the form of what says it did not exist before; nil: nothing to say

	Break    bool          // the file itself begins a new piece of track here
	Told     bool          // somebody's words and not the receiver's: a text, a link
	Odd      string        // why it cannot be a position at all: "latitude 95.1"; "" when it can
	Guess    string        // it was repaired out of damaged bytes, and how; "" when it was not
	StepDeg  float64       // worth of the last digit as written; 0 when not known
	TimeStep time.Duration // how coarse the time is written: a minute for a table without seconds
}

// EllipsoidM is the height above the ellipsoid, as told or as the sum of altitude and geoid.
func (s *Sighting) EllipsoidM() maybe.Value[float64] {
	if s.HeightM.IsKnown() {
		return s.HeightM
	}
	return s.EllipsoidHeightM()
}

// A Birth is the earliest date of a way to write positions. A fix that claims to be older
// has a wrong date.
type Birth struct {
	Date time.Time
	Why  string
}

// An Origin is where a sighting stands.
type Origin struct {
	File   string
	Line   int    // of the file, from 1; 0 when it has no lines
	Record int    // the record, row or point in the file, from 1
	What   string // "sentences", "text", "link", "track point", "row"…
	Text   string // the part that says it, as written; "" when it is not kept
}

// A Source gives the sightings of one file in order.
type Source interface {
	// Next fills in the next sighting; io.EOF at the end. Another error means that the
	// rest of the file cannot be read: what came before it stands.
	Next(s *Sighting) error
	// About says what the file is. It may gain assumptions while it is read; ask again at the end.
	About() About
}

// About is what is known of a file as a whole.
type About struct {
	File    string   `json:"file"`
	Kind    string   `json:"kind"`    // "GPX", "sentences", "capture"…
	Assumed []string `json:"assumed"` // what its reader had to assume, in sentences
	Passed  []string `json:"passed"`  // what was passed over, and how much of it
}

// A Reason is why a sighting was set apart. The zero Reason: it was not.
type Reason struct {
	Name   string // "void", "jump"…; stable
	Text   string // this one's case, in words
	Source string // where the demand comes from
}

// IsZero says that the sighting was kept.
func (r *Reason) IsZero() bool { return r.Name == "" }

// Judged is a sighting with what the sieve made of it.
type Judged struct {
	Sighting
	Why    Reason
	Moment Moment
	Moved  bool   // kept, but it does not join the one before: a jump that was believed in the end
	Note   string // what to know of a sighting that was kept
	Gap    string // why its line does not join that of the one kept before it; "" when it does, see [Pacer]
}

// Kept says that the sighting may be believed.
func (j *Judged) Kept() bool { return j.Why.Name == "" }

// A Moment is a time on the track's own line: nanoseconds since some midnight. Moments of
// one track compare; they are made of date and time, of times of day alone, or of the
// recording's clock, whatever the sightings have.
type Moment struct {
	NS    int64
	Known bool
}

// Sub is the time from earlier to m, which must both be known.
func (m Moment) Sub(earlier Moment) time.Duration { return time.Duration(m.NS - earlier.NS) }
