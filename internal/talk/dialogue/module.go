package dialogue

import (
	"strings"

	"firstfix/internal/talk/capture"
	"firstfix/internal/wire/at"
)

// plain says that nothing is under way that could make of a sentence anything else.
func (a *Assembler) plain() bool {
	return len(a.mod.text) == 0 && a.body == nil && a.coming == nil && a.quoted == nil && a.data == nil &&
		a.ended == nil && a.writing == nil && !a.mod.piece && len(a.open) == 0
}

// ends finds line ends in a piece without looking at any byte twice.
type ends struct {
	s      string
	cr, lf int // the next ones at or behind the place asked for last; -1 not looked for, len(s) none
}

func (e *ends) next(from int) int {
	if e.lf < from {
		e.lf = seek(e.s, from, '\n')
	}
	if e.cr < from {
		// A CR is looked for only up to the LF: most lines have it right before.
		e.cr = seek(e.s[:e.lf], from, '\r')
		if e.cr == e.lf {
			return e.lf
		}
	}
	return min(e.cr, e.lf)
}

func seek(s string, from int, b byte) int {
	if from < len(s) {
		if i := strings.IndexByte(s[from:], b); i >= 0 {
			return from + i
		}
	}
	return len(s)
}

// fromModule takes bytes of the module.
func (a *Assembler) fromModule(r *capture.Record, s string) {
	e := ends{s: s, cr: -1, lf: -1}
	for from := 0; from < len(s); {
		if a.data != nil {
			n := a.dataFromModule(r, s[from:])
			from += n
			continue
		}
		if s[from] == '\n' && a.mod.cr {
			a.mod.cr = false
			from++
			continue
		}
		if n := a.promptAt(r, s[from:]); n > 0 {
			from += n
			continue
		}
		end := e.next(from)
		if end >= len(s) {
			a.moduleBytes(r, s[from:])
			break
		}
		piece := s[from:end]
		a.mod.cr = s[end] == '\r'
		from = end + 1
		a.moduleEnd(r, piece)
	}
	a.lastHeard = a.now
}

// promptAt reads a prompt at the start of a line and returns its bytes in s, or 0.
func (a *Assembler) promptAt(r *capture.Record, s string) int {
	switch {
	case len(a.mod.text) == 0 && len(s) >= 2 && s[0] == '>' && s[1] == ' ' && !a.mod.piece && a.wantsPrompt(r.At):
		a.mod.blank = 0
		a.prompted(a.mod.line(r, "> "))
		return 2
	case len(a.mod.text) == 1 && a.mod.text[0] == '>' && s[0] == ' ' && a.wantsPrompt(a.mod.marks[0].at):
		a.mod.blank = 0
		a.prompted(a.mod.line(r, " "))
		return 1
	}
	return 0
}

// moduleBytes keeps the unfinished end of a piece.
func (a *Assembler) moduleBytes(r *capture.Record, s string) {
	a.mod.cr = false
	for len(a.mod.text)+len(s) > lineLimit {
		n := lineLimit - len(a.mod.text)
		a.mod.piece = true
		a.garbled(a.mod.line(r, s[:n]))
		s = s[n:]
	}
	if s != "" {
		a.mod.add(r, s)
	}
}

// moduleEnd ends a line with a last piece of r.
func (a *Assembler) moduleEnd(r *capture.Record, piece string) {
	if len(a.mod.text)+len(piece) > lineLimit {
		cr := a.mod.cr
		a.moduleBytes(r, piece)
		a.mod.cr = cr
		piece = ""
	}
	blanks := a.mod.blank
	a.mod.blank = 0
	if len(a.mod.text) == 0 && piece == "" {
		if !a.mod.piece {
			a.mod.blank = blanks + 1
			a.blankLine()
		}
		a.mod.piece = false
		return
	}
	l := a.mod.line(r, piece)
	if a.mod.piece {
		a.mod.piece = false
		a.garbled(l)
		return
	}
	a.moduleLine(l, blanks)
}

// endModuleLine takes an unfinished line as it is.
func (a *Assembler) endModuleLine() {
	if len(a.mod.text) == 0 {
		return
	}
	blanks := a.mod.blank
	a.mod.blank = 0
	l := a.mod.line(nil, "")
	if a.mod.piece {
		a.garbled(l)
		return
	}
	if l.Text == ">" && a.wantsPrompt(l.Began) {
		a.prompted(l)
		return
	}
	a.moduleLine(l, blanks)
}

