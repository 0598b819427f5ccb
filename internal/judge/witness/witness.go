// Package witness remembers what a dialogue has shown so far: settings,
// restarts, registration, messages, positions. Many rules ask it; none of them
// has to keep the same memory twice.
//
// # What it promises
//
// A [Witness] holds a bounded amount whatever the length of the dialogue. It
// remembers what was said, with the line that said it; it judges nothing.
//
// # What it leaves to others
//
// Whether what was said is wise is the business of judge/rules. How a message
// or a coordinate is spelled is known to wire/sms and earth/geo.
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
	"firstfix/internal/wire/sms"
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
	Command   string // "+CREG", "+CGREG", "+CEREG", "+C5GREG"
	Stat      int
	Line      dialogue.Line
	Asked     bool             // an answer to "?", not a report
	Since     when.Instant     // when this stat was first seen without a break
	Words     int              // how often this stat was said without a break
	Changes   int              // how often it changed between registered and not
	CauseType maybe.Value[int] // 0: the cause is one of 24.008 or 24.301
	Cause     maybe.Value[int] // why the network refused; needs mode 3 of the command
}

// Registered says whether this word means service: at home, roaming, or for messages only.
func (r *Registration) Registered() bool { return IsRegistered(r.Stat) }

// IsRegistered says whether a stat means service. 3GPP TS 27.007 7.2: 1 home,
// 5 roaming, 6 and 7 for messages only, 9 and 10 without fall-back to circuits.
func IsRegistered(stat int) bool {
	switch stat {
	case 1, 5, 6, 7, 9, 10:
		return true
	}
	return false
}

// Signal is one answer of +CSQ.
type Signal struct {
	RSSI int // 0 to 31, 99 not known: 3GPP TS 27.007 8.5
	Line dialogue.Line
}

// DBm is the level in dBm and whether it is known: -113 + 2 per step.
func (s Signal) DBm() (int, bool) { return 2*s.RSSI - 113, s.RSSI >= 0 && s.RSSI <= 31 }

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
	Effect               sms.Effect             // outgoing, text mode: what a handset would show
	Stamp                maybe.Value[time.Time] // service-centre time of an incoming one
	Accepted             maybe.Value[bool]      // outgoing: +CMGS came with OK; not known before its exchange is over
}

// SentPosition is a position the controller gave away: in a text, in a data payload, in a link.
type SentPosition struct {
	Line             dialogue.Line
	Text             string    // the part that holds it, as written
	LatText, LonText string    // the two numbers as written
	Point            geo.Point // as a reader would take it: decimal degrees
	Message          *Message  // the text it was in; nil when it was something else
	Reading          geo.Reading
}

// Witness is what the dialogue has shown so far.
type Witness struct {
	TimesKnown bool
	Banners    []string // lines this module is known to print when it starts, from its sheet

	settings     map[string]Setting
	restarts     []Restart // the last few
	restartCount int
	registration map[string]*Registration
	signal       Signal
	signalKnown  bool
	lastEpoch    *epoch.Epoch   // the last one, valid or not
	lastValid    *epoch.Epoch   // the last one with a valid fix
	recent       []*epoch.Epoch // the last few with a position, valid or not, oldest first
	epochRoom    []*epoch.Epoch // where recent lies; slid down when full

	start   startSigns
	sending *Message // the outgoing message whose exchange is still open
	seen    Seen     // reused from event to event
}

// Limits of the memory, so that a dialogue of any length needs the same room.
const (
	maxRestarts = 16 // rules look at the last one; a report may list a few more
	maxRecent   = 64 // epochs: a minute at one a second, enough to see a step or a repeat
)

// Seen is what followed from one event. It is only lent until the next one.
type Seen struct {
	Restarts      []Restart
	Registrations []Registration
	Messages      []*Message
	Positions     []*SentPosition
}

// See takes in an event of the dialogue and returns what followed from it.
func (w *Witness) See(e *dialogue.Event) Seen {
	w.seen.Restarts = w.seen.Restarts[:0]
	w.seen.Registrations = w.seen.Registrations[:0]
	w.seen.Messages = w.seen.Messages[:0]
	w.seen.Positions = w.seen.Positions[:0]
	switch e.Kind {
	case dialogue.Asked:
		w.asked(e.X)
	case dialogue.Texted:
		w.texted(e.X)
	case dialogue.Answered:
		w.answered(e.X)
	case dialogue.Unsolicited:
		w.unsolicited(e.Line, e.Body)
	case dialogue.Data:
		w.data(e.Line)
	}
	return w.seen
}

// answered takes in an exchange that is over.
func (w *Witness) answered(x *dialogue.Exchange) {
	if m := w.sending; m != nil && m.X == x {
		w.sending = nil
		m.Accepted = Accepted(x)
	} else if !x.Text.IsZero() {
		w.texted(x) // its text was never complete: no Texted came
		w.sending = nil
	}
	w.answeredStart(x)
	for _, line := range x.Info {
		w.information(x, line)
	}
	w.incoming(x)
	w.learn(x)
}

// SeeEpoch takes in a finished epoch.
func (w *Witness) SeeEpoch(e *epoch.Epoch) {
	w.lastEpoch = e
	if e.Fix.Valid {
		w.lastValid = e
	}
	if !e.Fix.Point.IsKnown() {
		return
	}
	if len(w.epochRoom) == cap(w.epochRoom) {
		if w.epochRoom == nil {
			w.epochRoom = make([]*epoch.Epoch, 0, 4*maxRecent)
		}
		kept := copy(w.epochRoom[:cap(w.epochRoom)], w.recent)
		clear(w.epochRoom[kept:])
		w.epochRoom = w.epochRoom[:kept]
	}
	w.epochRoom = append(w.epochRoom, e)
	w.recent = w.epochRoom[max(0, len(w.epochRoom)-maxRecent):]
}

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

// Registered returns a registration command whose last word means service.
func (w *Witness) Registered() (Registration, bool) {
	for _, name := range registrationNames {
		if r, ok := w.registration[name]; ok && r.Registered() {
			return *r, true
		}
	}
	return Registration{}, false
}

// Signal returns the last answer of +CSQ.
func (w *Witness) Signal() (Signal, bool) { return w.signal, w.signalKnown }

// LastEpoch returns the last epoch, valid or not; nil for none.
func (w *Witness) LastEpoch() *epoch.Epoch { return w.lastEpoch }

// LastValid returns the last epoch with a valid fix; nil for none.
func (w *Witness) LastValid() *epoch.Epoch { return w.lastValid }

// Recent returns the last epochs that carried a position, valid or not, oldest first; at most 64.
func (w *Witness) Recent() []*epoch.Epoch { return w.recent }
