package dialogue

import (
	"strings"

	"firstfix/internal/talk/capture"
	"firstfix/internal/wire/at"
)

// bodyState is an answer whose lines are the text of a message.
type bodyState struct {
	p     *pending
	pdu   bool
	lines int // lines of the message so far
}

// heldFinal is a line that is a final result, or a line of text that only looks
// like one. What follows it decides.
type heldFinal struct {
	p    *pending
	line Line
	res  at.Result
}

// plain says that nothing is under way that could make of a sentence anything else.
func (a *Assembler) plain() bool {
	return len(a.mod.text) == 0 && a.body == nil && a.headline == nil && a.quoted == nil && a.data == nil &&
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
	case len(a.mod.text) == 0 && len(s) >= 2 && s[0] == '>' && s[1] == ' ' && !a.mod.piece && a.wantsPrompt():
		a.mod.blank = false
		a.prompted(a.mod.line(r, "> "))
		return 2
	case len(a.mod.text) == 1 && a.mod.text[0] == '>' && s[0] == ' ' && a.wantsPrompt():
		a.mod.blank = false
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
	blank := a.mod.blank
	a.mod.blank = false
	if len(a.mod.text) == 0 && piece == "" {
		a.mod.blank = !a.mod.piece
		a.mod.piece = false
		return
	}
	l := a.mod.line(r, piece)
	if a.mod.piece {
		a.mod.piece = false
		a.garbled(l)
		return
	}
	a.moduleLine(l, blank)
}

// endModuleLine takes an unfinished line as it is.
func (a *Assembler) endModuleLine() {
	if len(a.mod.text) == 0 {
		return
	}
	blank := a.mod.blank
	a.mod.blank = false
	l := a.mod.line(nil, "")
	if a.mod.piece {
		a.garbled(l)
		return
	}
	if l.Text == ">" && a.wantsPrompt() {
		a.prompted(l)
		return
	}
	a.moduleLine(l, blank)
}

// moduleLine says what a line of the module is. blank: an empty line stood before it.
func (a *Assembler) moduleLine(l Line, blank bool) {
	tail := a.tail
	a.tail = false
	if (l.Text == ">" || l.Text == "> ") && a.wantsPrompt() {
		a.prompted(l)
		return
	}
	if a.quoted != nil && a.quotedLine(l) {
		return
	}
	if a.headline != nil && a.secondLine(l, blank) {
		return
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
		a.headline = &l
		return
	}
	a.tail = tail
	a.emit(Event{Kind: Unsolicited, At: a.now, Line: l})
}

// quotedLines is how many lines a network's text may have: 182 characters are
// the most there is (TS 23.038 6.1.2.3), and a menu rarely has ten entries.
const quotedLines = 16

// quotedLine goes on with an answer whose quoted text has several lines. False:
// the line is something else.
func (a *Assembler) quotedLine(l Line) bool {
	_, result := a.result(l.Text)
	if name, _ := at.AnswerName(l.Text); name != "" || result || isSentence(l.Text) || strings.Count(a.quoted.Text, "\n") >= quotedLines {
		a.settleQuoted()
		return false
	}
	a.quoted.Text += "\n" + l.Text
	a.quoted.At = l.At
	if strings.Count(a.quoted.Text, `"`)%2 == 0 {
		a.settleQuoted()
	}
	return true
}

// settleQuoted takes an answer as it is, its quotes closed or not.
func (a *Assembler) settleQuoted() {
	if a.quoted == nil {
		return
	}
	l := *a.quoted
	a.answerLine(l, false)
	a.quoted = nil
}

// secondLine completes a two-line message. False: l is something else.
func (a *Assembler) secondLine(l Line, blank bool) bool {
	if isSentence(l.Text) && a.alive < aliveLines {
		return false
	}
	if blank { // an empty text, and the next thing the module says
		name, _ := at.AnswerName(l.Text)
		if _, ok := a.result(l.Text); ok || name != "" {
			a.settleHeadline()
			return false
		}
	}
	head := *a.headline
	a.headline = nil
	a.tail = true
	a.emit(Event{Kind: Unsolicited, At: a.now, Line: head, Body: l})
	return true
}

