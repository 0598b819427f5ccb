package procedure

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/when"
)

// phase is what a machine is doing.
type phase uint8

const (
	ready      phase = iota // waits until due to send the step's command
	prompting               // sent; the prompt is awaited
	pausing                 // prompted; waits until due to send the text
	answering               // the final result is awaited
	awaiting                // something unasked is awaited
	resting                 // the step is over; waits until due to move on
	guarding                // silence before +++
	escaping                // an escape was sent; its answer is let pass
	cancelling              // ESC was sent to leave text entry; its answer is let pass
	over
)

// Machine runs a procedure in the controller's seat of a line.
type Machine struct {
	procedure *Procedure
	options   Options

	step    int
	try     int
	phase   phase
	due     when.Instant // when the phase ends by itself
	began   when.Instant // of the run
	started bool
	current Result

	awaited   bool // what the step awaits has already come
	sentLine  string
	sentText  string
	echoes    bool         // the module sent this step's command back
	quietFrom when.Instant // when the last byte came
	limit     when.Instant // of awaiting quiet
	next      int          // step after resting; -1 for the end
	gaveUp    bool         // the last step's branch was stop
	sawVerbal bool         // a result in words came: a lone digit is then no result
	body      bool         // the next line is the body of a message, whatever it says

	spent    int
	pinSent  bool
	moves    int
	captured map[string]string
	log      []Result
	dropped  int
	rx       receiver
}

// New prepares a run of p. The error is that of [Procedure.Check].
func New(p *Procedure, o Options) (*Machine, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	return &Machine{procedure: p, options: o, captured: map[string]string{}}, nil
}

// Done says that the run is over.
func (m *Machine) Done() bool { return m.phase == over }

// Log returns how the steps went, in order; of a very long run the last [MaxLog].
func (m *Machine) Log() []Result { return m.log }

// Outcome says how the run as a whole ended: ok when its last step let it end.
func (m *Machine) Outcome() Outcome {
	if len(m.log) == 0 {
		return NoAnswer
	}
	return m.log[len(m.log)-1].Outcome
}

// Satisfied says that the run is over as its procedure wanted: its last step led
// to done or past the end. A run that was stopped, by a branch or by the budget, is not.
func (m *Machine) Satisfied() bool {
	return m.Done() && len(m.log) > 0 && !m.gaveUp && m.Outcome() != Stopped && m.moves < MaxMoves
}

// Logged is how many steps have ended since the run began, those that [Machine.Log] dropped too.
func (m *Machine) Logged() int { return m.dropped + len(m.log) }

// Captured returns the values kept so far.
func (m *Machine) Captured(name string) (string, bool) { v, ok := m.captured[name]; return v, ok }

// Spent says how much of the allowed spending was used.
func (m *Machine) Spent() int { return m.spent }

// PINSent says whether a PIN was tried.
func (m *Machine) PINSent() bool { return m.pinSent }

// Feed gives the machine bytes from the module. It appends what it sends to out.
func (m *Machine) Feed(now when.Instant, b []byte, out []byte) []byte {
	out = m.Tick(now, out)
	if len(b) == 0 || m.phase == over {
		return out
	}
	m.quietFrom = now
	if s := m.stepNow(); m.phase == awaiting && s.Await.QuietMS > 0 {
		m.due = min(now.Add(ms(s.Await.QuietMS)), m.limit)
	}
	for _, c := range b {
		if line, ok := m.rx.push(c); ok {
			m.heard(now, line)
		} else if m.rx.prompt() && (m.phase == prompting) {
			m.rx.clear()
			m.phase, m.due = pausing, now.Add(ms(PromptPauseMS))
		}
		if m.phase == over {
			break
		}
	}
	return out
}

// Tick tells the machine that time has reached now.
func (m *Machine) Tick(now when.Instant, out []byte) []byte {
	if !m.started {
		m.started, m.began, m.due, m.quietFrom = true, now, now, now
	}
	for m.phase != over {
		at, _ := m.Deadline()
		if at > now {
			break
		}
		if at == m.end() && at < m.due {
			m.finish(at, Stopped, fmt.Sprintf("the time for the whole procedure, %v, is used up", ms(m.totalMS())))
			m.phase = over
			break
		}
		out = m.fire(at, out)
	}
	return out
}

// Deadline says when Tick is next wanted, and why.
func (m *Machine) Deadline() (at when.Instant, why string) {
	if m.phase == over {
		return when.Never, ""
	}
	if !m.started {
		return 0, "the procedure begins"
	}
	if end := m.end(); end < m.due {
		return end, "the time for the whole procedure"
	}
	return m.due, reasons[m.phase]
}

