// Package procedure holds the exchanges a controller wants to hold: what to
// send, what to await, how long, and what to do otherwise.
//
// # What it promises
//
// A [Machine] is a machine without hands: bytes and time in, bytes out. It
// never sleeps; it waits for answers. It never sends a command before the last
// one has its final result or its limit has passed, and leaves 100 ms between
// them (V.250, 5.5). The same answers give the same bytes. What could cost
// money, lock a card or change the module for good is not sent unless the
// person allowed it for this run ([Options]).
//
// # What it leaves to others
//
// It knows whether an answer came and whether it was an error, not what the
// answer means: that is the work of judge/bringup and the rules.
//
// # Where to start
//
// Read [Procedure], then [Machine.Feed]; docs/formats/procedure.md is its file.
package procedure

import (
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Procedure is a list of steps.
type Procedure struct {
	Name   string `yaml:"procedure"` // short, small letters: "send-position"
	Title  string `yaml:"title"`
	Notes  string `yaml:"notes"`
	Budget Budget `yaml:"budget"`
	Steps  []Step `yaml:"steps"`
}

// Budget is what a run may use up.
type Budget struct {
	MaxTotalMS int `yaml:"max_total_ms"` // 0: [DefaultTotalMS]
	Texts      int `yaml:"texts"`        // texts, calls and sessions; what the person allowed for the run is a second limit
}

// Step is one exchange, one wait, or one pause.
type Step struct {
	Name string `yaml:"name"` // for branches and for the log; "" is "step 3"
	// Send is a command line without its end; Duty names a line of the sheet
	// instead. "{name}" in them is a value given for the run or captured before.
	Send string `yaml:"send"`
	Duty string `yaml:"duty"`
	// Text is sent when the module asks for it, with Ctrl-Z behind it. Cancel
	// sends ESC in its place: the prompt is proved and nothing is sent.
	Text   string `yaml:"text"`
	Cancel bool   `yaml:"cancel"`

	// Escape leaves what an earlier controller may have left open, before the command is
	// sent: "text" sends ESC and CR, "data" sends +++ with silence around it.
	Escape string `yaml:"escape"`

	MaxWaitMS    int `yaml:"max_wait_ms"`    // for the final result; 0: the sheet's limit, else the catalogue's
	Tries        int `yaml:"tries"`          // 0 is 1
	BackoffMS    int `yaml:"backoff_ms"`     // before the second try; doubles each time
	MaxBackoffMS int `yaml:"max_backoff_ms"` // 0: no limit but the budget
	PauseMS      int `yaml:"pause_ms"`       // after the step, whatever its outcome

	Await   *Await    `yaml:"await"` // something that comes unasked, on top of the final result
	Until   *Until    `yaml:"until"` // the answer must hold this value, else the outcome is not_yet
	Capture []Capture `yaml:"capture"`
	On      On        `yaml:"on"`
	Notes   string    `yaml:"notes"`
}

// Await is something that comes unasked. It counts from the moment the step began.
type Await struct {
	Line      string `yaml:"line"`        // a name such as "+CMTI", or a whole line such as "DEMO READY"
	Sentence  string `yaml:"sentence"`    // a GNSS sentence: "RMC", or "any"
	QuietMS   int    `yaml:"quiet_ms"`    // nothing at all for that long
	MaxWaitMS int    `yaml:"max_wait_ms"` // 0: [DefaultAwaitMS]
}

// Until is a value an answer must hold.
type Until struct {
	Answer string   `yaml:"answer"` // "+CREG"
	Param  int      `yaml:"param"`  // from 1
	OneOf  []string `yaml:"one_of"`
	// Fix, in their place: the answer to duty position.read, read as the sheet
	// says, holds a position that is valid.
	Fix bool `yaml:"fix"`
}

// Capture keeps a value of an answer under a name.
type Capture struct {
	Name   string `yaml:"name"`
	Answer string `yaml:"answer"` // "+CNUM"; "" takes the first line of the answer whole
	Param  int    `yaml:"param"`  // from 1
	Field  string `yaml:"field"`  // in their place: a field of the sheet's answer to the step's duty, "lat_deg"
}

// On says what follows each outcome: "continue", "stop", "done" or "goto NAME".
// What is left empty continues after ok and stops after anything else.
type On struct {
	OK       string `yaml:"ok"`
	Failed   string `yaml:"failed"`
	NoAnswer string `yaml:"no_answer"`
	NotYet   string `yaml:"not_yet"`
	Refused  string `yaml:"refused"` // a guard, a missing duty, a missing value: it was not sent
}

// Outcome says how a step ended.
type Outcome string

// The outcomes of a step.
const (
	OK       Outcome = "ok"
	Failed   Outcome = "failed"    // a final result that is an error
	NoAnswer Outcome = "no answer" // the limit passed
	NotYet   Outcome = "not yet"   // the answer came, its value was not the one wanted
	Refused  Outcome = "refused"   // not sent: a guard, a missing duty, a missing value
	Stopped  Outcome = "stopped"   // the budget was used up
)

// Result is how one step went: one entry for each time it ended.
type Result struct {
	Step      string // its name
	Index     int
	Sent      string // the command line as in the procedure: given values stay names, so no secret stands here
	Outcome   Outcome
	Why       string // in words, for all but ok
	Tries     int
	Final     at.Result
	Info      []string          // lines of the answer before the final result, and the awaited line
	Captured  map[string]string // by this step
	BeganAt   when.Instant      // when the step's last try was sent
	AnsweredA when.Instant      // when the outcome was known
}

// TookMS is how long the last try took, in milliseconds.
func (r Result) TookMS() float64 { return r.AnsweredA.Sub(r.BeganAt).Seconds() * 1000 }

// What a step may leave before it sends its command.
const (
	EscapeText = "text" // 27.005 3.5.1: ESC cancels text entry
	EscapeData = "data" // common practice, no source: a second of silence, +++, a second of silence
)

// Limits, each with its reason.
const (
	// GuardMS is the silence around +++; one second is usual, a little more is safe.
	GuardMS = 1200
	// DefaultTotalMS: ten minutes hold the longest usual exchanges three times over.
	DefaultTotalMS = 10 * 60 * 1000
	// DefaultAwaitMS is for what comes unasked when the step does not say.
	DefaultAwaitMS = 30 * 1000
	// SettleMS is the pause after a final result: V.250 5.5 wants at least 0.1 s.
	SettleMS = 100
	// PromptWaitMS: the prompt comes at once or not at all; common practice waits 5 s.
	PromptWaitMS = 5 * 1000
	// PromptPauseMS: some modules lose what comes right behind the prompt; common practice waits 50 to 100 ms.
	PromptPauseMS = 100
	// MaxLine bounds one received line; the longest standard answer line has 2048 characters (V.250 6.1).
	MaxLine = 4096
	// MaxInfo bounds the lines of one answer: +CLAC of a talkative module has some hundreds.
	MaxInfo = 1024
	// MaxLog bounds the results kept; a loop of a year is not kept, the last ones are.
	MaxLog = 4096
	// MaxMoves bounds the steps of one run: a procedure that goes round without time passing is broken.
	MaxMoves = 1_000_000
)

// Name returns the step's name, or "step 3".
func (p *Procedure) stepName(i int) string {
	if p.Steps[i].Name != "" {
		return p.Steps[i].Name
	}
	return "step " + itoa(i+1)
}

func (p *Procedure) find(name string) int {
	for i := range p.Steps {
		if p.stepName(i) == name {
			return i
		}
	}
	return -1
}
