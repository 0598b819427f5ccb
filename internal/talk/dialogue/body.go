package dialogue

import (
	"strings"

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

// heldBefore decides about a held line when another one follows it: what belongs
// to the same answer makes it text.
func (a *Assembler) heldBefore(l Line, result bool) {
	name, _ := at.AnswerName(l.Text)
	h := a.held
	// Looking for the owner may show that a command line has ended, which settles what was held.
	if result || a.ownerOf(name, l) == h.p && a.held == h {
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
			l.Body = true
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
	a.emptyLines(l)
	b.lines++
	l.Body = true
	a.info(b.p, l)
	return true
}

// emptyLines adds the empty lines that stood between two lines of a text: they
// are part of it. What stands in front of its first line is not sure to be.
func (a *Assembler) emptyLines(next Line) {
	if a.body.lines == 0 {
		return
	}
	l := next
	l.At, l.Text, l.Body = l.Began, "", true
	for range min(a.blanks, textLimit) {
		a.info(a.body.p, l)
	}
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
		h.line.Body = true
		a.info(h.p, h.line)
	}
}