var reasons = [...]string{
	ready: "the next command", prompting: "no prompt", pausing: "the text", answering: "no final result",
	awaiting: "what is awaited", resting: "the next step", guarding: "silence before +++", escaping: "the escape works", cancelling: "text entry is left",
}

func (m *Machine) totalMS() int {
	if m.procedure.Budget.MaxTotalMS > 0 {
		return m.procedure.Budget.MaxTotalMS
	}
	return DefaultTotalMS
}

func (m *Machine) end() when.Instant { return m.began.Add(ms(m.totalMS())) }

func (m *Machine) stepNow() *Step { return &m.procedure.Steps[m.step] }

// fire does what is due at now.
func (m *Machine) fire(now when.Instant, out []byte) []byte {
	switch m.phase {
	case ready:
		return m.begin(now, out)
	case guarding:
		m.phase, m.due = escaping, now.Add(ms(GuardMS))
		return append(out, "+++"...)
	case escaping:
		return m.send(now, out)
	case prompting:
		if m.rx.half() { // a module that leaves out the space
			m.rx.clear()
			m.phase, m.due = pausing, now
			return out
		}
		m.phase, m.due = cancelling, now.Add(ms(SettleMS))
		return append(out, 0x1b) // in case the prompt was only missed: never leave text entry open
	case cancelling:
		m.finish(now, NoAnswer, fmt.Sprintf("no prompt within %v", ms(PromptWaitMS)))
	case pausing:
		return m.sendText(now, out)
	case answering:
		m.finish(now, NoAnswer, fmt.Sprintf("no final result within %v", now.Sub(m.current.BeganAt)))
	case awaiting:
		if m.stepNow().Await.QuietMS > 0 && now.Sub(m.quietFrom) >= ms(m.stepNow().Await.QuietMS) {
			m.finish(now, OK, "")
		} else {
			m.finish(now, NoAnswer, "what was awaited did not come")
		}
	case resting:
		m.move(now)
	}
	return out
}

// finish ends a try: it is tried again, or its outcome is logged and the next step chosen.
func (m *Machine) finish(now when.Instant, o Outcome, why string) {
	s := m.stepNow()
	m.current.Outcome, m.current.Why, m.current.AnsweredA = o, why, now
	if o != OK && o != Refused && o != Stopped && m.try < s.Tries {
		m.phase, m.due = ready, now.Add(max(m.backoff(s), ms(SettleMS)))
		return
	}
	m.record()
	m.try = 0
	m.phase, m.due = resting, now.Add(max(ms(s.PauseMS), ms(SettleMS)))
	m.next = m.nextStep(s, o)
}

// backoff doubles with each try.
func (m *Machine) backoff(s *Step) time.Duration {
	d := ms(s.BackoffMS)
	for range m.try - 1 {
		d *= 2
		if d > 24*time.Hour || (s.MaxBackoffMS > 0 && d > ms(s.MaxBackoffMS)) {
			break
		}
	}
	if s.MaxBackoffMS > 0 {
		d = min(d, ms(s.MaxBackoffMS))
	}
	return min(d, 24*time.Hour)
}

func (m *Machine) record() {
	if len(m.log) >= MaxLog {
		m.log = append(m.log[:0], m.log[MaxLog/2:]...)
		m.dropped += MaxLog / 2
	}
	m.log = append(m.log, m.current)
}

// nextStep follows the branch of an outcome; -1 ends the run.
func (m *Machine) nextStep(s *Step, o Outcome) int {
	to := "stop"
	switch o {
	case OK:
		to = orElse(s.On.OK, "continue")
	case Failed:
		to = orElse(s.On.Failed, "stop")
	case NoAnswer:
		to = orElse(s.On.NoAnswer, "stop")
	case NotYet:
		to = orElse(s.On.NotYet, "stop")
	case Refused:
		to = orElse(s.On.Refused, "stop")
	}
	m.gaveUp = to == "stop"
	m.moves++
	switch {
	case to == "continue" && m.step+1 < len(m.procedure.Steps) && m.moves < MaxMoves:
		return m.step + 1
	case strings.HasPrefix(to, "goto ") && m.moves < MaxMoves:
		return m.procedure.find(strings.TrimPrefix(to, "goto "))
	}
	return -1
}

func orElse(s, other string) string {
	if s != "" {
		return s
	}
	return other
}

// move goes on to the step that was chosen.
func (m *Machine) move(now when.Instant) {
	if m.next < 0 {
		m.phase = over
		return
	}
	m.step, m.phase, m.due = m.next, ready, now
}

func ms(n int) time.Duration { return time.Duration(n) * time.Millisecond }
