package bringup

import (
	"fmt"
	"io"
	"time"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/maybe"
	"firstfix/internal/script/procedure"
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sheet"
)

// WalkOptions are what the person allowed and gave for one live check.
type WalkOptions struct {
	Sheet *sheet.Sheet // how this module spells its duties; nil: the standard's own
	Baud  int          // of the line; 0 when it has none. When nothing answers there, the usual ones are tried.
	// Free: the line leads to the stand-in, texts cost nothing. Otherwise Spend is
	// how many texts may be sent.
	Free  bool
	Spend int
	// Number is where test texts go; "" takes the card's own (+CNUM).
	Number       string
	PIN          string // the card's PIN, if the person gave it for this run
	PINTriesLeft maybe.Value[int]
	Label        string // what the device is called in a report: "trailer 07"
	Nonce        int    // tells this run's test text from an older one
}

// Walker is the controller's seat of a line: it walks the chain, asks each link's
// questions, and stops where a link that others need is broken. It is a machine
// without hands. The cleaner it leaves the module, the better: what it changed
// (text mode, error numbers, the position engine) it puts back.
type Walker struct {
	options WalkOptions
	judge   *rulebook.Judge
	facts   *Facts
	walked  *Walked
	records []capture.Record

	machine     *procedure.Machine
	link        *Check
	questions   Questions
	handled     map[string]bool
	values      map[string]string
	unsupported map[string]bool
	changed     map[string]bool
	spent       int
	cleaning    bool
	done        bool
	started     bool
	began, now  when.Instant
	baud        int // at which the line is to be; 0 when it has none
}

// Questions is what a check's Ask sees.
type Questions struct {
	Facts   *Facts
	Options *WalkOptions
	Walk    *Walked
	Round   int          // procedures this check has held
	Since   when.Instant // when this check began
	Now     when.Instant
	Done    map[string]int // what was done in this walk, by the checks' own names
	walker  *Walker
}

// MaxWalk bounds a walk: searching, waiting for a fix and for texts, each at its
// longest, take ten minutes.
const MaxWalk = 15 * time.Minute

// maxRecords bounds the walker's own memory of the line; a walk at its longest, with
// ten sentences a second, has 9000.
const maxRecords = 100_000

// NewWalker prepares a walk.
func NewWalker(o WalkOptions) *Walker {
	if o.Sheet == nil {
		o.Sheet, _ = sheet.Builtin("standard")
	}
	if o.Label == "" {
		o.Label = "tracker"
	}
	w := &Walker{
		options: o, handled: map[string]bool{}, values: map[string]string{}, unsupported: map[string]bool{}, changed: map[string]bool{},
		walked: &Walked{Asked: map[string]bool{}, NotReached: map[string]string{}, Cautious: !o.Free && o.Spend == 0, Number: o.Number},
	}
	w.judge = rulebook.NewJudge(nil, w.info(), rulebook.Options{PlacesPerRule: 1, Banners: readyBanners(o.Sheet)})
	w.facts = Gather(w.judge, o.Sheet)
	w.facts.Walk = w.walked
	w.facts.quick = true
	w.baud = o.Baud
	w.questions = Questions{Facts: w.facts, Options: &w.options, Walk: w.walked, Done: map[string]int{}, walker: w}
	return w
}

func (w *Walker) info() capture.Info {
	return capture.Info{Kind: "check", Baud: w.options.Baud, TimesKnown: true, DirectionsKnown: true}
}

// Baud is the speed at which the walker wants its end of the line; 0 when it does not
// care. It is the speed given until nothing answers there. Whoever drives the walker follows it.
func (w *Walker) Baud() int { return w.baud }

// tune changes the speed of our end. Nothing is said to the module about it.
func (w *Walker) tune(baud int) {
	if baud == w.baud {
		return
	}
	w.baud = baud
	w.take(capture.Record{At: w.now, From: capture.Controller, Event: fmt.Sprintf("speed %d", baud)})
}

// Done says that the walk is over.
func (w *Walker) Done() bool { return w.done }

// Link says which link is being asked, for a person who waits; "" at the end.
func (w *Walker) Link() string {
	switch {
	case w.done:
		return ""
	case w.link == nil:
		return "tidying up"
	}
	return w.link.Title
}

// Walked says what was asked. It is complete when the walk is done.
func (w *Walker) Walked() *Walked { return w.walked }

// Feed gives the walker bytes from the module. It appends what it sends to out.
func (w *Walker) Feed(now when.Instant, b []byte, out []byte) []byte {
	out = w.Tick(now, out)
	if len(b) == 0 {
		return out
	}
	w.record(now, capture.Module, string(b))
	if w.machine != nil {
		before := len(out)
		out = w.machine.Feed(now, b, out)
		w.sent(now, out[before:])
	}
	return out
}