// moduleLine says what a line of the module is. blanks is how many empty lines stood before it.
func (a *Assembler) moduleLine(l Line, blanks int) {
	a.blanks = blanks
	blank := blanks > 0
	tail := a.tail && l.Began < a.tailEnd
	a.tail = false
	if (l.Text == ">" || l.Text == "> ") && a.wantsPrompt(l.Began) {
		a.prompted(l)
		return
	}
	if a.quoted != nil && a.quotedLine(l) {
		return
	}
	if a.coming != nil {
		if a.comingLine(l) {
			return
		}
		tail, a.tail = tail || a.tail && l.Began < a.tailEnd, false
	}
	if isSentence(l.Text) && (a.body == nil || !a.bodySentence()) {
		if !a.textEcho(l) {
			a.sentence(l)
		}
		return
	}
	if a.alive < aliveLines && a.body == nil {
		a.alive++
	}
	if a.echo(l) || a.textEcho(l) {
		return
	}
	if a.body != nil && a.bodyLine(l, blank) {
		return
	}
	if l, ok := a.separate(l); ok {
		a.plainLine(l, tail && !blank)
	}
}

// separate takes noise and glued sentences off a line. False: nothing is left.
func (a *Assembler) separate(l Line) (Line, bool) {
	if n := trailingNULs(l.Text); n > 0 {
		junk := l
		l.Text, junk.Text = l.Text[:len(l.Text)-n], l.Text[len(l.Text)-n:]
		a.garbled(junk)
	}
	if n := leadingNoise(l.Text); n > 0 {
		junk := l
		junk.Text, l.Text = l.Text[:n], l.Text[n:]
		a.garbled(junk)
		if isSentence(l.Text) {
			a.sentence(l)
			return l, false
		}
	}
	if noisy(l.Text) {
		a.garbled(l)
		return l, false
	}
	if i := gluedSentence(l.Text); i >= 0 {
		rest := l
		l.Text, rest.Text = l.Text[:i], l.Text[i:]
		if strings.Trim(l.Text, " \t\x00") != "" {
			a.plainLine(l, false)
		}
		a.sentence(rest)
		return l, false
	}
	if strings.Trim(l.Text, " \t\x00") == "" {
		return l, false
	}
	return l, true
}

// sentence reports a GNSS sentence, or several with no line end between.
func (a *Assembler) sentence(l Line) {
	a.alive = 0
	for {
		i := gluedSentence(l.Text)
		if i < 0 {
			break
		}
		first := l
		first.Text, l.Text = l.Text[:i], l.Text[i:]
		a.emit(Event{Kind: Sentence, At: a.now, Line: first})
	}
	a.emit(Event{Kind: Sentence, At: a.now, Line: l})
}

// plainLine takes a clean line: a result, an answer or a report. tail: it stands
// right behind the second line of an unsolicited message.
func (a *Assembler) plainLine(l Line, tail bool) {
	res, ok := a.result(l.Text)
	if a.held != nil {
		a.heldBefore(l, ok && isFinal(res))
	}
	if ok {
		a.finalLine(l, res)
		return
	}
	if brokenTail(l.Text) {
		a.garbled(l)
		return
	}
	a.answerLine(l, tail)
}

// answerLine takes a line that is no result.
func (a *Assembler) answerLine(l Line, tail bool) {
	name, _ := at.AnswerName(l.Text)
	if name == "" && a.lostStart(l) {
		a.garbled(l)
		return
	}
	if name == "+CUSD" && strings.Count(l.Text, `"`)%2 == 1 && a.quoted == nil {
		a.quoted = &l // the network's text may have several lines, 27.007 7.15
		return
	}
	if p := a.ownerOf(name, l); p != nil && !tail {
		a.info(p, l)
		a.openBody(p, name, l)
		return
	}
	if name != "" && hasBody(name, l.Text) {
		a.coming = newComing(l, name, a.blanks > 0)
		return
	}
	a.tail = tail // a.tailEnd stays: a text comes in one piece
	l.Body = l.Body || tail && name == ""
	a.emit(Event{Kind: Unsolicited, At: a.now, Line: l})
}

// result reads a line as a result code. A lone digit is one when V0 is in force.
func (a *Assembler) result(t string) (at.Result, bool) {
	res, ok := at.ParseResult(strings.Trim(t, " \t\x00"))
	if !ok {
		return res, false
	}
	if res.Numeric {
		return res, a.numeric || !a.verbose && len(a.open) > 0
	}
	return res, true
}

// finalLine takes a result code.
func (a *Assembler) finalLine(l Line, res at.Result) {
	p := a.finalFor(l, res)
	if p == nil {
		a.emit(Event{Kind: Unsolicited, At: a.now, Line: l})
		return
	}
	if res.Numeric && !a.numeric {
		a.held = &heldFinal{p, l, res} // V0 was never seen: a digit may be an answer
		return
	}
	a.finish(p, l, res)
}
