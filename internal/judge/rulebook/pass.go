package rulebook

import (
	"strconv"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
)

// Pass is all a rule sees and all it can do. A rule's Watch is called once for
// each review; it keeps its state in its own variables and asks for the events
// it wants. Handlers run in the order of the dialogue.
type Pass struct {
	rule    *Rule
	judge   *Judge
	found   []*Reported
	quotes  []string // for the next finding
	dropped int
}

// Known is what the dialogue had shown before the event that is being handled.
// Handlers of what the witness itself saw (OnMessage, OnPosition, OnRestart,
// OnRegistration) are called last: for them it holds that event too.
func (p *Pass) Known() *witness.Witness { return &p.judge.known }

// TimesKnown says whether the times of the records mean anything. A rule that
// measures time stays silent when they do not.
func (p *Pass) TimesKnown() bool { return p.judge.about.TimesKnown }

// Info is what is known about the capture.
func (p *Pass) Info() capture.Info { return p.judge.about }

// OnAsked is called when a command line is complete. The exchange is still open.
func (p *Pass) OnAsked(f func(x *dialogue.Exchange)) { p.judge.asked = append(p.judge.asked, f) }

// OnPrompted is called when the module asks for text.
func (p *Pass) OnPrompted(f func(x *dialogue.Exchange)) {
	p.judge.prompted = append(p.judge.prompted, f)
}

// OnTexted is called when the text for the module is complete, early or not.
func (p *Pass) OnTexted(f func(x *dialogue.Exchange)) { p.judge.texted = append(p.judge.texted, f) }

// OnAnswered is called when an exchange is over, however it ended.
func (p *Pass) OnAnswered(f func(x *dialogue.Exchange)) {
	p.judge.answered = append(p.judge.answered, f)
}

// OnCommand is called, like OnAsked, for each command of that name in a command
// line. A rule that cares about one command costs nothing at all others.
func (p *Pass) OnCommand(name string, f func(x *dialogue.Exchange, c *at.Command)) {
	p.judge.commands.add(name, f)
}

// OnResult is called, like OnAnswered, for each command of that name in the command line of an exchange that is over.
func (p *Pass) OnResult(name string, f func(x *dialogue.Exchange, c *at.Command)) {
	p.judge.results.add(name, f)
}

// OnInfo is called for each line "NAME: …" of an answer, when the exchange is over.
func (p *Pass) OnInfo(name string, f func(x *dialogue.Exchange, line dialogue.Line, a at.Answer)) {
	p.judge.info.add(name, f)
}

// OnReport is called for each line "NAME: …" said unasked. Body is its second line, where it has one.
func (p *Pass) OnReport(name string, f func(line, body dialogue.Line, a at.Answer)) {
	p.judge.reports.add(name, f)
}

// OnUnsolicited is called for a line said unasked. Body is its second line, where it has one.
func (p *Pass) OnUnsolicited(f func(line, body dialogue.Line, a at.Answer)) {
	p.judge.unsolicited = append(p.judge.unsolicited, f)
}

// OnSentence is called for every GNSS sentence, good or bad. s is only lent: copy what must stay.
func (p *Pass) OnSentence(f func(line dialogue.Line, s *nmea.Sentence)) {
	p.judge.sentence = append(p.judge.sentence, f)
}

// OnEpoch is called when all sentences of one instant of measurement are in.
func (p *Pass) OnEpoch(f func(e *epoch.Epoch)) { p.judge.epoch = append(p.judge.epoch, f) }

// OnStray is called for a controller line that is no command and no text that was asked for.
func (p *Pass) OnStray(f func(line dialogue.Line)) { p.judge.stray = append(p.judge.stray, f) }

// OnGarbled is called for bytes that fit nothing.
func (p *Pass) OnGarbled(f func(line dialogue.Line)) { p.judge.garbled = append(p.judge.garbled, f) }

// OnData is called for bytes that passed in data state, after CONNECT; pieces
// end where the other side speaks and after a second of silence.
func (p *Pass) OnData(f func(line dialogue.Line)) { p.judge.data = append(p.judge.data, f) }