// settleHeadline reports a two-line message whose second line never came.
func (a *Assembler) settleHeadline() {
	if a.headline == nil {
		return
	}
	head := *a.headline
	a.headline = nil
	a.emit(Event{Kind: Unsolicited, At: a.now, Line: head})
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

// heldBefore decides about a held line when another one follows it: what belongs
// to the same answer makes it text.
func (a *Assembler) heldBefore(l Line, result bool) {
	name, _ := at.AnswerName(l.Text)
	if result || a.ownerOf(name, l) == a.held.p {
		a.messageEnds()
	}
}

// settleHeld takes a held line as the final result: nothing followed it.
func (a *Assembler) settleHeld() {
	if a.held == nil {
		return
	}
	h := a.held
	a.held = nil
	a.body = nil
	a.numeric = a.numeric || h.res.Numeric
	a.finish(h.p, h.line, h.res)
}

// openBody begins the text of a message behind its header.
func (a *Assembler) openBody(p *pending, name string, l Line) {
	if name != "+CMGR" && name != "+CMGL" {
		return
	}
	ans, _ := at.ParseAnswer(l.Text)
	// Text mode: +CMGR: "REC READ",… and +CMGL: 1,"REC READ",…; PDU mode has
	// numbers there (TS 27.005 clauses 3.4.2, 3.4.3, 4.1, 4.2).
	i := 0
	if name == "+CMGL" {
		i = 1
	}
	pdu := len(ans.Params) > i && !ans.Params[i].Quoted
	a.body = &bodyState{p: p, pdu: pdu}
}

// bodySentence says whether a sentence is the text of a message: it stands in
// its place, and no stream of sentences is passing.
func (a *Assembler) bodySentence() bool {
	return !a.body.pdu && a.alive >= aliveLines
}

// bodyLine takes a line of a message. False: it is something else.
func (a *Assembler) bodyLine(l Line, blank bool) bool {
	b := a.body
	if b.pdu {
		if isHex(strings.Trim(l.Text, " ")) && b.lines == 0 {
			b.lines++
			a.info(b.p, l)
			return true
		}
		a.body = nil
		return false
	}
	if res, ok := a.result(l.Text); ok {
		if blank || res.Numeric {
			a.body = nil // an answer's last line stands alone: CR LF before and behind (V.250 5.7.1)
			a.messageEnds()
			return false
		}
		a.messageEnds()
		a.held = &heldFinal{b.p, l, res}
		return true
	}
	name, _ := at.AnswerName(l.Text)
	first := b.lines == 0 && !blank && a.held == nil
	switch {
	case name != "" && b.p.names(name): // the next message of a list
		a.body = nil
		a.messageEnds()
		return false
	case !first && name != "" && reportOnly(name):
		return false
	}
	a.messageEnds()
	b.lines++
	a.info(b.p, l)
	return true
}

// isFinal says that a result cannot be a report of a call.
func isFinal(res at.Result) bool {
	switch res.Kind {
	case at.OK, at.Error, at.CMEError, at.CMSError:
		return true
	}
	return false
}

// messageEnds takes a held line as text: more of the same answer has come.
func (a *Assembler) messageEnds() {
	if h := a.held; h != nil {
		a.held = nil
		a.info(h.p, h.line)
	}
}

// echo says whether a line is what the controller has sent.
func (a *Assembler) echo(l Line) bool {
	t := l.Text
	for i := range a.heard {
		if s := &a.heard[i]; !s.used && s.text != "" && s.text == t {
			a.echoed(i)
			return true
		}
	}
	// Command lines without an end come back as one line.
	rest, lastMatch := t, -1
	for i := range a.heard {
		s := &a.heard[i]
		if s.used || s.text == "" {
			continue
		}
		if !strings.HasPrefix(rest, s.text) || s.x != nil && s.x.Ending != "" && s.text != rest {
			break
		}
		rest, lastMatch = rest[len(s.text):], i
		if rest == "" {
			for j := range lastMatch + 1 {
				if x := a.heard[j].x; x != nil && x.Outcome == Open {
					x.Echoed = true
				}
			}
			a.echoed(lastMatch)
			return true
		}
	}
	return false
}

// echoed marks the i-th line heard as echoed. The module takes lines in order:
// one sent before, that did not come back though echo is on, never reached it.
func (a *Assembler) echoed(i int) {
	was := a.echoes
	a.echoes = true
	x := a.heard[i].x
	for j := range i + 1 {
		a.heard[j].used = true
	}
	if x == nil || x.Outcome != Open {
		return // what was reported does not change any more
	}
	x.Echoed = true
	if !was {
		return
	}
	for k := 0; k < len(a.open); {
		p := a.open[k]
		if p.x == x {
			break
		}
		if p.doubtful && !p.x.Echoed && len(p.x.Info) == 0 {
			a.giveUp(p, Overtaken)
			continue
		}
		k++
	}
}

// textEcho says whether a line is the text that the controller writes, or its end.
func (a *Assembler) textEcho(l Line) bool {
	for _, p := range a.open {
		text := p.x.Text.Text
		if a.writing == p || a.awaiting() == p {
			text = string(a.ctl.text)
		}
		if text == "" && p.x.TextEnd == 0 || len(p.x.Info) > 0 {
			continue
		}
		t := strings.TrimRight(l.Text, "\x1a\x1b")
		if t == "" {
			return true
		}
		if _, ok := a.result(t); ok && (!a.echoes || p.textEchoed) {
			continue
		}
		for line := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == '\r' || r == '\n' }) {
			if line == t {
				p.textEchoed = true
				return true
			}
		}
	}
	return false
}

// lostStart says whether a line is the echo of a command whose first bytes were lost.
func (a *Assembler) lostStart(l Line) bool {
	for _, p := range a.open {
		c := p.x.Command.Text
		if len(l.Text) >= 3 && len(c) > len(l.Text) && len(c)-len(l.Text) <= 2 && strings.HasSuffix(c, l.Text) {
			return true
		}
	}
	return false
}
