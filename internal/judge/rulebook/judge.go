package rulebook

import (
	"slices"

	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
)

// Options are what a caller may choose about a review.
type Options struct {
	// PlacesPerRule is how many places of one rule are kept with their evidence;
	// further ones are counted. 0 keeps all: only for fixtures, it is not bounded.
	PlacesPerRule int

	// Banners are lines that this module prints when it starts, from its sheet,
	// beside those that any module is believed to print.
	Banners []string
}

// Judge runs rules over a dialogue as it comes in. Feed it records in order,
// then End. It holds a bounded amount, whatever the length.
type Judge struct {
	options  Options
	about    capture.Info
	known    witness.Witness
	passes   []*Pass
	dialogue *dialogue.Assembler
	epochs   *epoch.Assembler
	events   []dialogue.Event // reused
	done     []*epoch.Epoch   // reused
	scanned  nmea.Sentence    // reused
	sent     []*Sent          // the last few, shared by the rules
	open     []*dialogue.Exchange
	strength struct {
		known bool // of the epoch that is being handled
		heard int
		mean  float64
	}
	muddled bool // a restart left exchanges open that nobody will answer

	asked, prompted, texted, answered []func(*dialogue.Exchange)
	unsolicited                       []func(line, body dialogue.Line, a at.Answer)
	sentence                          []func(dialogue.Line, *nmea.Sentence)
	epoch                             []func(*epoch.Epoch)
	stray, garbled, data              []func(dialogue.Line)
	noted                             []func(dialogue.Line, string)
	registration                      []func(*witness.Registration)
	message                           []func(*witness.Message)
	restart                           []func(witness.Restart)
	position                          []func(*witness.SentPosition)
	end                               []ending

	commands, results byName[func(*dialogue.Exchange, *at.Command)]
	info              byName[func(*dialogue.Exchange, dialogue.Line, at.Answer)]
	reports           byName[func(line, body dialogue.Line, a at.Answer)]
}

// byName keeps handlers that care about one name each.
type byName[T any] map[string][]T

func (b *byName[T]) add(name string, f T) {
	if *b == nil {
		*b = make(byName[T])
	}
	(*b)[name] = append((*b)[name], f)
}

// NewJudge prepares a review of a capture of which info is known.
func NewJudge(rules []*Rule, info capture.Info, options Options) *Judge {
	j := &Judge{options: options, about: info, dialogue: dialogue.New(), epochs: epoch.New()}
	j.known.TimesKnown = info.TimesKnown
	j.known.Banners = options.Banners
	for _, r := range rules {
		p := &Pass{rule: r, judge: j}
		j.passes = append(j.passes, p)
		r.Watch(p)
	}
	return j
}

// Listen adds a hearer that is not a rule, such as the timing table: it may ask
// for events but has nothing to report.
func (j *Judge) Listen(watch func(p *Pass)) {
	watch(&Pass{rule: &Rule{}, judge: j})
}

// Known is what the dialogue has shown so far.
func (j *Judge) Known() *witness.Witness { return &j.known }

// Feed gives the judge the next record.
func (j *Judge) Feed(r capture.Record) {
	if l, ok := j.dialogue.Sentence(&r); ok {
		j.perSentence(&l)
		return
	}
	j.events = j.dialogue.Feed(r, j.events[:0])
	j.handle(j.events)
}

// Tick tells the judge that time has reached now and nothing else happened.
func (j *Judge) Tick(r capture.Record) {
	j.events = j.dialogue.Tick(r.At, j.events[:0])
	j.handle(j.events)
}

// End tells the judge that the dialogue is over.
func (j *Judge) End() {
	j.events = j.dialogue.End(j.events[:0])
	j.handle(j.events)
	j.done = j.epochs.End(j.done[:0])
	j.finishEpochs(j.done)
	for _, e := range j.end {
		e.do()
	}
}

func (j *Judge) handle(events []dialogue.Event) {
	for i := range events {
		e := &events[i]
		j.dispatch(e)
		seen := j.known.See(e)
		for _, r := range seen.Restarts {
			j.muddled = len(j.open) > 0
			call(j.restart, r)
		}
		for i := range seen.Registrations {
			call(j.registration, &seen.Registrations[i])
		}
		for _, m := range seen.Messages {
			call(j.message, m)
		}
		for _, s := range seen.Positions {
			call(j.position, s)
		}
	}
}

func (j *Judge) dispatch(e *dialogue.Event) {
	switch e.Kind {
	case dialogue.Asked:
		j.muddled = j.muddled && len(j.open) > 0
		call(j.asked, e.X)
		j.perCommand(j.commands, e.X)
		j.open = append(j.open, e.X)
	case dialogue.Prompted:
		call(j.prompted, e.X)
	case dialogue.Texted:
		call(j.texted, e.X)
	case dialogue.Answered:
		if i := slices.Index(j.open, e.X); i >= 0 {
			j.open = slices.Delete(j.open, i, i+1)
		}
		call(j.answered, e.X)
		j.perCommand(j.results, e.X)
		j.perInfo(e.X)
	case dialogue.Unsolicited:
		j.perReport(e)
	case dialogue.Sentence:
		j.perSentence(&e.Line)
	case dialogue.Stray:
		call(j.stray, e.Line)
	case dialogue.Garbled:
		call(j.garbled, e.Line)
	case dialogue.Data:
		call(j.data, e.Line)
	case dialogue.Noted:
		for _, f := range j.noted {
			f(e.Line, e.Note)
		}
	}
}

func (j *Judge) perCommand(handlers byName[func(*dialogue.Exchange, *at.Command)], x *dialogue.Exchange) {
	for i := range x.Parsed.Commands {
		c := &x.Parsed.Commands[i]
		for _, f := range handlers[c.Name] {
			f(x, c)
		}
	}
}

func (j *Judge) perInfo(x *dialogue.Exchange) {
	for _, line := range x.Info {
		name, _ := at.AnswerName(line.Text)
		if handlers := j.info[name]; len(handlers) > 0 {
			a, _ := at.ParseAnswer(line.Text)
			for _, f := range handlers {
				f(x, line, a)
			}
		}
	}
}

func (j *Judge) perReport(e *dialogue.Event) {
	name, _ := at.AnswerName(e.Line.Text)
	handlers := j.reports[name]
	if len(handlers) == 0 && len(j.unsolicited) == 0 {
		return
	}
	a, _ := at.ParseAnswer(e.Line.Text)
	for _, f := range j.unsolicited {
		f(e.Line, e.Body, a)
	}
	for _, f := range handlers {
		f(e.Line, e.Body, a)
	}
}

func (j *Judge) perSentence(l *dialogue.Line) {
	// The error is in the record: a bad checksum, too many fields.
	_ = nmea.Scan(l.Text, &j.scanned)
	for _, f := range j.sentence {
		f(*l, &j.scanned)
	}
	source := epoch.Source{Record: l.Record, SourceLine: l.SourceLine, At: l.Began, Text: l.Text}
	j.done = j.epochs.Add(source, &j.scanned, j.done[:0])
	j.finishEpochs(j.done)
}

func (j *Judge) finishEpochs(done []*epoch.Epoch) {
	for _, e := range done {
		j.strength.known = false
		call(j.epoch, e)
		j.known.SeeEpoch(e)
	}
}

func call[T any](handlers []func(T), arg T) {
	for _, f := range handlers {
		f(arg)
	}
}
