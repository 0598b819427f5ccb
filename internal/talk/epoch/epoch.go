// Package epoch groups GNSS sentences into one fix for each instant of measurement.
//
// # What it promises
//
// An [Assembler] is a machine without hands. It never invents: a field that no
// sentence carried stays not known, and a void position never becomes a fix.
//
// # Where to start
//
// Read [Epoch], then [Assembler.Add].
package epoch

import (
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
	Began      when.Instant // first sentence
	At         when.Instant // last sentence
}
