package explain

import (
	"fmt"
	"strconv"
	"strings"

	"firstfix/internal/wire/at"
)

// answer reads "+NAME: values".
func answer(line string) (Explanation, int) {
	a, ok := at.ParseAnswer(line)
	if !ok {
		return Explanation{}, no
	}
	row, known := at.Lookup(a.Name)
	if !known {
		return unknownAnswer(a), likely
	}
	e := Explanation{Kind: KindAnswer, Title: row.Title}
	if len(a.Params) > 0 && strings.HasPrefix(a.Params[0].Text, "(") && !a.Params[0].Quoted || a.Name == "+COPS" && bracketed(a) {
		e.Title = "what is possible: " + row.Title
		e.field(Field{Name: row.Name, Value: a.Name, Meaning: "answer to the test form", Clause: row.Clause})
		testFields(&e, a, row)
		return e, sure
	}
	list, unasked := answerList(&e, a, row)
	head := "answer"
	if unasked {
		e.Kind, head = KindUnsolicited, "comes unasked"
	}
	e.field(Field{Name: row.Name, Value: a.Name, Meaning: head + ": " + row.Title, Clause: row.Clause})
	s := setting{row: row, list: list, given: a.Params}
	for i, v := range a.Params {
		if i >= len(list) {
			e.field(extraValue(row, list, i, v))
			continue
		}
		e.field(paramField(&e, s, i))
	}
	answerHints(&e, a, row)
	nested(&e, a)
	return e, sure
}

func bracketed(a at.Answer) bool {
	for _, p := range a.Params {
		if _, ok := p.Items(); ok {
			return true
		}
	}
	return false
}

// extraValue is a value beyond the standard's list; +CIND answers with as many
// as the module has.
func extraValue(row *at.Entry, list []at.ParamInfo, i int, v at.Param) Field {
	f := Field{Name: fmt.Sprintf("value %d", i+1), Value: v.Text, Meaning: "beyond what the standard lists: a newer release, or the maker's own", At: v.At}
	if row.Name == "+CIND" {
		f.Meaning, f.Clause = "value of indicator "+strconv.Itoa(i+1)+" of +CIND=?", row.Clause
	}
	return f
}

func unknownAnswer(a at.Answer) Explanation {
	e := Explanation{Kind: KindAnswer, Title: a.Name + ": an answer or report that the standards do not have"}
	e.field(Field{Name: a.Name, Value: a.Name, Meaning: "not a name of V.250, 3GPP TS 27.005 or the part of 27.007 that is built in; makers add their own"})
	for i, p := range a.Params {
		e.field(Field{Name: fmt.Sprintf("value %d", i+1), Value: p.Text, Meaning: shape(p), At: p.At})
	}
	hintNearest(&e, a.Name)
	e.hint("a module sheet can say what the values are")
	return e
}

// answerList chooses the list of parameters that fits the shape of the line.
func answerList(e *Explanation, a at.Answer, row *at.Entry) (list []at.ParamInfo, unasked bool) {
	p := a.Params
	n := len(p)
	switch a.Name {
	case "+CREG", "+CGREG", "+CEREG", "+C5GREG": // 27.007 7.2: the read answer has one number more in front
		if r, _ := at.ParseRegistration(a); r.Unasked {
			return row.Unsolicited, true
		}
		return row.Answer, false
	case "+CMT":
		if n <= 2 {
			return row.UnsolicitedPDU, true
		}
		return row.Unsolicited, true
	case "+CDS", "+CBM":
		if n == 1 {
			return row.UnsolicitedPDU, true
		}
		return row.Unsolicited, true
	case "+CMGR", "+CMGL":
		return storedList(a, row), false
	case "+CLIP":
		if n > 0 && p[0].Quoted {
			return row.Unsolicited, true
		}
	case "+CUSD":
		if n != 1 || p[0].Text != "0" && p[0].Text != "1" {
			return row.Unsolicited, true
		}
		e.hint("it has the shape of the read answer; a report without a text looks the same")
	case "+CPMS", "+CSMS":
		if row.SetAnswer != nil && n == len(row.SetAnswer) {
			return row.SetAnswer, false
		}
	case "+CMOLRE":
		if n != 1 || p[0].Text != "0" && p[0].Text != "1" {
			return row.Unsolicited, true
		}
	case "+CPOSR":
		if n > 0 && strings.HasPrefix(p[0].Text, "<") {
			return row.Unsolicited, true
		}
	case "+CPIN", "+CFUN":
		e.hint("many modules send it unasked as well, at start-up (common practice, no source)")
	}
	if row.Answer == nil && row.Unsolicited != nil {
		return row.Unsolicited, true
	}
	return row.Answer, false
}

