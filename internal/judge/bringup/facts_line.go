package bringup

import (
	"slices"
	"strings"
	"time"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/maybe"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
	"firstfix/internal/wire/sheet"
)

// LineFacts are what the line itself showed.
type LineFacts struct {
	AtSpeed           // at the speed the line has now
	Given   AtSpeed   // at the speed it began with; only after it was changed
	others  []AtSpeed // at the speeds before, each once

	ControllerBytes int64
	ModuleBytes     int64

	Answered  Seen // final results
	Echoed    Seen
	Overlaps  Seen // commands sent while another was open
	EarlyText Seen // text sent before the prompt
	OpenText  Seen // text without Ctrl-Z or ESC

	EndCR, EndLF, EndCRLF, EndNone Seen
	TypedEnd                       Seen // a line end typed as letters: AT\r

	SetUps Seen // the controller's first two commands again, in their order, after others

	first, before string // the controller's first command, and the one before this
	second        string
	noiseAtStart  int  // the record of noise that was taken back
	again         bool // the first command came again while a sending one was open

	Sentences Seen
	BadSums   Seen
}

// AtSpeed is what the line showed at one speed: what was read at another tells another story.
type AtSpeed struct {
	Baud       int // 0 when not known
	Asked      Seen
	Readable   Seen // final results and good sentences
	Unanswered Seen // commands that never had a result
	GivenUp    int  // of these, those whose time passed: the others were overtaken by the next
	EchoOnly   Seen // commands that came back as an echo, and nothing else came
	Streak     int  // commands since the last final result
	StreakFrom dialogue.Line

	Garbled      Seen
	GarbledBytes int64
	Noise        []byte // the first bytes that fit nothing
	NoiseFirst   bool   // noise came before anything readable
}

// maxSpeeds bounds the speeds told apart: there are a dozen usual ones.
const maxSpeeds = 32

// speed takes in that the line is read at another speed from here on.
func (l *LineFacts) speed(baud int) {
	if l.Baud == 0 && !l.Asked.Is() && l.GarbledBytes == 0 {
		l.Baud = baud // now it is known
	}
	if baud == l.Baud {
		return
	}
	if len(l.others) == 0 {
		l.Given = l.AtSpeed
	}
	if len(l.others) < maxSpeeds {
		l.others = append(l.others, l.AtSpeed)
	}
	for i := range l.others {
		if l.others[i].Baud == baud {
			l.AtSpeed = l.others[i]
			l.others = slices.Delete(l.others, i, i+1)
			return
		}
	}
	l.AtSpeed = AtSpeed{Baud: baud}
}

// FoundBaud is the speed at which the module answered after it had not at the one given.
func (l *LineFacts) FoundBaud() (baud int, ok bool) {
	if l.Given.Baud == 0 || l.Given.Readable.Is() || l.Baud == l.Given.Baud || !l.Readable.Is() {
		return 0, false
	}
	return l.Baud, true
}

// atGiven is what the line showed at the speed it began with.
func (l *LineFacts) atGiven() *AtSpeed {
	if l.Given.Baud != 0 && l.Baud != l.Given.Baud {
		return &l.Given
	}
	return &l.AtSpeed
}

// Good is how many lines of the module could be read.
func (l *LineFacts) Good() int { return l.Answered.Times + l.Sentences.Times - l.BadSums.Times }

func (f *Facts) asked(x *dialogue.Exchange) {
	l := &f.Line
	f.Counts.Exchanges++
	l.Asked.see(x.Command)
	l.Streak++
	if l.Streak == 1 {
		l.StreakFrom = x.Command
	}
	if f.overlaps(x) {
		l.Overlaps.see(x.Command)
	}
	f.setUp(x.Command)
	for i := range x.Parsed.Commands {
		if rulebook.Transmits(&x.Parsed.Commands[i]) {
			f.sender = x
		}
	}
	switch x.Ending {
	case "\r":
		l.EndCR.see(x.Command)
	case "\r\n":
		l.EndCRLF.see(x.Command)
	case "\n":
		l.EndLF.see(x.Command)
	case "":
		l.EndNone.see(x.Command)
	}
	if strings.HasSuffix(x.Command.Text, `\r`) || strings.HasSuffix(x.Command.Text, `\r\n`) || strings.HasSuffix(x.Command.Text, "/r/n") || strings.HasSuffix(x.Command.Text, "/r") {
		l.TypedEnd.see(x.Command)
	}
}

// overlaps says that a command was sent while the one before was still at work. A bare AT
// is sent again and again to wake a module, and what was waited for to its limit was waited for.
func (f *Facts) overlaps(x *dialogue.Exchange) bool {
	if x.Pending == 0 || x.Previous == nil || len(x.Previous.Parsed.Commands) == 0 {
		return false
	}
	if x.Previous.Outcome == dialogue.Finished && x.Previous.DoneAt <= x.AskedAt {
		return false // an older one is open, which was given up long ago
	}
	return !f.Times() || x.AskedAt.Sub(x.Previous.AskedAt) < rulebook.Limit(x.Previous.Parsed)
}

