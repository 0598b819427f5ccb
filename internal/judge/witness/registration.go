package witness

import (
	"strconv"

	"firstfix/internal/maybe"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// registrationNames are the registration commands, with the place of the
// reject cause in their report form (the read form has one number more in
// front): 27.007 7.2, 10.1.20, 10.1.22, 10.1.47; places from memory.
var registrationNames = [...]string{"+CREG", "+CGREG", "+CEREG", "+C5GREG"}

var causeAt = [...]int{4, 5, 4, 6}

func registrationIndex(name string) int {
	for i, n := range registrationNames {
		if n == name {
			return i
		}
	}
	return -1
}

// registered takes in a line "+CREG: …". The read form "<n>,<stat>[,…]" and the
// report form "<stat>[,…]" differ by one leading number, and a report may fall
// between a question and its answer, so the grammar decides: in the report form
// the second value is a quoted area code or nothing.
func (w *Witness) registered(line dialogue.Line, a at.Answer, asked bool) {
	i := registrationIndex(a.Name)
	if i < 0 || len(a.Params) == 0 {
		return
	}
	statAt := 0
	if len(a.Params) > 1 && !a.Params[1].Quoted && isStat(a.Params[1].Text) {
		statAt = 1
	} else {
		asked = false // a report that came between
	}
	stat, err := strconv.Atoi(a.Params[statAt].Text)
	if err != nil || stat < 0 || stat > 255 {
		return
	}
	if w.registration == nil {
		w.registration = make(map[string]*Registration, len(registrationNames))
	}
	r := w.registration[a.Name]
	if r == nil {
		r = &Registration{Command: registrationNames[i], Stat: -1}
		w.registration[registrationNames[i]] = r
	}
	if r.Stat != stat {
		if r.Stat >= 0 && IsRegistered(r.Stat) != IsRegistered(stat) {
			r.Changes++
		}
		r.Since, r.Words = line.Began, 0
	}
	before := r.Stat
	r.Stat, r.Line, r.Asked = stat, line, asked
	r.Words++
	r.CauseType, r.Cause = cause(a.Params, statAt+causeAt[i])
	w.seen.Registrations = append(w.seen.Registrations, *r)
	w.lostAtOnce(line, before, stat)
}

// isStat: a status is one or two digits; an area code without quotes, as some
// modules write it, has more.
func isStat(s string) bool {
	if len(s) == 0 || len(s) > 2 {
		return false
	}
	n, err := strconv.Atoi(s)
	return err == nil && n >= 0 && n <= 11
}

func cause(params []at.Param, at int) (kind, value maybe.Value[int]) {
	if at+1 >= len(params) {
		return kind, value
	}
	if n, err := strconv.Atoi(params[at].Text); err == nil {
		kind = maybe.Known(n)
	}
	if n, err := strconv.Atoi(params[at+1].Text); err == nil {
		value = maybe.Known(n)
	}
	return kind, value
}
