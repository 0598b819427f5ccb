package message

import (
	"crypto/hmac"
	"crypto/sha256"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/wire/sms"
)

// RemoteState is what a device must keep over a restart. Lost state lets old commands be
// played again until the next one raises the sequence.
type RemoteState struct {
	Deaf    bool            `json:"deaf"`
	Senders []RemoteSender  `json:"senders"`
	Day     int64           `json:"day"` // days since 1970, of the count below
	Answers int             `json:"answers"`
	Blind   int             `json:"blind"`   // answers given while no clock was set
	Handled []RemoteHandled `json:"handled"` // oldest first
}

// RemoteSender is what is kept of one number.
type RemoteSender struct {
	Number     string  `json:"number"`
	Sequence   int     `json:"sequence"` // the highest that was obeyed
	AnswersAtS []int64 `json:"answersAtS"`
	WrongDay   int64   `json:"wrongDay"`
	Wrong      int     `json:"wrong"`
}

// RemoteHandled is one text that was dealt with.
type RemoteHandled struct {
	Number string `json:"number"`
	StampS int64  `json:"stampS"`
	Hash   uint32 `json:"hash"`
}

// Incoming is a text as it reached the device.
type Incoming struct {
	From      string
	Text      string
	Stamp     maybe.Value[time.Time] // the service centre's
	Parts     int                    // of the text; 0 or 1 for one that stands alone
	Class     maybe.Value[int]
	PID       byte
	LoopFlag  bool // TP-LP: it came out of an automatic forwarding (TS 23.040 9.2.3.28, from memory)
	NotAText  bool // a status report, data, an icon
	ReplyPath bool
}

// Verb says what a device does with a text.
type Verb string

// The verbs.
const (
	Accept Verb = "accept" // do it, and answer
	Refuse Verb = "refuse" // do nothing, and say why: only to numbers on the list
	Ignore Verb = "ignore" // do nothing, say nothing
)

// Decision is what a device does with one text, and why.
type Decision struct {
	Do       Verb
	Command  string // of UsualCommands or the device's own
	Value    maybe.Value[int]
	Sequence int
	Reason   string
	Answer   string // what Refuse says; empty otherwise: what Accept answers is the device's business
	Clause   string
}

// Remote decides which texts a device obeys. It is a machine without hands: the text,
// the time and the device's state come in, the decision comes out.
type Remote struct {
	o     RemoteOptions
	state RemoteState
}

// NewRemote makes one. The error lists what is wrong with the options.
func NewRemote(o RemoteOptions, s RemoteState) (*Remote, error) {
	if wrong := o.Check(); len(wrong) > 0 {
		return nil, &OrderError{"commands by text", strings.Join(wrong, "; "), "options that are safe"}
	}
	o.MaxAge, o.AnswersHour = orDefault(o.MaxAge, DefaultMaxAge), orDefault(o.AnswersHour, DefaultAnswersHour)
	o.AnswersDay, o.WrongCodesDay = orDefault(o.AnswersDay, DefaultAnswersDay), orDefault(o.WrongCodesDay, DefaultWrongCodes)
	return &Remote{o: o, state: s.copied()}, nil
}

func orDefault[T int | time.Duration](v, usual T) T {
	if v == 0 {
		return usual
	}
	return v
}

// State is what to keep. It must be kept before the command is carried out: else a
// restart in between lets it be carried out twice.
func (r *Remote) State() RemoteState { return r.state.copied() }

func (s RemoteState) copied() RemoteState {
	s.Senders = append([]RemoteSender{}, s.Senders...)
	for i := range s.Senders {
		s.Senders[i].AnswersAtS = append([]int64{}, s.Senders[i].AnswersAtS...)
	}
	s.Handled = append([]RemoteHandled{}, s.Handled...)
	return s
}

// Code is the one-time code of a sequence number: six characters out of 32, of an
// HMAC-SHA256 (RFC 2104, FIPS 180-4) over device and number. A list of them can be printed for the
// person; each opens one command, once.
func Code(secret []byte, label string, sequence int) string {
	mac := hmac.New(sha256.New, secret)
	mac.Write([]byte(label))
	mac.Write([]byte{0, byte(sequence >> 16), byte(sequence >> 8), byte(sequence)})
	sum := mac.Sum(nil)
	code := make([]byte, CodeLength)
	for i := range code {
		code[i] = codeSigns[sum[i]&31]
	}
	return string(code)
}

// Decide says what to do with a text at now. A clock that was never set is not known:
// then nothing is obeyed that changes something.
func (r *Remote) Decide(now maybe.Value[time.Time], in Incoming) Decision {
	d := r.decide(now, in)
	if d.Do != Ignore {
		if at, known := now.Get(); known {
			r.counted(at, in.From)
		} else {
			r.state.Blind++
		}
		r.remember(in)
	}
	return d
}

func ignore(clause, format string, a ...any) Decision {
	return Decision{Do: Ignore, Reason: fmt.Sprintf(format, a...), Clause: clause}
}

