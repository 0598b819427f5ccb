package dialogue

import (
	"strings"

	"firstfix/internal/talk/capture"
	"firstfix/internal/wire/at"
)

// The bytes that end text entry, 3GPP TS 27.005 clauses 3.5.1 and 4.3.
const (
	sub = 0x1A // sends the text
	esc = 0x1B // cancels it
)

// ending is a command line that CR has ended; an LF right behind belongs to it.
type ending struct {
	line Line
	end  string
}

// said is a line the controller sent, kept to know its echo.
type said struct {
	text string
	x    *Exchange // nil for a line that was no command
	used bool      // echoed, or too late for it
}

// fromController takes bytes of the controller.
func (a *Assembler) fromController(r *capture.Record, s string) {
	if string(a.mod.text) == ">" && a.wantsPrompt(a.mod.marks[0].at) {
		a.prompted(a.mod.line(nil, "")) // a prompt without its blank
	}
	for s != "" {
		switch {
		case a.ended != nil:
			if s[0] == '\n' {
				a.ended.end += "\n"
				s = s[1:]
			}
			a.settleEnding()
			a.lateLF = nil
		case a.lateLF != nil:
			if s[0] == '\n' {
				if a.lateLF.Outcome == Open { // what was reported as over does not change
					a.lateLF.Ending += "\n"
				}
				s = s[1:]
			}
			a.lateLF = nil
		case a.data != nil:
			s = a.dataFromController(r, s)
		case a.writing != nil:
			s = a.writeText(r, s)
		default:
			s = a.commandBytes(r, s)
		}
	}
}

// settleEnding reports the command line that CR has ended.
func (a *Assembler) settleEnding() {
	if a.ended == nil {
		return
	}
	e := *a.ended
	a.ended = nil
	x := a.asked(e.line, e.end)
	if e.end == "\r" {
		a.lateLF = x
	}
}

// writeText takes text that was asked for, to the byte that ends it.
func (a *Assembler) writeText(r *capture.Record, s string) string {
	i := strings.IndexAny(s, "\x1a\x1b")
	if i < 0 {
		a.addText(r, s)
		return ""
	}
	if i > 0 {
		a.addText(r, s[:i])
	}
	l := Line{Record: r.Number, SourceLine: r.SourceLine, Began: r.At, At: r.At, From: capture.Controller}
	if len(a.ctl.text) > 0 {
		l = a.ctl.line(r, "")
	}
	a.texted(a.writing, l, s[i])
	return s[i+1:]
}

// addText appends to the text that is being written; what passes all bounds is Garbled.
func (a *Assembler) addText(r *capture.Record, s string) {
	for len(a.ctl.text)+len(s) > lineLimit {
		n := lineLimit - len(a.ctl.text)
		l := a.ctl.line(r, s[:n])
		l.Body = a.writing != nil
		a.garbled(l)
		s = s[n:]
	}
	if s != "" {
		a.ctl.add(r, s)
	}
}

// commandBytes takes bytes in command state, up to the end of a line.
func (a *Assembler) commandBytes(r *capture.Record, s string) string {
	i := strings.IndexAny(s, "\r\n\x1a\x1b")
	piece := s
	if i >= 0 {
		piece = s[:i]
	}
	if piece != "" {
		a.addText(r, piece)
		a.splitAtGap()
	}
	if i < 0 {
		return ""
	}
	end, rest := s[i], s[i+1:]
	if p := a.awaiting(); p != nil {
		a.earlyBytes(p, r, end)
		return rest
	}
	switch {
	case end == sub || end == esc:
		a.stray(a.ctl.line(r, string(end)))
	case len(a.ctl.text) > 0:
		a.controllerLine(a.ctl.line(r, ""), string(end))
	}
	return rest
}

// earlyBytes ends a line while p's prompt has not come: the next command, or
// text that did not wait.
func (a *Assembler) earlyBytes(p *pending, r *capture.Record, end byte) {
	start := strings.LastIndexAny(string(a.ctl.text), "\r\n") + 1
	switch {
	case end == sub || end == esc:
		l := Line{Record: r.Number, SourceLine: r.SourceLine, Began: r.At, At: r.At, From: capture.Controller}
		if len(a.ctl.text) > 0 {
			l = a.ctl.line(r, "")
		}
		p.early = true
		a.texted(p, l, end)
	case at.IsCommandLine(string(a.ctl.text[start:])):
		if start > 0 {
			p.early = true
			a.texted(p, a.ctl.cut(start), 0)
		}
		a.controllerLine(a.ctl.line(r, ""), string(end))
	case len(a.ctl.text) > 0:
		a.ctl.add(r, string(end))
	}
}

