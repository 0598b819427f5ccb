// Package capture holds what passed a line: who sent which bytes when.
//
// # What it promises
//
// A [Record] is immutable. [Reader] and [Writer] turn records into the capture
// file of docs/formats/capture.md and back; a torn last line is a note, not an
// error; secrets are masked as they are written.
//
// # What it leaves to others
//
// Logs in other shapes are read by talk/intake; what the bytes mean is the
// business of talk/dialogue.
//
// # Where to start
//
// Read [Record], then [Reader]. [Masker] hides secrets as they are written,
// [Privacy] hides persons in reports.
package capture

import "firstfix/internal/when"

// Direction says who sent the bytes.
type Direction uint8

// The two ends of a line. Unknown is for a log that does not say and where
// nothing could be inferred.
const (
	Unknown Direction = iota
	Controller
	Module
)

// String is the word used in files: "controller", "module", "unknown".
func (d Direction) String() string {
	switch d {
	case Controller:
		return "controller"
	case Module:
		return "module"
	}
	return "unknown"
}

// Record is one thing that happened on a line: bytes from one side, or an event.
type Record struct {
	Number     int          // position in the capture, from 1
	SourceLine int          // line of the file it was read from, from 1; 0 when it came from a wire
	At         when.Instant // when the first byte passed; see Info.TimesKnown
	From       Direction
	Bytes      string // the bytes that passed; never changed afterwards
	Event      string // "line-lost", "line-found", "speed 9600", "note: text"…; Bytes is then empty
}

// Info is what is known about a capture as a whole.
type Info struct {
	Kind            string   // "capture", "window", "stamped", "pair", "nmea", "talk"…
	Began           string   // RFC 3339 wall clock at instant zero; empty when not known
	Baud            int      // 0 when not known
	Frame           string   // "8N1"; empty when not known
	TimesKnown      bool     // false: At only orders the records
	DirectionsKnown bool     // false: From was inferred
	Assumed         []string // what the reader of the file had to assume, in sentences
	Private         []string // what was masked
	Mixed           []string // why this seems to be the talk of more than one device, in sentences; empty: of one
}

// Source gives records in order. At the end it returns io.EOF.
// Info may gain assumptions while records are read; ask again at the end.
type Source interface {
	Next() (Record, error)
	Info() Info
}
