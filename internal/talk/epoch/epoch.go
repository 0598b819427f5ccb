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
	"firstfix/internal/wire/nmea"
)

// Satellite is one satellite in view, as the GSV sentences tell it.
type Satellite struct {
	ID           int
	ElevationDeg maybe.Value[float64]
	AzimuthDeg   maybe.Value[float64]
	CN0DBHz      maybe.Value[float64] // not known: not tracked
	System       System
	Used         bool // named in a GSA
}

// System is a satellite system. Satellites are many and hold no text, so that
// they cost little; 0: the sentence does not say.
type System uint8

// systems are the names that wire/nmea has for them.
var systems = [...]string{"", nmea.GPS, nmea.GLONASS, nmea.Galileo, nmea.BeiDou, nmea.QZSS, nmea.NavIC, nmea.SBAS}

// String is the name of the system: "GPS", "Galileo"; "" when it is not known.
func (s System) String() string { return systems[int(s)%len(systems)] }

// systemOf returns the system with a name of wire/nmea.
func systemOf(name string) System {
	for i := 1; i < len(systems); i++ {
		if systems[i] == name {
			return System(i)
		}
	}
	return 0
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
	Satellites []Satellite  // in view; empty with SkyKnown: the receiver hears nothing. Epochs share it: only to be read
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