// splitAtGap ends a line without an end, when silence and then "AT" follow it.
func (a *Assembler) splitAtGap() {
	for i := len(a.ctl.marks) - 1; i > 0; i-- {
		m := a.ctl.marks[i]
		if m.gap && len(a.ctl.text) >= m.offset+2 && foldAT(a.ctl.text[m.offset:]) {
			l := a.ctl.cut(m.offset)
			a.silentLine(l)
			return
		}
	}
}

// endControllerLine ends a line that has no end.
func (a *Assembler) endControllerLine() {
	if len(a.ctl.text) == 0 {
		return
	}
	l := a.ctl.line(nil, "")
	if a.data == nil && a.writing != nil {
		a.texted(a.writing, l, 0)
		return
	}
	a.silentLine(l)
}

// silentLine takes a line that silence has ended.
func (a *Assembler) silentLine(l Line) {
	if p := a.awaiting(); p != nil && !at.IsCommandLine(l.Text) {
		p.early = true
		a.texted(p, l, 0)
		return
	}
	a.controllerLine(l, "")
}

// controllerLine takes a whole line in command state.
func (a *Assembler) controllerLine(l Line, end string) {
	if n := beforeCommand(l.Text); n > 0 {
		junk := l
		junk.Text, l.Text = l.Text[:n], l.Text[n:]
		a.stray(junk)
	}
	switch {
	case !at.IsCommandLine(l.Text):
		a.stray(l)
	case end == "\r":
		a.ended = &ending{l, end}
	default:
		a.asked(l, end)
	}
}

// stray is a controller line that is no command and no text that was asked for.
func (a *Assembler) stray(l Line) {
	if l.Text == "" {
		return
	}
	end := l.Text[len(l.Text)-1]
	l.Body = end == sub || end == esc || a.textRefused()
	if noisy(strings.TrimRight(l.Text, "\x1a\x1b")) {
		a.garbled(l)
		return
	}
	a.hear(said{text: l.Text})
	a.emit(Event{Kind: Stray, At: a.now, Line: l})
}

// textRefused says that the last command wanted a text and has none: a line that
// still comes is likely that text, sent although nothing asked for it.
func (a *Assembler) textRefused() bool {
	if a.last == nil || !a.last.Text.IsZero() {
		return false
	}
	for i := range a.last.Parsed.Commands {
		if wantsText(&a.last.Parsed.Commands[i]) == expected {
			return true
		}
	}
	return false
}

func (a *Assembler) garbled(l Line) { a.emit(Event{Kind: Garbled, At: a.now, Line: l}) }

// hear keeps a line of the controller to know its echo.
func (a *Assembler) hear(s said) {
	copy(a.heard[:], a.heard[1:])
	a.heard[len(a.heard)-1] = s
}

// beforeCommand returns how many bytes without a letter stand before "AT" in a
// line: a module looks for AT in what it gets (V.250 5.2.1), so they are not
// part of the command.
func beforeCommand(t string) int {
	for i := range len(t) {
		if letter(t[i]) {
			if i > 0 && at.IsCommandLine(t[i:]) {
				return i
			}
			return 0
		}
	}
	return 0
}

func letter(b byte) bool { return b|0x20 >= 'a' && b|0x20 <= 'z' }

func foldAT(b []byte) bool { return len(b) >= 2 && b[0]|0x20 == 'a' && b[1]|0x20 == 't' }

// asked opens an exchange.
func (a *Assembler) asked(l Line, end string) *Exchange {
	a.settleHeld()
	a.settleComing()
	a.settleQuoted()
	a.tail = false
	a.count++
	x := &Exchange{
		Number: a.count, Command: l, Ending: end, Parsed: at.ParseLine(at.Edited(l.Text, '\b')),
		Pending: len(a.open), Previous: a.last, AskedAt: l.At,
	}
	old := &a.recent[a.count%len(a.recent)]
	if *old != nil {
		(*old).Previous = nil
	}
	*old = x
	a.dropLost(l.At)
	a.last = x
	if !x.Parsed.Repeat { // A/ runs the last line again, V.250 5.2.4
		a.repeats = x.Parsed
	}
	a.open = append(a.open, newPending(x, a.repeats))
	a.hear(said{text: l.Text, x: x})
	if v, ok := a.repeats.Find("V"); ok {
		a.numeric = v.Number <= 0 // V alone is V0, V.250 5.3.1
	}
	a.emit(Event{Kind: Asked, At: a.now, Line: l, X: x})
	return x
}