// storedList: 27.005 3.4.2, 3.4.3, 4.1, 4.2. A message to send has no time, but
// a validity period; a status report has the fields of +CDS.
func storedList(a at.Answer, row *at.Entry) []at.ParamInfo {
	statAt := 0
	if a.Name == "+CMGL" {
		statAt = 1
	}
	if len(a.Params) <= statAt || !a.Params[statAt].Quoted {
		return row.AnswerPDU
	}
	if !at.HasBody(a) {
		report, _ := at.Lookup("+CDS")
		return append(append([]at.ParamInfo{}, row.Answer[:statAt+1]...), report.Unsolicited...)
	}
	if a.Name == "+CMGL" || !strings.HasPrefix(a.Params[0].Text, "STO") {
		return row.Answer
	}
	settings, _ := at.Lookup("+CSMP")
	vp := settings.Params[1]
	var list []at.ParamInfo
	for _, p := range row.Answer {
		switch p.Name {
		case "scts":
			continue
		case "oa":
			p.Name, p.Meaning = "da", "number of the receiver"
		case "tooa":
			p.Name = "toda"
		}
		list = append(list, p)
		if p.Name == "dcs" {
			list = append(list, vp)
		}
	}
	return list
}

// testFields explains "(0-2),(1,3)", and the search answer of +COPS=?.
func testFields(e *Explanation, a at.Answer, row *at.Entry) {
	params := row.Params
	if row.Name == "+COPS" {
		if networks := searchFields(e, a); networks > 0 {
			e.hint("%d networks were found; the empty value parts them from the modes and formats", networks)
			return
		}
	}
	for i, v := range a.Params {
		f := Field{Name: fmt.Sprintf("list %d", i+1), Value: v.Text, Meaning: "values that fit", At: v.At, Clause: "V.250 5.4.4"}
		if i < len(params) {
			f.Name, f.Meaning = params[i].Name, params[i].Meaning+": values that fit"
		}
		if v.Empty {
			f.Meaning = "nothing listed"
		}
		e.field(f)
	}
}

// searchFields explains the networks of +COPS=?, 27.007 7.3, and counts them.
func searchFields(e *Explanation, a at.Answer) int {
	state := [...]string{"not known", "available", "in use", "forbidden"}
	networks := 0
	for _, v := range a.Params {
		items, ok := v.Items()
		if v.Empty || networks > 0 && (!ok || len(items) < 4) {
			continue
		}
		if len(items) < 4 || !items[1].Quoted && !items[1].Empty {
			return networks
		}
		networks++
		meaning := "a network"
		if n, err := strconv.Atoi(items[0].Text); err == nil && n >= 0 && n < len(state) {
			meaning = "a network, " + state[n]
		}
		if items[1].Text != "" {
			meaning += ": " + items[1].Text
		}
		if oper := items[3].Text; len(oper) >= 5 {
			meaning += ", country code " + oper[:3] + ", network code " + oper[3:]
		}
		if len(items) > 4 {
			if act, err := strconv.Atoi(items[4].Text); err == nil {
				if words, ok := at.AccessTechnology(act); ok {
					meaning += ", " + words
				}
			}
		}
		e.field(Field{Name: fmt.Sprintf("network %d", networks), Value: v.Text, Meaning: meaning, At: v.At, Clause: "3GPP TS 27.007 7.3"})
	}
	return networks
}

// answerHints: what to know about what was said.
func answerHints(e *Explanation, a at.Answer, row *at.Entry) {
	if at.HasBody(a) && a.Name != "+CMT" { // its note says so
		e.hint("the text or the PDU of the message stands on the next line")
	}
	if row.Note != "" && (e.Kind == KindUnsolicited || at.HasBody(a)) {
		e.hint("%s: %s", row.Name, row.Note)
	}
	switch a.Name {
	case "+CPMS":
		fullStores(e)
	case "+CSMP":
		textEffect(e, a.Params)
	case "+CSQ":
		if len(a.Params) > 0 && a.Params[0].Text == "99" {
			e.hint("99 is no measurement: not registered yet, no antenna, or no network")
		}
	case "+CREG", "+CGREG", "+CEREG", "+C5GREG":
		r, _ := at.ParseRegistration(a)
		if stat, ok := r.Stat.Get(); ok && !at.Registered(stat) {
			e.hint("texts and data cannot pass in this state")
		}
	case "+CCLK":
		if len(a.Params) > 1 {
			e.problem("the time is not in quotes, so its comma parts it in two (3GPP TS 27.007 8.15)")
		}
	}
}

// fullStores compares each "used" with the "total" behind it.
func fullStores(e *Explanation) {
	for i := range e.Fields {
		if e.Fields[i].Name != "used" || i+1 >= len(e.Fields) {
			continue
		}
		used, err1 := strconv.Atoi(e.Fields[i].Value)
		total, err2 := strconv.Atoi(e.Fields[i+1].Value)
		if err1 == nil && err2 == nil && used >= total {
			e.hint("%d of %d places are taken: this store is full, no text fits in", used, total)
		}
	}
}

// nested explains a sentence inside +CMOLRN.
func nested(e *Explanation, a at.Answer) {
	if a.Name != "+CMOLRN" {
		return
	}
	for _, p := range a.Params {
		inner, how := sentence(p.Text)
		if how == no {
			continue
		}
		begins := p.At
		if p.Quoted {
			begins++
		}
		for _, f := range inner.Fields {
			if f.At >= 0 {
				f.At += begins
			}
			e.field(f)
		}
		e.Problems = append(e.Problems, inner.Problems...)
		e.Hints = append(e.Hints, inner.Hints...)
	}
}
