// Package witness remembers what a dialogue has shown so far: settings,
// restarts, registration, messages, positions. Many rules ask it; none of them
// has to keep the same memory twice.
//
// # What it promises
//
// A [Witness] holds a bounded amount whatever the length of the dialogue. It
// remembers what was said, with the line that said it; it judges nothing.
//
// # Where to start
//
// Read [Witness], then [Witness.See].
package witness

import (
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/when"
)

// Setting is the last known value of one command's setting.
type Setting struct {
	Value    string        // as written after "=" and accepted, or as read back: "17,167,0,8"
	Line     dialogue.Line // the line that says so
	ReadBack bool          // it came from an answer to "?"
	Lost     bool          // the module restarted since: the value is only what it used to be
}

// Restart is evidence that the module started anew.
type Restart struct {
	Line  dialogue.Line // the line that shows it
	Why   string        // "ready report", "echo came back", "+CMGF read back as 0 after 1 was set"
	At    when.Instant
	After *dialogue.Exchange // the last command before it; nil for none
	Asked bool               // the controller asked for it (+CFUN=1,1) or it is the first start in the capture
}

// Registration is the last word of one registration command.
type Registration struct {
	Command string // "+CREG", "+CGREG", "+CEREG", "+C5GREG"
	Stat    int
	Line    dialogue.Line
	Since   when.Instant // when this stat was first seen without a break
	Changes int          // how often it changed between registered and not
}

// Message is one short message, going out or coming in, as far as it can be read.
type Message struct {
	X                    *dialogue.Exchange // the command that sent or read it; nil for an unsolicited one
	Line                 dialogue.Line      // the text or the PDU
	Head                 dialogue.Line      // the line that announced it (+CMT:, +CMGR:, the +CMGS command)
	Out                  bool               // from the controller
	Party                string             // the other side's number or name; "" when not known
	Body                 string             // readable text; "" when it cannot be read, see Problem
	Raw                  string             // text or PDU as it passed the line
	PDU                  bool
	FirstOctet, PID, DCS maybe.Value[int]       // in force for it, from its PDU, its header or the last +CSMP
	CharacterSet         string                 // the last +CSCS, "" when never seen
	Problem              string                 // why Body is not what the writer meant; "" when nothing is known against it
	Stamp                maybe.Value[time.Time] // service-centre time of an incoming one
	Accepted             maybe.Value[bool]      // outgoing: +CMGS came with OK
}

// SentPosition is a position the controller gave away: in a text, in a data payload, in a link.
type SentPosition struct {
	Line             dialogue.Line
	Text             string    // the part that holds it, as written
	LatText, LonText string    // the two numbers as written
	Point            geo.Point // as a reader would take it: decimal degrees
	Message          *Message  // the text it was in; nil when it was something else
}

// Witness is what the dialogue has shown so far.
type Witness struct {
	TimesKnown bool

	settings     map[string]Setting
	restarts     []Restart // the last few
	restartCount int
	registration map[string]*Registration
	lastEpoch    *epoch.Epoch   // the last one, valid or not
	lastValid    *epoch.Epoch   // the last one with a valid fix
	recent       []*epoch.Epoch // the last few with a position, valid or not, oldest first
}

// Seen is what followed from one event.
type Seen struct {
	Messages  []*Message
	Positions []*SentPosition
	Restarts  []Restart
}

// See takes in an event of the dialogue and returns what followed from it.
func (w *Witness) See(e *dialogue.Event) Seen { return Seen{} }

// SeeEpoch takes in a finished epoch.
func (w *Witness) SeeEpoch(e *epoch.Epoch) {}

// Setting returns the last known value of a command's setting: Setting("+CSMP").
// Echo is kept as "E", verbosity as "V", quietness as "Q".
func (w *Witness) Setting(name string) (Setting, bool) { s, ok := w.settings[name]; return s, ok }

// LastRestart returns the last restart seen.
func (w *Witness) LastRestart() (Restart, bool) {
	if len(w.restarts) == 0 {
		return Restart{}, false
	}
	return w.restarts[len(w.restarts)-1], true
}

// Restarts returns how many restarts were seen that the controller did not ask for.
func (w *Witness) Restarts() int { return w.restartCount }

// Registration returns the last word of a registration command: Registration("+CREG").
func (w *Witness) Registration(command string) (Registration, bool) {
	r, ok := w.registration[command]
	if !ok {
		return Registration{}, false
	}
	return *r, true
}

// LastEpoch returns the last epoch, valid or not; nil for none.
func (w *Witness) LastEpoch() *epoch.Epoch { return w.lastEpoch }

// LastValid returns the last epoch with a valid fix; nil for none.
func (w *Witness) LastValid() *epoch.Epoch { return w.lastValid }

// Recent returns the last epochs that carried a position, valid or not, oldest first; at most 64.
func (w *Witness) Recent() []*epoch.Epoch { return w.recent }
