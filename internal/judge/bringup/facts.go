package bringup

import (
	"strconv"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sheet"
	"firstfix/internal/wire/uart"
)

// Facts are what a dialogue showed, link by link. They are gathered from any
// dialogue: a live line, the stand-in, a recording that already holds the
// answers. They take a bounded amount, whatever the length.
type Facts struct {
	Counts verdict.Counts

	Line    LineFacts
	Module  ModuleFacts
	Supply  SupplyFacts
	Card    CardFacts
	Network NetworkFacts
	Texts   TextFacts
	Calls   CallFacts
	Sky     SkyFacts
	Fix     FixFacts
	Report  ReportFacts

	Errors   []ErrorCount // by kind and number, in the order of their first coming
	Findings []finding.Finding
	Saw      []Observation // what a person saw or measured
	Walk     *Walked       // what a live check asked; nil for a recording

	sheet   *sheet.Sheet // whose spellings are known; nil for none
	pass    *rulebook.Pass
	guess   []uart.Guess
	guessed int                // bytes of noise that guess is for
	mixed   bool               // more than one device seems to talk in the recording
	placed  bool               // and positions were told, though none is judged
	quick   bool               // only the states count: no guesses that cost time
	sender  *dialogue.Exchange // the last that makes the radio send
	began   when.Instant
	now     when.Instant
}

// Walked is what a live check asked, beside what the line then showed.
type Walked struct {
	Asked      map[string]bool   // links whose questions were asked
	NotReached map[string]string // links that were not, and the broken one before them
	Cautious   bool              // nothing may be spent
	Composed   string            // the text that would report the position; "" when there was no fix
	Number     string            // where the person wanted test texts to go
	Sent       string            // the text that was sent to the own number; "" for none
}

// Seen is a line worth quoting and how often its like was seen. The zero Seen was never seen.
type Seen struct {
	First, Last dialogue.Line
	Times       int
}

func (s *Seen) see(l dialogue.Line) {
	if s.Times == 0 {
		s.First = l
	}
	s.Last = l
	s.Times++
}

// Is says whether it was seen at all.
func (s *Seen) Is() bool { return s.Times > 0 }

// ErrorCount is one error code and how often it came.
type ErrorCount struct {
	Kind at.ResultKind
	Code int // -1 for an error without number
	Seen
}

// Limits of what is kept, so that a dialogue of any length needs the same room.
const (
	maxErrors  = 64   // the two standards have 183 codes; one dialogue shows a handful
	maxSample  = 2048 // bytes of noise: enough to tell two speeds apart
	maxHistory = 32   // changes of the card's state
	maxStarts  = 16   // restarts kept with their evidence
)

// Gather begins to collect facts from a judge's dialogue.
func Gather(j *rulebook.Judge, s *sheet.Sheet) *Facts {
	f := &Facts{sheet: s, began: -1}
	j.Listen(f.watch)
	return f
}

func (f *Facts) watch(p *rulebook.Pass) {
	f.pass = p
	f.Line.Baud = p.Info().Baud
	p.OnNoted(func(_ dialogue.Line, note string) {
		if n, err := strconv.Atoi(strings.TrimPrefix(note, "speed ")); err == nil && n > 0 {
			f.Line.speed(n)
			f.guessed = 0
		}
	})
	p.OnAsked(func(x *dialogue.Exchange) { f.at(x.AskedAt); f.asked(x) })
	p.OnAnswered(func(x *dialogue.Exchange) { f.at(x.DoneAt); f.answered(x) })
	p.OnUnsolicited(func(line, body dialogue.Line, a at.Answer) {
		f.at(line.At)
		f.Counts.Unsolicited++
		f.unasked(line)
	})
	p.OnStray(func(l dialogue.Line) { f.at(l.At); f.Counts.Stray++ })
	p.OnGarbled(func(l dialogue.Line) { f.at(l.At); f.garbled(l) })
	f.watchModule(p)
	f.watchCard(p)
	f.watchNetwork(p)
	f.watchTexts(p)
	f.watchSky(p)
	f.watchReport(p)
}

// Record counts a record that was fed to the judge.
func (f *Facts) Record(r capture.Record) {
	f.Counts.Records++
	f.Counts.Bytes += int64(len(r.Bytes))
	f.at(r.At)
	switch r.From {
	case capture.Controller:
		f.Line.ControllerBytes += int64(len(r.Bytes))
	case capture.Module:
		f.Line.ModuleBytes += int64(len(r.Bytes))
	}
}

func (f *Facts) at(t when.Instant) {
	if f.began < 0 {
		f.began = t
	}
	f.now = max(f.now, t)
}

// See makes a piece of evidence of a line.
func (f *Facts) See(l dialogue.Line, note string) finding.Evidence { return f.pass.See(l, note) }

// Known is the witness of the dialogue.
func (f *Facts) Known() *witness.Witness { return f.pass.Known() }

// Times says whether times mean anything.
func (f *Facts) Times() bool { return f.pass.TimesKnown() }

// Elapsed is how long the dialogue has lasted so far, in seconds.
func (f *Facts) Elapsed() float64 {
	if f.began < 0 {
		return 0
	}
	return f.now.Sub(f.began).Seconds()
}

// WasAsked says that a live check asked this link's questions.
func (f *Facts) WasAsked(link string) bool { return f.Walk != nil && f.Walk.Asked[link] }

// Error returns how often an error code was seen.
func (f *Facts) Error(kind at.ResultKind, codes ...int) (s Seen) {
	for i := range f.Errors {
		for _, c := range codes {
			if e := &f.Errors[i]; e.Kind == kind && e.Code == c {
				if s.Times == 0 || e.First.Record < s.First.Record {
					s.First = e.First
				}
				if e.Last.Record > s.Last.Record {
					s.Last = e.Last
				}
				s.Times += e.Times
			}
		}
	}
	return s
}

// CME and CMS are the two kinds of error with numbers.
func (f *Facts) CME(codes ...int) Seen { return f.Error(at.CMEError, codes...) }

// CMS is the kind of TS 27.005.
func (f *Facts) CMS(codes ...int) Seen { return f.Error(at.CMSError, codes...) }

func (f *Facts) countError(r at.Result, l dialogue.Line) {
	code := -1
	if r.Kind == at.CMEError || r.Kind == at.CMSError {
		code = rulebook.Code(r)
	}
	for i := range f.Errors {
		if f.Errors[i].Kind == r.Kind && f.Errors[i].Code == code {
			f.Errors[i].see(l)
			return
		}
	}
	if len(f.Errors) < maxErrors {
		e := ErrorCount{Kind: r.Kind, Code: code}
		e.see(l)
		f.Errors = append(f.Errors, e)
	}
}

// FoundBy returns the first finding of a rule.
func (f *Facts) FoundBy(r *rulebook.Rule) (finding.Finding, bool) {
	for _, x := range f.Findings {
		if x.Rule == r.Name {
			return x, true
		}
	}
	return finding.Finding{}, false
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return rulebook.Count(n) + " " + many
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return rulebook.Count(n) + " times"
}

func orElse(s, other string) string {
	if s != "" {
		return s
	}
	return other
}