// decide goes through the reasons, from those that must never be answered on.
func (r *Remote) decide(now maybe.Value[time.Time], in Incoming) Decision {
	if d, stop := r.foreign(in); stop {
		return d
	}
	if d, stop := r.old(now, in); stop {
		return d
	}
	words := strings.Fields(strings.ToLower(strings.TrimRight(in.Text, ".!? \r\n"))) // telephones add a full stop and a capital
	if len(words) == 0 || len(in.Text) > maxCommandText {
		return ignore("", "it is no command: empty, or longer than %d characters", maxCommandText)
	}
	i := slices.IndexFunc(r.o.Commands, func(c RemoteCommand) bool { return c.Word == words[0] })
	if i < 0 {
		return ignore("", "its first word is no command; words that are not known are not answered, or two devices would talk to each other for ever")
	}
	if d, stop := r.limited(now, in.From); stop {
		return d
	}
	c := &r.o.Commands[i]
	if !c.Sets {
		if len(words) > 1 {
			return refuse(c, "%s stands alone", c.Word)
		}
		return Decision{Do: Accept, Command: c.Word, Reason: "a number of the list asks"}
	}
	return r.set(now, in, c, words[1:])
}

func refuse(c *RemoteCommand, format string, a ...any) Decision {
	reason := fmt.Sprintf(format, a...)
	return Decision{Do: Refuse, Command: c.Word, Reason: reason, Answer: answerWord + " done: " + reason}
}

// answerWord begins the answers that refuse. It is no command, so that two devices
// that know each other's number do not talk for ever.
const answerWord = "not"

// MayAnswer says whether a text may be sent as an answer: one that begins with a command
// would be obeyed by a device that gets it.
func (r *Remote) MayAnswer(text string) bool {
	words := strings.Fields(strings.ToLower(text))
	return len(words) > 0 && !slices.ContainsFunc(r.o.Commands, func(c RemoteCommand) bool {
		return c.Word == strings.TrimRight(words[0], ".!?")
	})
}

// foreign finds texts that are nobody's command.
func (r *Remote) foreign(in Incoming) (Decision, bool) {
	n := sms.ReadNumber(in.From)
	class, _ := in.Class.Get()
	d := Decision{}
	switch {
	case r.state.Deaf:
		d = ignore("", "the device was told to forget obedience")
	case in.NotAText:
		d = ignore("TS 23.040 9.2.2", "it is no text")
	case n.Name:
		d = ignore("TS 23.040 9.1.2.5", "the sender is a name: a service or an advert, which cannot be answered")
	case n.Short:
		d = ignore("TS 23.040 9.1.2.5", "the sender is a short number: a service")
	case r.o.Own != "" && sms.SameNumber(in.From, r.o.Own):
		d = ignore("", "the device's own number: an answer to itself would come back for ever")
	case in.LoopFlag:
		d = ignore("TS 23.040 9.2.3.28 ("+memory+")", "it came out of an automatic forwarding")
	case in.PID != 0:
		d = ignore("TS 23.040 9.2.3.9", "protocol identifier %d: %s", in.PID, sms.ReadPID(in.PID))
	case in.Class.IsKnown() && class != 1:
		d = ignore("TS 23.038 4", "class %d is not meant for the device", class)
	case in.Parts > 1:
		d = ignore("TS 23.040 9.2.3.24.1", "a command is one short text, this one has %d parts", in.Parts)
	case !slices.ContainsFunc(r.o.Allowed, func(a string) bool { return sms.SameNumber(a, in.From) }):
		d = ignore("", "the number is not on the list")
	default:
		return d, false
	}
	return d, true
}

// old finds texts of the past, and copies.
func (r *Remote) old(now maybe.Value[time.Time], in Incoming) (Decision, bool) {
	stamp, stamped := in.Stamp.Get()
	if !stamped {
		return ignore("TS 23.040 9.2.3.11", "the service centre's time is not known: the text may be of any age"), true
	}
	if slices.Contains(r.state.Handled, handled(in)) {
		return ignore("", "the same text of the same second was dealt with"), true
	}
	at, known := now.Get()
	if !known {
		return Decision{}, false
	}
	switch age := at.Sub(stamp); {
	case age > r.o.MaxAge:
		return ignore("TS 23.040 9.2.3.11, 9.2.3.12", "it is %s old, and %s is the limit: it was held back, or was in the store all the time", age.Round(time.Second), r.o.MaxAge), true
	case age < -FutureSlack:
		return ignore("TS 23.040 9.2.3.11", "it comes from the future by %s: one of the clocks is wrong", (-age).Round(time.Second)), true
	}
	return Decision{}, false
}

