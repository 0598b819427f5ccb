package message

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"firstfix/internal/wire/sms"
)

// A RemoteCommand is one word that a device understands.
type RemoteCommand struct {
	Word   string
	Means  string
	Sets   bool   // it changes something: wants a sequence number and a one-time code
	Values string // "", or what stands behind the word: "minutes 5..1440"
	Least  int
	Most   int
}

// UsualCommands are commands that a tracker can be given without harm. None of them
// switches anything in the world.
var UsualCommands = []RemoteCommand{
	{Word: "where", Means: "answer with the position, its time and age"},
	{Word: "status", Means: "answer with battery, signal, and when the last report left"},
	{Word: "help", Means: "answer with the words it knows"},
	{Word: "interval", Means: "report every so many minutes", Sets: true, Values: "minutes", Least: 5, Most: 1440},
	{Word: "reports", Means: "reports on (1) or off (0)", Sets: true, Values: "0 or 1", Least: 0, Most: 1},
	{Word: "forget", Means: "no more obedience to texts until somebody stands at the device", Sets: true},
}

// dangerousWords name what no text may switch: the sender cannot be known for sure, the
// text may be old, and may be read twice.
var dangerousWords = []string{
	"relay", "relais", "switch", "start", "stop", "engine", "motor", "ignition", "fuel", "brake", "lock", "unlock", "open", "close", "door", "gate",
	"pump", "valve", "heat", "heater", "fire", "arm", "disarm", "power", "output", "out", "reset", "factory", "update", "firmware", "pin", "puk", "imei",
}

// RemoteOptions are what a device is set up with.
type RemoteOptions struct {
	Allowed  []string // numbers that may ask, with + and country code
	Own      string   // the device's own number; "" when not known
	Label    string   // which device: part of every code, so that one device's code opens no other
	Secret   []byte   // of this device alone, at least 16 octets
	Commands []RemoteCommand

	MaxAge        time.Duration // older texts are history; 0: [DefaultMaxAge]
	AnswersHour   int           // to one number; 0: [DefaultAnswersHour]
	AnswersDay    int           // to all; 0: [DefaultAnswersDay]
	WrongCodesDay int           // until a number is deaf for a day; 0: [DefaultWrongCodes]
}

// Limits, each with its reason.
const (
	// DefaultMaxAge: a text that took longer was held back; what it asked for is past.
	DefaultMaxAge = 10 * time.Minute
	// FutureSlack is how far ahead a service centre's clock may be.
	FutureSlack = 2 * time.Minute
	// DefaultAnswersHour: a person asks less often, a loop more often.
	DefaultAnswersHour = 6
	// DefaultAnswersDay bounds the bill.
	DefaultAnswersDay = 30
	// DefaultWrongCodes: of 32^6 codes, three tries a day find one in half a million years.
	DefaultWrongCodes = 3
	// MaxAllowed bounds the list of numbers: a crew, not a town.
	MaxAllowed = 16
	// MinSecret is the shortest secret: fewer octets can be tried out.
	MinSecret = 16
	// MaxSequence is the last sequence number; then the secret is due for a change.
	MaxSequence = 999_999
	// remembered is how many handled texts are known again.
	remembered = 32
	// maxCommandText: no command is longer; a longer text is not for the device.
	maxCommandText = 60
	// CodeLength is the length of a one-time code.
	CodeLength = 6
)

// Check says what is wrong with the options: empty for nothing.
func (o *RemoteOptions) Check() []string {
	var wrong []string
	add := func(format string, a ...any) { wrong = append(wrong, fmt.Sprintf(format, a...)) }
	if len(o.Allowed) == 0 || len(o.Allowed) > MaxAllowed {
		add("%d numbers may ask: want 1 to %d", len(o.Allowed), MaxAllowed)
	}
	for _, a := range o.Allowed {
		if n := sms.ReadNumber(a); n.Name || n.Short || !strings.HasPrefix(sms.NormaliseNumber(a), "+") {
			add("%q: want a number with + and country code; a name or a short number is nobody who can be answered", a)
		}
		if o.Own != "" && sms.SameNumber(a, o.Own) {
			add("%q is the device's own number: it would obey itself", a)
		}
	}
	sets := false
	words := map[string]bool{}
	for _, c := range o.Commands {
		sets = sets || c.Sets
		switch {
		case c.Word == "" || strings.ContainsFunc(c.Word, func(r rune) bool { return r < 'a' || r > 'z' }) || len(c.Word) > 12:
			add("%q: want a word of at most 12 small letters", c.Word)
		case c.Word == answerWord:
			add("%q begins the device's own answers: they would be commands to another device", c.Word)
		case words[c.Word]:
			add("%q stands twice", c.Word)
		case slices.Contains(dangerousWords, c.Word):
			add("%q: nothing dangerous may be switched by a text; %s", c.Word, CautionForged)
		case !c.Sets && c.Values != "":
			add("%q takes a value but changes nothing", c.Word)
		case c.Values != "" && c.Least > c.Most:
			add("%q takes values from %d to %d", c.Word, c.Least, c.Most)
		}
		words[c.Word] = true
	}
	if len(o.Commands) == 0 {
		add("no commands")
	}
	if sets && len(o.Secret) < MinSecret {
		add("a secret of %d octets: want at least %d, of this device alone", len(o.Secret), MinSecret)
	}
	if sets && o.Label == "" {
		add("no label: want the device's name, which is part of every code")
	}
	if o.MaxAge < 0 || o.AnswersHour < 0 || o.AnswersDay < 0 || o.WrongCodesDay < 0 {
		add("a limit below 0")
	}
	return wrong
}
