// Package dialogue turns the bytes of a capture into exchanges: what the
// controller asked, what the module answered, and how long each part took.
//
// # What it promises
//
// An [Assembler] is a machine without hands. It reads no clock, opens no file
// and starts no goroutine; time comes in as an argument. The same bytes give
// the same events, however they were cut into records. A byte is never lost:
// what cannot be understood comes out as a [Garbled] event with its bytes.
//
// # What it leaves to others
//
// It knows which line ends an exchange, not what the line means: reading
// parameters is the work of wire/at, judging them that of judge/rules.
//
// # Where to start
//
// Read [Exchange], then [Assembler.Feed], then testdata/text.talk with the events
// beside it.
package dialogue

import (
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Line is one line of the dialogue, and where it stands in the capture.
type Line struct {
	Record     int          // number of the record that holds its first byte
	SourceLine int          // line of the file that record was read from; 0 when not known
	Began      when.Instant // when its first byte passed
	At         when.Instant // when its last byte passed
	From       capture.Direction
	Body       bool   // it is the text of a message, or part of one: what somebody wrote to somebody
	Text       string // without its line end; a control byte inside stays as it is
}

// IsZero says that there is no such line.
func (l Line) IsZero() bool { return l.Record == 0 }

// Outcome says how an exchange ended.
type Outcome uint8

// The ways an exchange ends.
const (
	Open       Outcome = iota // not yet
	Finished                  // a final result code came, see Exchange.Result
	Overtaken                 // the controller sent its next command before a final result came
	Unanswered                // the capture ended, the line was lost or the limit passed without a final result
)

// Exchange is one command line with all that answers it.
type Exchange struct {
	Number  int     // from 1
	Command Line    // the command line as sent, without its end, with its "AT"
	Ending  string  // the bytes that ended it, as sent: "\r", "\r\n", "\n"; "" when nothing did
	Parsed  at.Line // Command in parts; Parsed.Err says what could not be read
	Echoed  bool    // the module sent the command back

	Prompt    Line // the "> " asking for text; zero when none came
	Text      Line // the text sent for the prompt, without its end; zero when none was sent
	TextEnd   byte // 0x1A sent it, 0x1B cancelled it, 0 when neither was seen
	TextEarly bool // text was sent before the prompt came

	Info   []Line    // the answer's lines before the final result, without echo, sentences and unsolicited lines
	Final  Line      // the line that ended it; zero when none came
	Result at.Result // what Final says; Result.Kind is at.NoResult when none came

	Outcome  Outcome
	Pending  int          // exchanges still open when this command was sent: 0 when the controller waited
	Previous *Exchange    // the exchange asked before this one; nil for the first, and cut off some thirty exchanges back
	AskedAt  when.Instant // when the command line's last byte passed
	FirstAt  when.Instant // when the first byte of the answer (not the echo) passed; 0 with no answer
	DoneAt   when.Instant // when the exchange was over
}

// Is says whether the command line holds the named command ("+CMGS", "D", "&F"), in any form.
func (x *Exchange) Is(name string) bool {
	_, ok := x.Parsed.Find(name)
	return ok
}

// Kind says what an event is about.
type Kind uint8

// The kinds of event.
const (
	Asked       Kind = iota + 1 // a command line is complete; X is open, but for its Outcome complete so far
	Prompted                    // the module asks for text; X.Prompt
	Texted                      // the text for the module is complete; X.Text, X.TextEnd
	Answered                    // X is over: X.Outcome says how. Every Asked has exactly one Answered.
	Unsolicited                 // Line was said unasked; Body is the text behind it where it has one (+CMT, +CDS, +CBM), its lines parted by LF
	Sentence                    // Line is a GNSS sentence ("$…" or "!…"), wherever it came
	Stray                       // Line came from the controller, or from nobody knows whom, and is neither a command nor text that was asked for
	Garbled                     // Line.Text holds bytes that fit nothing: noise, binary, a broken line
	Data                        // Line.Text holds bytes passed in data state, after CONNECT
	Noted                       // Note is an event of the capture: "line-lost", "speed 9600"…
)

// Event is one thing the assembler understood. Events come in order of At, the
// time at which the thing was certain; the lines in it have the times at which
// they passed. What an exchange says does not change once it is Answered.
type Event struct {
	Kind Kind
	At   when.Instant
	Line Line      // of Asked the command, Prompted the prompt, Texted the text, Answered the final result
	Body Line      // of Unsolicited the text behind Line, where there is one
	X    *Exchange // of Asked, Prompted, Texted and Answered
	Note string    // of Noted
}
