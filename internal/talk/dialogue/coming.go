package dialogue

import (
	"strconv"
	"unicode/utf8"

	"firstfix/internal/wire/at"
)

// textLimit is the most characters of one short message: 160 of seven bits (TS
// 23.040 9.2.3.16). Longer ones come as several.
const textLimit = 160

// coming is an unsolicited message (+CMT, +CBM, +CDS) whose text is awaited, or
// of whose text there may be more: a text may have several lines, and nothing
// marks its end.
type coming struct {
	head  Line
	text  Line // its lines parted by LF; zero until the first has come
	lines bool // it is text, which can have several lines, and not a PDU

	// framed says that an empty line stood before the header, as V.250 5.7.1 wants
	// it: what stands right behind a text and has none before it is text too.
	framed bool

	chars  int // how many characters the text has by its header (AT+CSDH=1, TS 27.005 3.3.3); -1 not known
	have   int // of these are here, each line end counted once
	breaks int // line ends inside the text; some modules count CR and LF
}

func newComing(head Line, name string, framed bool) *coming {
	c := &coming{head: head, framed: framed, chars: -1}
	ans, _ := at.ParseAnswer(head.Text)
	p := ans.Params
	// TS 27.005 3.4.1: in PDU mode <alpha>,<length> or <length>; in text mode
	// +CMT has three values at least, and the length stands behind six more.
	c.lines = len(p) > 2
	if last := len(p) - 1; name == "+CMT" && last >= 8 && isNumber(p[last], 3) {
		c.chars, _ = strconv.Atoi(p[last].Text)
	}
	return c
}

// comingLine takes a line of the text of an unsolicited message. False: l is
// something else, and what was coming may be over.
func (a *Assembler) comingLine(l Line) bool {
	c := a.coming
	if isSentence(l.Text) && a.alive < aliveLines {
		if !c.text.IsZero() && c.missing() <= 0 {
			a.settleComing()
		}
		return false
	}
	name, _ := at.AnswerName(l.Text)
	_, result := a.result(l.Text)
	marked := result || name != ""
	if c.text.IsZero() {
		if a.blanks > 0 && marked { // an empty text, and the next thing the module says
			a.settleComing()
			return false
		}
		c.add(l, 0)
	} else {
		if !c.goesOn(l, a.blanks, marked) {
			a.settleComing()
			return false
		}
		c.add(l, a.blanks)
	}
	if !c.lines || !c.framed && c.missing() <= 0 || c.chars >= 0 && c.have >= c.chars {
		a.settleComing()
	}
	return true
}

// missing is how many characters must still come by the header; 0 when it says nothing or all may be here.
func (c *coming) missing() int {
	if c.chars < 0 || c.have+c.breaks >= c.chars {
		return 0
	}
	return c.chars - c.have
}

// goesOn says whether a line behind the text is part of it. marked: it looks
// like an answer, a report or a result.
func (c *coming) goesOn(l Line, blanks int, marked bool) bool {
	n := length(l.Text)
	switch {
	case noisy(l.Text) || c.have+1+blanks+n > textLimit:
		return false
	case c.missing() > 0 && !marked:
		return true
	case c.missing() > 0:
		return blanks == 0 && c.missing() > n
	}
	return c.framed && blanks == 0 && !marked && !isSentence(l.Text) && !at.IsCommandLine(l.Text)
}

// add takes a line as text, and the empty lines before it.
func (c *coming) add(l Line, blanks int) {
	if c.text.IsZero() {
		c.text = l
		c.text.Body = true
		c.have = length(l.Text)
		return
	}
	for range blanks + 1 {
		c.text.Text += "\n"
	}
	c.text.Text += l.Text
	c.text.At = l.At
	c.have += blanks + 1 + length(l.Text)
	c.breaks += blanks + 1
}

// length counts characters; bytes where they are not UTF-8.
func length(t string) int {
	if utf8.ValidString(t) {
		return utf8.RuneCountInString(t)
	}
	return len(t)
}

// blankLine ends the text of an unsolicited message, unless its header says that there is more.
func (a *Assembler) blankLine() {
	if c := a.coming; c != nil && !c.text.IsZero() && c.missing() <= a.mod.blank {
		a.settleComing()
	}
}

// settleComing reports an unsolicited message with as much text as has come.
func (a *Assembler) settleComing() {
	c := a.coming
	if c == nil {
		return
	}
	a.coming = nil
	if !c.text.IsZero() && (c.chars < 0 || c.have < c.chars) {
		// What stands right behind may be a further line of the text, but this is not sure.
		a.tail, a.tailEnd = true, c.text.At.Add(heldLimit)
	}
	a.emit(Event{Kind: Unsolicited, At: a.now, Line: c.head, Body: c.text})
}