// limited finds senders that ask too often, and guessers.
func (r *Remote) limited(now maybe.Value[time.Time], from string) (Decision, bool) {
	at, known := now.Get()
	if !known {
		if r.state.Blind >= r.o.AnswersHour {
			return ignore("", "%d answers without a clock: no more until it is set", r.state.Blind), true
		}
		return Decision{}, false
	}
	s := r.sender(from)
	if s.Wrong >= r.o.WrongCodesDay && s.WrongDay == dayOf(at) {
		return ignore("", "%d wrong codes today: deaf to this number until tomorrow", s.Wrong), true
	}
	if r.state.Day == dayOf(at) && r.state.Answers >= r.o.AnswersDay {
		return ignore("", "%d answers today: the limit that keeps the bill small", r.state.Answers), true
	}
	recent := 0
	for _, t := range s.AnswersAtS {
		if at.Unix()-t < 3600 {
			recent++
		}
	}
	if recent >= r.o.AnswersHour {
		return ignore("", "%d answers to this number within an hour: somebody's answering machine, or a loop", recent), true
	}
	return Decision{}, false
}

func dayOf(t time.Time) int64 { return t.Unix() / 86400 }

// set checks a command that changes something: "interval 30 #42 K7M2QX".
func (r *Remote) set(now maybe.Value[time.Time], in Incoming, c *RemoteCommand, words []string) Decision {
	if !now.IsKnown() {
		return refuse(c, "the clock is not set, so the age of the text is not known")
	}
	want := c.Word + " #number code"
	if c.Values != "" {
		want = c.Word + " value #number code"
	}
	d := Decision{Do: Accept, Command: c.Word}
	if c.Values != "" {
		if len(words) == 0 {
			return refuse(c, "want %s", want)
		}
		n, err := strconv.Atoi(words[0])
		if err != nil || n < c.Least || n > c.Most || strings.HasPrefix(words[0], "+") {
			return refuse(c, "want %s from %d to %d", c.Values, c.Least, c.Most)
		}
		d.Value = maybe.Known(n)
		words = words[1:]
	}
	if len(words) != 2 || !strings.HasPrefix(words[0], "#") {
		return refuse(c, "want %s", want)
	}
	sequence, err := strconv.ParseUint(words[0][1:], 10, 32)
	if err != nil || sequence < 1 || sequence > MaxSequence {
		return refuse(c, "want a number from 1 to %d behind #", MaxSequence)
	}
	s := r.sender(in.From)
	if !hmac.Equal([]byte(strings.ToUpper(words[1])), []byte(Code(r.o.Secret, r.o.Label, int(sequence)))) {
		if at, _ := now.Get(); s.WrongDay != dayOf(at) {
			s.WrongDay, s.Wrong = dayOf(at), 0
		}
		s.Wrong++
		return refuse(c, "wrong code")
	}
	if int(sequence) <= r.highest() {
		return refuse(c, "number %d was used; the next is %d", sequence, r.highest()+1)
	}
	s.Sequence, d.Sequence = int(sequence), int(sequence)
	d.Reason = fmt.Sprintf("a number of the list, with the code of number %d, which was not used before", sequence)
	if c.Word == "forget" {
		r.state.Deaf = true
	}
	return d
}

// highest is the highest sequence number that was obeyed, whoever sent it: a code
// belongs to the device, and is good once.
func (r *Remote) highest() int {
	most := 0
	for _, s := range r.state.Senders {
		most = max(most, s.Sequence)
	}
	return most
}

// sender finds what is kept of a number; there is a place for each of the list.
func (r *Remote) sender(from string) *RemoteSender {
	for i := range r.state.Senders {
		if sms.SameNumber(r.state.Senders[i].Number, from) {
			return &r.state.Senders[i]
		}
	}
	r.state.Senders = append(r.state.Senders, RemoteSender{Number: sms.NormaliseNumber(from)})
	return &r.state.Senders[len(r.state.Senders)-1]
}

// counted takes note of an answer.
func (r *Remote) counted(at time.Time, from string) {
	if r.state.Day != dayOf(at) {
		r.state.Day, r.state.Answers = dayOf(at), 0
	}
	r.state.Answers++
	r.state.Blind = 0
	s := r.sender(from)
	s.AnswersAtS = slices.DeleteFunc(s.AnswersAtS, func(t int64) bool { return at.Unix()-t >= 3600 })
	s.AnswersAtS = append(s.AnswersAtS, at.Unix())
}

// remember keeps a text that was dealt with.
func (r *Remote) remember(in Incoming) {
	if len(r.state.Handled) >= remembered {
		r.state.Handled = append(r.state.Handled[:0], r.state.Handled[len(r.state.Handled)-remembered+1:]...)
	}
	r.state.Handled = append(r.state.Handled, handled(in))
}

// handled is a text in short: sender, second, and a hash of the words (FNV-1a).
func handled(in Incoming) RemoteHandled {
	hash := uint32(2166136261)
	for i := range len(in.Text) {
		hash = (hash ^ uint32(in.Text[i])) * 16777619
	}
	stamp, _ := in.Stamp.Get()
	return RemoteHandled{Number: sms.NormaliseNumber(in.From), StampS: stamp.Unix(), Hash: hash}
}
