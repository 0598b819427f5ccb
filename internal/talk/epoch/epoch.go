// Package epoch groups GNSS sentences into one fix for each instant of measurement.
//
// # What it promises
//
// An [Assembler] is a machine without hands. It never invents: a field that no
// sentence carried stays not known, and a void position never becomes a fix. In which
// order the sentences of an epoch come does not matter. It holds a bounded amount,
// whatever the length of the stream.
//
// # What it leaves to others
//
// Whether a fix is good enough is the work of earth/fix, whether its date can be
// true that of the judge.
//
// # Where to start
//
// Read [Epoch], then [Assembler.Add]; what begins a new epoch is in cycle.go, how a fix
// is put together in compose.go, and the satellites in sky.go.
package epoch

import (
	"strings"

	"firstfix/internal/earth/fix"
	"firstfix/internal/maybe"
	"firstfix/internal/when"
)

// Satellite is one satellite in view, as the GSV sentences tell it.
type Satellite struct {
	System       string // "GPS", "GLONASS", "Galileo", "BeiDou", "QZSS", "NavIC", "SBAS"; "" when the sentence does not say
	ID           int
	ElevationDeg maybe.Value[float64]
	AzimuthDeg   maybe.Value[float64]
	CN0DBHz      maybe.Value[float64] // not known: not tracked
	Used         bool                 // named in a GSA
}

// Source is where a sentence of the epoch stands in the capture.
type Source struct {
	Record     int
	SourceLine int
	At         when.Instant
	Text       string // the sentence as received
}

// Epoch is all that was said about one instant of measurement.
type Epoch struct {
	Fix        fix.Fix
	Satellites []Satellite  // in view; empty with SkyKnown: the receiver hears nothing
	SkyKnown   bool         // a GSV set was seen in this epoch or kept from one at most 10 s old
	Sources    []Source     // the sentences, in order; for a streaming reader at most a dozen
	BadSums    int          // sentences since the last epoch that were not used: a wrong checksum, or none where others have one
	Began      when.Instant // first sentence
	At         when.Instant // last sentence
}

// Find returns the first source of the epoch that is a sentence of the named type: Find("RMC").
func (e *Epoch) Find(kind string) (Source, bool) {
	for i := range e.Sources {
		text := e.Sources[i].Text
		if at := strings.IndexByte(text, '$'); at >= 0 && len(text) > at+6 && text[at+3:at+6] == kind {
			return e.Sources[i], true
		}
	}
	return Source{}, false
}