// Tick tells the walker that time has reached now.
func (w *Walker) Tick(now when.Instant, out []byte) []byte {
	if !w.started {
		w.started, w.began = true, now
	}
	w.now = now
	w.judge.Tick(capture.Record{At: now})
	for !w.done {
		if w.machine == nil && !w.advance(now) {
			w.done = true
			break
		}
		before := len(out)
		out = w.machine.Tick(now, out)
		w.sent(now, out[before:])
		if !w.machine.Done() {
			break
		}
		w.finish()
	}
	return out
}

// Deadline says when Tick is next wanted, and why.
func (w *Walker) Deadline() (at when.Instant, why string) {
	switch {
	case w.done:
		return when.Never, ""
	case w.machine == nil:
		return w.now, "the next questions"
	}
	return w.machine.Deadline()
}

func (w *Walker) sent(now when.Instant, b []byte) {
	if len(b) > 0 {
		w.record(now, capture.Controller, string(b))
	}
}

func (w *Walker) record(now when.Instant, from capture.Direction, bytes string) {
	w.take(capture.Record{At: now, From: from, Bytes: bytes})
}

func (w *Walker) take(r capture.Record) {
	r.Number = len(w.records) + 1
	w.judge.Feed(r)
	w.facts.Record(r)
	if len(w.records) < maxRecords {
		w.records = append(w.records, r)
	}
}

// finish takes in how a procedure went.
func (w *Walker) finish() {
	m := w.machine
	w.machine = nil
	w.spent += m.Spent()
	for _, r := range m.Log() {
		for name, value := range r.Captured {
			w.values[name] = value
		}
		switch {
		case r.Outcome == procedure.OK:
			w.changed[r.Sent] = true
		case r.Outcome == procedure.Failed && notThere(r.Final):
			w.unsupported[r.Sent] = true
		}
	}
}

// notThere says that a result means the command does not exist here: a bare error, or
// 27.007 9.2: 3 not allowed, 4 not supported, 50 wrong parameter, 100 unknown.
func notThere(r at.Result) bool {
	return r.Kind == at.Error || rulebook.IsCME(r, 3, 4, 50, 100)
}

// advance chooses what is held next; false when nothing is left.
func (w *Walker) advance(now when.Instant) bool {
	q := &w.questions
	for {
		if w.link == nil && !w.next(now) {
			return w.tidy()
		}
		q.Now = now
		var p *procedure.Procedure
		if now.Sub(w.began) < MaxWalk && w.link.Ask != nil {
			p = w.link.Ask(q)
		}
		if p != nil {
			q.Round++
			w.hold(p)
			return true
		}
		w.handled[w.link.Link], w.link = true, nil
	}
}

// next finds the next check whose turn it is; false when none is left.
func (w *Walker) next(now when.Instant) bool {
	for moved := true; moved; {
		moved = false
		for _, c := range Checks {
			if w.handled[c.Link] || !w.allHandled(c.Needs) || !w.allHandled(c.After) {
				continue
			}
			moved = true
			if broken := w.broken(c.Needs); broken != "" {
				w.handled[c.Link], w.walked.NotReached[c.Link] = true, broken
				continue
			}
			if w.broken(c.After) != "" {
				w.handled[c.Link] = true
				continue
			}
			w.link, w.walked.Asked[c.Link] = c, true
			w.questions.Round, w.questions.Since = 0, now
			return true
		}
	}
	return false
}

func (w *Walker) allHandled(links []string) bool {
	for _, l := range links {
		if !w.handled[l] {
			return false
		}
	}
	return true
}

// broken returns the title of the first link that is broken or was not reached.
func (w *Walker) broken(links []string) string {
	for _, l := range links {
		if before, ok := w.walked.NotReached[l]; ok {
			return before
		}
		c := checkOf(l)
		if j := c.Verdict(w.facts); j.State == verdict.Broken && !j.Passable {
			return c.Title
		}
	}
	return ""
}

func (w *Walker) hold(p *procedure.Procedure) {
	values := map[string]string{}
	for name, value := range w.values {
		values[name] = value
	}
	o := procedure.Options{
		Sheet: w.options.Sheet, Values: values, Free: w.options.Free, Spend: w.options.Spend - w.spent,
		PIN: w.options.PIN, PINTriesLeft: w.options.PINTriesLeft,
	}
	if left, ok := w.facts.Card.TriesLeft.Get(); ok {
		o.PINTriesLeft = maybe.Known(left)
	}
	m, err := procedure.New(p, o)
	if err != nil {
		panic(fmt.Sprintf("bringup: the procedure %s of our own is broken: %v", p.Name, err))
	}
	w.machine = m
}