// OnNoted is called for an event of the capture: "line-lost", "speed 9600", a person's note.
func (p *Pass) OnNoted(f func(line dialogue.Line, note string)) {
	p.judge.noted = append(p.judge.noted, f)
}

// OnRegistration is called for every word about registration, asked or not, changed or not.
func (p *Pass) OnRegistration(f func(r *witness.Registration)) {
	p.judge.registration = append(p.judge.registration, f)
}

// OnMessage is called for every short message that can be seen, going out or
// coming in. One that goes out is seen when its text is complete: whether the
// network took it ([witness.Message].Accepted) is known only when its exchange is over.
func (p *Pass) OnMessage(f func(m *witness.Message)) { p.judge.message = append(p.judge.message, f) }

// OnRestart is called when there is evidence that the module started anew.
func (p *Pass) OnRestart(f func(r witness.Restart)) { p.judge.restart = append(p.judge.restart, f) }

// OnPosition is called for every position the controller gave away.
// It comes when the text is complete, so that Known still holds the epochs of that moment.
func (p *Pass) OnPosition(f func(s *witness.SentPosition)) {
	p.judge.position = append(p.judge.position, f)
}

// OnEnd is called when the dialogue is over.
//
// [Judge.SoFar] calls it too, as if the dialogue were over by then, and forgets what is
// reported in it. So it should look and report, and change nothing; a rule that cannot do
// without is named to SoFar.
func (p *Pass) OnEnd(f func()) { p.judge.end = append(p.judge.end, ending{p, f, false}) }

// atVeryEnd is OnEnd for what must not happen before.
func (p *Pass) atVeryEnd(f func()) { p.judge.end = append(p.judge.end, ending{p, f, true}) }

// Open returns the exchanges that are not over, the oldest first. One record may
// both ask and answer, so an exchange already knows its outcome while its Asked
// is being handled: only the order of events says what was open when.
//
// After a restart in the middle of an exchange it returns none until all are
// over: the module has forgotten what it was asked, and whose answer is whose
// cannot be told.
func (p *Pass) Open() []*dialogue.Exchange {
	if p.judge.muddled {
		return nil
	}
	return p.judge.open
}

// See makes a piece of evidence of a line. Secrets in it are masked.
func (p *Pass) See(l dialogue.Line, note string) finding.Evidence {
	return finding.Evidence{
		Record: l.Record, SourceLine: l.SourceLine, At: l.Began,
		From: l.From.String(), Text: capture.Mask(strings.Clone(l.Text)), Body: l.Body, Note: note,
	}
}

// Quote puts what somebody wrote to somebody into quotation marks, for the
// message of the next report. A message must not hold such words in any other
// way: reports hide them, and find them by what was quoted here.
func (p *Pass) Quote(text string) string {
	p.quotes = append(p.quotes, strings.Clone(text))
	return strconv.Quote(text)
}

// SeeSource makes a piece of evidence of a sentence of an epoch.
func (p *Pass) SeeSource(s epoch.Source, note string) finding.Evidence {
	return finding.Evidence{
		Record: s.Record, SourceLine: s.SourceLine, At: s.At,
		From: capture.Module.String(), Text: strings.Clone(s.Text), Note: note,
	}
}

// Report says that the rule does not hold. The first piece of evidence is a
// parameter of its own: a finding without evidence does not compile.
//
// What it returns may be let go. A rule that may be disproved by later records keeps it,
// and withdraws.
func (p *Pass) Report(message string, first finding.Evidence, more ...finding.Evidence) *Reported {
	quotes := p.quotes
	p.quotes = nil
	if limit := p.judge.options.PlacesPerRule; limit > 0 && len(p.found) >= limit {
		p.dropped++
		return &Reported{pass: p, dropped: true}
	}
	r := &Reported{pass: p, finding: finding.Finding{
		Rule: p.rule.Name, Severity: p.rule.Severity, Title: p.rule.Title, Message: message,
		Cites: p.rule.Cites, Remedy: p.rule.Remedy, Quotes: quotes,
		Evidence: append([]finding.Evidence{first}, more...),
	}}
	p.found = append(p.found, r)
	return r
}