// setUp sees whether a controller begins again right after it made the radio send, and
// before an answer came. Its first two commands must differ, or any polling would look like it.
func (f *Facts) setUp(c dialogue.Line) {
	l := &f.Line
	switch {
	case l.first == "":
		l.first = strings.Clone(c.Text)
	case l.second == "" && c.Text != l.first:
		l.second = strings.Clone(c.Text)
	case l.second != "" && c.Text == l.first:
		l.again = f.sender != nil && f.sender.Outcome != dialogue.Finished && (!f.Times() || c.At.Sub(f.sender.AskedAt) <= window)
	case l.again && l.before == l.first && c.Text == l.second:
		l.SetUps.see(c)
		l.again = false
	}
	l.before = c.Text
}

func (f *Facts) answered(x *dialogue.Exchange) {
	l := &f.Line
	if x.Echoed {
		l.Echoed.see(x.Command)
	}
	if x.TextEarly {
		l.EarlyText.see(x.Text)
	}
	if !x.Text.IsZero() && x.TextEnd == 0 {
		l.OpenText.see(x.Text)
	}
	switch x.Outcome {
	case dialogue.Finished:
		f.Counts.Finished++
		l.Answered.see(x.Final)
		l.Readable.see(x.Final)
		l.Streak = 0
	case dialogue.Overtaken:
		f.Counts.Overtaken++
	default:
		f.Counts.Unanswered++
		l.GivenUp++
	}
	if x.Outcome != dialogue.Finished {
		l.Unanswered.see(x.Command)
		if x.Echoed && len(x.Info) == 0 && x.Prompt.IsZero() {
			l.EchoOnly.see(x.Command)
		}
	}
	if x.Result.Failed() {
		f.Counts.Failed++
		f.countError(x.Result, x.Final)
	}
	for i := range x.Info {
		f.banner(x.Info[i])
	}
	f.moduleAnswered(x)
}

func (f *Facts) garbled(l dialogue.Line) {
	f.Counts.Garbled++
	f.Line.Garbled.see(l)
	f.Line.GarbledBytes += int64(len(l.Text))
	if f.Line.Good() == 0 {
		f.Line.NoiseFirst = true
	}
	if room := maxSample - len(f.Line.Noise); room > 0 {
		f.Line.Noise = append(f.Line.Noise, l.Text[:min(room, len(l.Text))]...)
	}
}

// startNoise takes back noise that came right before a start: a module that gets power
// rattles its wires, which says nothing about the line.
func (f *Facts) startNoise(r witness.Restart) {
	l := &f.Line
	near := r.Line.Record-l.Garbled.Last.Record <= 1
	if f.Times() {
		near = r.At.Sub(l.Garbled.Last.At) <= 2*time.Second
	}
	if near && l.Garbled.Is() && l.Garbled.Last.Record != l.noiseAtStart {
		l.noiseAtStart = l.Garbled.Last.Record
		l.Garbled.Times--
	}
}

func (f *Facts) sentenceSeen(l dialogue.Line, s *nmea.Sentence) {
	f.Counts.Sentences++
	f.Line.Sentences.see(l)
	if s.HasSum && !s.SumOK() {
		f.Line.BadSums.see(l)
		return
	}
	f.Line.Readable.see(l)
}

// ModuleFacts are what the module said about itself.
type ModuleFacts struct {
	Identity    []string // lines that answered the questions for it
	IdentityAt  dialogue.Line
	Ready       Seen // banners at start-up
	PowerDown   Seen
	Restarts    []witness.Restart // not asked for; the first few
	Restarted   int
	AfterSend   int // of these, within ten seconds after the radio was made to send
	Searching   int // of these, while no network had been found since the start before
	BareErrors  Seen
	Radio       maybe.Value[int] // +CFUN
	RadioAt     dialogue.Line
	TooEarly    Seen // errors of a module that is not ready yet
	Transmitted Seen // things done that make the radio send, and went well
}

// window is how long after a sending command a restart is blamed on it: common practice, no source.
const window = 10 * time.Second