// texted completes the text of p. end is 0 when nothing ended it.
func (a *Assembler) texted(p *pending, l Line, end byte) {
	if a.writing == p {
		a.writing = nil
	}
	if end == 0 && strings.Trim(l.Text, "\r\n") == "" {
		return
	}
	p.textDone = true
	p.last = max(p.last, l.At)
	l.Body = true
	p.x.Text, p.x.TextEnd, p.x.TextEarly = l, end, p.early
	a.emit(Event{Kind: Texted, At: a.now, Line: l, X: p.x})
}

// prompted takes a request for text.
func (a *Assembler) prompted(l Line) {
	p := a.promptFor()
	if p == nil {
		return
	}
	if !p.x.Prompt.IsZero() {
		return // asked again, behind a line end in the text
	}
	p.x.Prompt = l
	p.answered(l)
	if !p.textDone {
		a.writing = p
		p.early = p.early || len(a.ctl.text) > 0
	}
	a.emit(Event{Kind: Prompted, At: a.now, Line: l, X: p.x})
}

// fromUnknown takes bytes of nobody knows whom, line by line.
func (a *Assembler) fromUnknown(r *capture.Record) {
	s := r.Bytes
	for s != "" {
		i := lineEnd(s)
		piece := s
		if i >= 0 {
			piece = s[:i+1]
		}
		n := a.unknownPrompt(r, s)
		if n > 0 {
			piece = s[:n]
		}
		piece = piece[:min(len(piece), lineLimit-len(a.unk.text))]
		s = s[len(piece):]
		a.unk.add(r, piece)
		if end := piece[len(piece)-1]; end == '\n' || end == '\r' || len(a.unk.text) >= lineLimit || n > 0 && string(a.unk.text) == "> " {
			a.flushUnknown()
		}
	}
}

// unknownPrompt returns how many bytes of s belong to a prompt, which has no line end.
func (a *Assembler) unknownPrompt(r *capture.Record, s string) int {
	switch {
	case len(a.unk.text) == 0 && s[0] == '>':
		a.settleEnding()
		if a.wantsPrompt(r.At) {
			return min(len(s), 1+strings.Count(s[1:min(2, len(s))], " "))
		}
	case string(a.unk.text) == ">" && s[0] == ' ' && a.wantsPrompt(a.unk.marks[0].at):
		return 1
	}
	return 0
}

// flushUnknown hands a line of unknown direction to the side whose words it speaks.
func (a *Assembler) flushUnknown() {
	if len(a.unk.text) == 0 {
		return
	}
	l := a.unk.line(nil, "")
	r := &capture.Record{Number: l.Record, SourceLine: l.SourceLine, At: l.At, Bytes: l.Text}
	_, answer := at.ParseResult(l.Text)
	switch {
	case at.IsCommandLine(strings.TrimRight(l.Text, "\r\n")), a.writing != nil && !answer, l.Text == "\n" && a.unkSide == capture.Controller:
		a.unkSide = capture.Controller
		a.fromController(r, l.Text)
	case a.nobodys(l.Text):
		a.unkSide = capture.Module
		l.Text = strings.TrimRight(l.Text, "\r\n")
		l.Body = a.tail && l.Began < a.tailEnd
		a.emit(Event{Kind: Stray, At: a.now, Line: l})
	default:
		a.unkSide = capture.Module
		a.settleEnding()
		a.fromModule(r, l.Text)
	}
}

// nobodys says whether a line of unknown direction is neither a command nor
// anything a module says: a program's own print, most likely. While a command is
// open it could be its answer.
func (a *Assembler) nobodys(t string) bool {
	t = strings.TrimRight(t, "\r\n")
	if t == "" || len(a.open) > 0 || a.ended != nil || a.data != nil || a.coming != nil || noisy(t) || isSentence(t) || gluedSentence(t) >= 0 {
		return false
	}
	name, _ := at.AnswerName(t)
	_, result := a.result(t)
	return name == "" && !result && !brokenTail(t) && len(a.mod.text) == 0
}
