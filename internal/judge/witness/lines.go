package witness

import (
	"strconv"

	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// information takes in one line of an answer.
func (w *Witness) information(x *dialogue.Exchange, line dialogue.Line) {
	name, rest := at.AnswerName(line.Text)
	if name == "" {
		return
	}
	c, ok := x.Parsed.Find(name)
	switch {
	case registrationIndex(name) >= 0:
		a, _ := at.ParseAnswer(line.Text)
		w.registered(line, a, ok && c.Form == at.Read)
	case name == "+CSQ":
		a, _ := at.ParseAnswer(line.Text)
		if len(a.Params) > 0 {
			if n, err := strconv.Atoi(a.Params[0].Text); err == nil {
				w.level(line, n)
			}
		}
	}
	if !ok || c.Form != at.Read || x.Result.Failed() {
		return
	}
	if registrationIndex(name) >= 0 && !readForm(line.Text[rest:]) {
		return // a report that came between
	}
	w.readBack(x, line, name, line.Text[rest:])
}

// readForm says whether the values of a registration line begin with the mode.
func readForm(values string) bool {
	p := at.SplitParams(values)
	return len(p) > 1 && !p[1].Quoted && isStat(p[1].Text)
}

// unsolicited takes in a line said unasked.
func (w *Witness) unsolicited(line, body dialogue.Line) {
	name, _ := at.AnswerName(line.Text)
	switch {
	case registrationIndex(name) >= 0:
		a, _ := at.ParseAnswer(line.Text)
		w.registered(line, a, false)
	case name == "+CMT":
		w.arrived(line, body)
	default:
		w.ready(nil, line)
	}
}