// tidy puts back what the walk changed; false when there is nothing to put back, or it was done.
func (w *Walker) tidy() bool {
	if w.cleaning || !w.facts.Line.Answered.Is() || w.facts.Line.Streak >= hung {
		return false
	}
	w.cleaning = true
	var steps []procedure.Step
	if d, ok := w.options.Sheet.Duty(sheet.PositionStream); ok && w.changed[d.Send] {
		if _, ok := w.options.Sheet.Duty(sheet.PositionStreamOff); ok {
			steps = append(steps, duty(sheet.PositionStreamOff))
		}
	}
	if d, ok := w.options.Sheet.Duty(sheet.PositionOn); ok && w.changed[d.Send] {
		if _, ok := w.options.Sheet.Duty(sheet.PositionOff); ok {
			steps = append(steps, duty(sheet.PositionOff))
		}
	}
	if w.changed["AT+CMGF=1"] && w.values["cmgf"] == "0" {
		steps = append(steps, try("AT+CMGF=0"))
	}
	if level := w.values["cmee"]; w.changed["AT+CMEE=1"] && level != "" && level != "1" {
		steps = append(steps, try("AT+CMEE={cmee}"))
	}
	if len(steps) == 0 {
		return false
	}
	w.hold(ask("tidy-up", steps...))
	return true
}

// Source gives what passed the line as the walker saw it, for [CheckVerdict].
func (w *Walker) Source() capture.Source { return &memory{records: w.records, info: w.info()} }

type memory struct {
	records []capture.Record
	info    capture.Info
}

func (m *memory) Next() (capture.Record, error) {
	if len(m.records) == 0 {
		return capture.Record{}, io.EOF
	}
	r := m.records[0]
	m.records = m.records[1:]
	return r, nil
}

func (m *memory) Info() capture.Info { return m.info }

// goOn: a bring-up question whose answer is an error or nothing is an answer too.
var goOn = procedure.On{Failed: "continue", NoAnswer: "continue", NotYet: "continue"}

// ask makes a procedure of our own.
func ask(name string, steps ...procedure.Step) *procedure.Procedure {
	p := &procedure.Procedure{Name: name, Steps: steps}
	for i := range p.Steps {
		if p.Steps[i].On == (procedure.On{}) && p.Steps[i].Tries == 0 {
			p.Steps[i].On = goOn
		}
		if p.Steps[i].Text != "" {
			p.Budget.Texts++
		}
	}
	return p
}

// try asks one command and goes on, whatever comes.
func try(send string) procedure.Step {
	s := procedure.Step{Send: send, On: goOn}
	if name, ok := kept[send]; ok {
		s.Capture = []procedure.Capture{name}
	}
	return s
}

// kept are settings that the walk may change and then puts back.
var kept = map[string]procedure.Capture{
	"AT+CMEE?": {Name: "cmee", Answer: "+CMEE", Param: 1},
	"AT+CMGF?": {Name: "cmgf", Answer: "+CMGF", Param: 1},
}

func duty(name string) procedure.Step { return procedure.Step{Duty: name, On: goOn} }

// Unsupported says that this module refused a command as one it does not have.
func (q *Questions) Unsupported(send string) bool { return q.walker.unsupported[send] }

// Asked says whether a link's questions were asked in this walk.
func (q *Questions) Asked(link string) bool { return q.Walk.Asked[link] }

func (q *Questions) maySpend() bool { return q.Options.Free || q.walker.spent < q.Options.Spend }

// ownNumber is where test texts go: the person's word, else the card's.
func (q *Questions) ownNumber() string {
	if q.Options.Number != "" {
		return q.Options.Number
	}
	return q.Facts.Card.Number
}

// sendTo sends a text in text mode.
func (q *Questions) sendTo(number, text string) *procedure.Procedure {
	q.walker.values["number"], q.walker.values["text"] = number, text
	return ask("send",
		procedure.Step{Name: "text mode", Send: "AT+CMGF=1", On: goOn},
		procedure.Step{Name: "send", Send: `AT+CMGS="{number}"`, Text: "{text}", On: goOn})
}

func readyBanners(s *sheet.Sheet) []string {
	var lines []string
	if s != nil {
		for _, b := range s.Banners {
			if b.Means == sheet.Ready {
				lines = append(lines, b.Text)
			}
		}
	}
	return lines
}
