package dialogue

import (
	"slices"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// A pending is an exchange that is not over, and what only the assembler needs to know of it.
type pending struct {
	x          *Exchange
	parsed     at.Line // what it asks: x.Parsed, or the line that A/ repeats
	wants      want
	mute       bool // its commands answer with nothing but a result code
	patience   time.Duration
	early      bool // text began before the prompt
	textDone   bool
	textEchoed bool
	doubtful   bool         // it was sent while the one before was open, and that one is over: it may never have been read
	last       when.Instant // the last sign of life
}

// want says whether a command asks for text.
type want uint8

const (
	never    want = iota
	possible      // a command the standards do not know may prompt
	expected      // +CMGS and its like
)

func newPending(x *Exchange, parsed at.Line) *pending {
	p := &pending{x: x, parsed: parsed, last: x.AskedAt, mute: true, wants: never, patience: quickPatience}
	for i := range parsed.Commands {
		c := &parsed.Commands[i]
		p.patience = max(p.patience, patienceOf(c))
		p.mute = p.mute && isMute(c)
		p.wants = max(p.wants, wantsText(c))
	}
	return p
}

// names says whether the exchange holds the named command.
func (p *pending) names(name string) bool {
	_, ok := p.parsed.Find(name)
	return ok
}

// answered notes that a line belongs to the exchange.
func (p *pending) answered(l Line) {
	if p.x.FirstAt == 0 {
		p.x.FirstAt = l.Began
	}
	p.last = max(p.last, l.At)
}

// awaiting returns the newest exchange that should get a prompt and has none; nil for none.
func (a *Assembler) awaiting() *pending {
	for _, p := range slices.Backward(a.open) {
		if p.wants == expected && p.x.Prompt.IsZero() && !p.textDone {
			return p
		}
	}
	return nil
}

// promptFor returns the exchange a prompt belongs to; nil for none.
func (a *Assembler) promptFor() *pending {
	if a.writing != nil {
		return a.writing
	}
	for _, w := range [...]want{expected, possible} {
		for _, p := range slices.Backward(a.open) {
			if p.wants == w && (p.x.Prompt.IsZero() || p.textDone && manyLines(p.x.Text.Text)) {
				return p
			}
		}
	}
	return nil
}

// wantsPrompt says whether a ">" that began at an instant can be a prompt: one that
// stood there before the command was asked is not its answer.
func (a *Assembler) wantsPrompt(began when.Instant) bool {
	if len(a.open) == 0 {
		return false
	}
	p := a.promptFor()
	return p != nil && began >= p.x.AskedAt
}

func manyLines(text string) bool { return lineEnd(text) >= 0 }

// ownerOf returns the exchange that an answer line belongs to; nil when it was
// said unasked.
func (a *Assembler) ownerOf(name string, l Line) *pending {
	if name != "" {
		a.answerProvesEnd(name)
		if p := a.abandoned(a.writing, name); p != nil {
			return p
		}
	}
	if len(a.open) == 0 {
		return nil
	}
	if name == "" {
		p := a.speaking(l.Began)
		if p.mute && !isValue(l.Text) {
			return nil
		}
		return p
	}
	for _, p := range a.open {
		if c, ok := p.parsed.Find(name); ok && answers(&c, l.Text) {
			return p
		}
	}
	return nil
}

// isValue says whether a line is a bare value: digits, as identity commands give them.
func isValue(t string) bool {
	for i := range len(t) {
		if !hexDigit(t[i]) {
			return false
		}
	}
	return len(t) >= 3
}

// speaking returns the exchange that the module is most likely answering: the
// one whose answer has begun, else the oldest that can still be answered.
func (a *Assembler) speaking(now when.Instant) *pending {
	for _, p := range slices.Backward(a.open) {
		if len(p.x.Info) > 0 {
			return p
		}
	}
	for _, p := range a.open {
		// A command line without an end cannot have been read.
		if p.x.Ending != "" && now <= p.last.Add(p.patience) {
			return p
		}
	}
	return a.open[len(a.open)-1]
}

// finalFor returns the exchange that a result ends; nil when it ends none.
func (a *Assembler) finalFor(l Line, res at.Result) *pending {
	a.answerProvesEnd("")
	if len(a.open) == 0 || res.Kind == at.Ring {
		return nil
	}
	switch res.Kind {
	case at.NoCarrier, at.Busy, at.NoAnswer, at.NoDialtone:
		for _, p := range a.open {
			if slices.ContainsFunc(p.parsed.Commands, func(c at.Command) bool { return isCall(&c) }) {
				return p
			}
		}
		return nil
	case at.Connect:
		// What leads to data state: calls, and commands the standards do not know.
		for _, p := range a.open {
			if slices.ContainsFunc(p.parsed.Commands, func(c at.Command) bool { return isCall(&c) || wantsText(&c) == possible }) {
				return p
			}
		}
		return nil
	case at.CMSError:
		for _, p := range a.open {
			if slices.ContainsFunc(p.parsed.Commands, func(c at.Command) bool { return isMessage(c.Name) }) {
				return p
			}
		}
	}
	return a.speaking(l.Began)
}

// answerProvesEnd: the controller has begun a command line, and an answer of its
// name has come, or a result when nothing else can be answered. Something must
// have ended the line.
func (a *Assembler) answerProvesEnd(name string) {
	if len(a.ctl.text) == 0 || a.writing != nil || a.data != nil || !at.IsCommandLine(string(a.ctl.text)) {
		return
	}
	if name == "" {
		for _, p := range a.open {
			if p.x.Ending != "" {
				return
			}
		}
	} else {
		line := at.ParseLine(string(a.ctl.text))
		if line.Repeat {
			line = a.repeats
		}
		if _, ok := line.Find(name); !ok {
			return
		}
	}
	a.endControllerLine()
}

// info adds a line to an exchange's answer.
func (a *Assembler) info(p *pending, l Line) {
	p.answered(l)
	if len(p.x.Info) >= infoLimit {
		a.emit(Event{Kind: Unsolicited, At: a.now, Line: l})
		return
	}
	p.x.Info = append(p.x.Info, l)
}

// finish ends an exchange with its final result.
func (a *Assembler) finish(p *pending, l Line, res at.Result) {
	if !res.Numeric {
		a.verbose = true
		if v, ok := p.parsed.Find("V"); !ok || v.Number > 0 {
			a.numeric = false
		}
	}
	if res.Kind == at.OK {
		if q := a.abandoned(p, ""); q != nil {
			p = q
		}
	}
	a.finishText(p)
	for k := 0; k < len(a.open) && a.open[k] != p; {
		// What is older and could have been answered by now was passed over.
		if o := a.open[k]; l.Began > o.last.Add(o.patience) || len(p.x.Info) > 0 && o.patience <= quickPatience {
			a.giveUp(o, Overtaken)
			continue
		}
		k++
	}
	p.answered(l)
	p.x.Final, p.x.Result, p.x.Outcome, p.x.DoneAt = l, res, Finished, l.At
	a.close(p)
	if res.Kind == at.Connect {
		a.data = &dataState{skipLF: a.mod.cr}
	}
}

// finishText ends the text of an exchange that is over.
func (a *Assembler) finishText(p *pending) {
	switch {
	case a.writing == p:
		if len(a.ctl.text) > 0 {
			a.texted(p, a.ctl.line(nil, ""), 0)
		}
		a.writing = nil
	case a.awaiting() == p && len(a.ctl.text) > 0 && !beginsAT(a.ctl.text):
		p.early = true
		a.texted(p, a.ctl.line(nil, ""), 0)
	}
}

// beginsAT says that an unfinished line is, or may become, a command.
func beginsAT(t []byte) bool { return foldAT(t) || len(t) == 1 && t[0]|0x20 == 'a' }

// abandoned sees whether a command was answered, by its name or (name is "") by OK,
// that was written into a text which nothing ended: then the module was not in
// text entry any more. It returns that command's exchange; nil when it is not so.
func (a *Assembler) abandoned(p *pending, name string) *pending {
	if p == nil || a.writing != p || len(p.x.Info) > 0 || p.names(name) {
		return nil
	}
	text := a.ctl.text
	end := len(text)
	for end > 0 && (text[end-1] == '\r' || text[end-1] == '\n') {
		end--
	}
	start := end
	for start > 0 && text[start-1] != '\r' && text[start-1] != '\n' {
		start--
	}
	command := string(text[start:end])
	if end == len(text) || !at.IsCommandLine(command) {
		return nil
	}
	if _, ok := at.ParseLine(command).Find(name); name != "" && !ok {
		return nil
	}
	if start > 0 {
		a.texted(p, a.ctl.cut(start), 0)
	}
	a.writing = nil
	l := a.ctl.line(nil, "")
	ending := l.Text[end-start:]
	l.Text = l.Text[:end-start]
	p.textDone = true
	a.giveUp(p, Overtaken)
	x := a.asked(l, ending)
	for _, q := range a.open {
		if q.x == x {
			return q
		}
	}
	return nil
}

// giveUp ends an exchange that got no final result.
func (a *Assembler) giveUp(p *pending, o Outcome) {
	a.finishText(p)
	p.x.Outcome, p.x.DoneAt = o, a.now
	p.x.Result = at.Result{Kind: at.NoResult, Code: -1}
	a.close(p)
}

// close takes an exchange out of the open ones and reports it.
func (a *Assembler) close(p *pending) {
	i := slices.Index(a.open, p)
	a.open = slices.Delete(a.open, i, i+1)
	if p.x.Outcome == Finished {
		for _, o := range a.open {
			o.doubtful = o.doubtful || o.x.Number > p.x.Number
		}
	}
	if a.body != nil && a.body.p == p {
		a.body = nil
	}
	if a.held != nil && a.held.p == p {
		a.held = nil
	}
	if a.writing == p {
		a.writing = nil
	}
	a.emit(Event{Kind: Answered, At: a.now, Line: p.x.Final, X: p.x})
}

// orderOnly: records nearer than this in time cannot have passed a wire one
// after the other; the capture gives an order and no times.
const orderOnly = time.Microsecond

// dropLost ends the open exchanges that can no longer be answered, when the
// controller sends its next command at now.
func (a *Assembler) dropLost(now when.Instant) {
	for k := 0; k < len(a.open); {
		p := a.open[k]
		waited := now.Sub(p.last)
		lost := waited >= p.patience
		if p.doubtful {
			// The module may have dropped it. Silence says so; without times,
			// that the controller goes on says so.
			quiet := now.Sub(max(a.lastHeard, p.last))
			lost = lost || quiet >= lineGap || quiet < orderOnly
		}
		if lost || len(a.open) >= pendingLimit {
			a.giveUp(p, Overtaken)
			continue
		}
		k++
	}
}