func (f *Facts) watchModule(p *rulebook.Pass) {
	registeredSince, askedSince := false, false
	p.OnRegistration(func(r *witness.Registration) {
		registeredSince, askedSince = registeredSince || r.Registered(), true
	})
	p.OnRestart(func(r witness.Restart) {
		if r.Asked {
			f.startNoise(r)
			registeredSince, askedSince = false, false
			return
		}
		f.startNoise(r)
		m := &f.Module
		m.Restarted++
		if len(m.Restarts) < maxStarts {
			m.Restarts = append(m.Restarts, r)
		}
		switch {
		case f.sender != nil && (!p.TimesKnown() || r.At.Sub(sentAt(f.sender)) <= window):
			m.AfterSend++
		case askedSince && !registeredSince:
			m.Searching++
		}
		registeredSince, askedSince = false, false
	})
	for _, name := range []string{"+CGMI", "+CGMM", "+CGMR", "+GMI", "+GMM", "+GMR", "I"} {
		p.OnResult(name, func(x *dialogue.Exchange, c *at.Command) {
			if c.Form != at.Execute || len(x.Parsed.Commands) != 1 {
				return
			}
			for _, l := range x.Info {
				f.identity(l, name)
			}
		})
	}
	p.OnInfo("+CFUN", func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		if n, ok := rulebook.Int(a.Params, 0); ok {
			f.Module.Radio, f.Module.RadioAt = maybe.Known(n), l
		}
	})
	p.OnResult("+CFUN", func(x *dialogue.Exchange, c *at.Command) {
		if n, ok := rulebook.Int(c.Params, 0); ok && c.Form == at.Set && x.Result.Kind == at.OK {
			f.Module.Radio, f.Module.RadioAt = maybe.Known(n), x.Command
		}
	})
	p.OnInfo("+CBC", func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) { f.battery(l, a) })
}

// sentAt is when a command made the radio send: a text leaves when it is complete.
func sentAt(x *dialogue.Exchange) when.Instant {
	if !x.Text.IsZero() {
		return x.Text.At
	}
	return x.AskedAt
}

func (f *Facts) identity(l dialogue.Line, name string) {
	text := strings.TrimSpace(strings.TrimPrefix(l.Text, name+":"))
	if len(f.Module.Identity) >= 8 || text == "" {
		return
	}
	for _, known := range f.Module.Identity {
		if known == text {
			return
		}
	}
	f.Module.Identity = append(f.Module.Identity, strings.Clone(text))
	f.Module.IdentityAt = l
}

func (f *Facts) moduleAnswered(x *dialogue.Exchange) {
	if x.Result.Kind == at.Error {
		f.Module.BareErrors.see(x.Final)
	}
	// 27.007 9.2: 14 is a card that is busy; 27.005 3.2.5: 314 likewise.
	if rulebook.IsCME(x.Result, 14) || rulebook.IsCMS(x.Result, 314) {
		f.Module.TooEarly.see(x.Final)
	}
	if x.Result.Kind != at.OK {
		return
	}
	for i := range x.Parsed.Commands {
		c := &x.Parsed.Commands[i]
		if rulebook.Transmits(c) && (!at.NeedsText(c.Name) || f.hasReference(x, c.Name)) {
			f.Module.Transmitted.see(x.Final)
			return
		}
	}
}

// unasked looks at a line said unasked.
func (f *Facts) unasked(l dialogue.Line) { f.banner(l) }

func (f *Facts) banner(l dialogue.Line) {
	if f.sheet == nil || l.Text == "" || l.Text[0] == '+' || l.Text[0] == '$' {
		return
	}
	means, ok := f.sheet.Banners.Find(l.Text)
	if !ok {
		return
	}
	switch means {
	case sheet.Ready:
		f.Module.Ready.see(l)
	case sheet.PowerDown:
		f.Module.PowerDown.see(l)
	case sheet.Undervoltage:
		f.Supply.Undervoltage.see(l)
	case sheet.Overvoltage:
		f.Supply.Overvoltage.see(l)
	}
}

// SupplyFacts are what the module said about its supply.
type SupplyFacts struct {
	Undervoltage, Overvoltage Seen
	Percent                   maybe.Value[int] // +CBC, the last
	LowestMV, LastMV          maybe.Value[int] // +CBC, where the module adds it
	Status                    maybe.Value[int] // +CBC: 0 on battery, 1 battery not in use, 2 none, 3 fault
	Reading, Lowest           dialogue.Line
	Readings                  int
}

// battery reads +CBC: <bcs>,<bcl> (27.007 8.4); many modules add millivolts, or volts
// with a V, as a third value (common practice, no source).
func (f *Facts) battery(l dialogue.Line, a at.Answer) {
	s := &f.Supply
	status, ok := rulebook.Int(a.Params, 0)
	if !ok {
		return
	}
	s.Readings++
	s.Status, s.Reading = maybe.Known(status), l
	if percent, ok := rulebook.Int(a.Params, 1); ok && status != 2 {
		s.Percent = maybe.Known(percent)
	}
	mv, ok := rulebook.Int(a.Params, 2)
	if !ok || mv < 1000 || mv > 60000 { // below a volt it is no supply, above 60 V no millivolts
		return
	}
	s.LastMV = maybe.Known(mv)
	if lowest, known := s.LowestMV.Get(); !known || mv < lowest {
		s.LowestMV, s.Lowest = maybe.Known(mv), l
	}
}
