package explain

import (
	"strconv"
	"strings"

	"firstfix/internal/wire/at"
)

// results: V.250 table 1 in words.
var results = [...]struct{ title, meaning, clause string }{
	at.OK:         {"the command line was carried out", "all commands succeeded", "V.250 5.7.1"},
	at.Connect:    {"data state begins", "what follows are data, not commands", "V.250 6.3.1"},
	at.Ring:       {"a call comes in", "comes unasked, again and again until answered", "V.250 6.3.4"},
	at.NoCarrier:  {"the call ended or was not made", "back to commands", "V.250 6.3.1"},
	at.Error:      {"the command line failed", "not known, a wrong value, or not possible now; the rest of the line was not tried (V.250 5.6)", "V.250 5.7.1"},
	at.NoDialtone: {"no dial tone", "dialling was not possible", "V.250 6.3.1"},
	at.Busy:       {"busy", "the called number is in use", "V.250 6.3.1"},
	at.NoAnswer:   {"no answer", "the called number did not answer", "V.250 6.3.1"},
	at.CMEError:   {"the command failed: an error of the module or the network", "", "3GPP TS 27.007 9.2"},
	at.CMSError:   {"the message command failed", "", "3GPP TS 27.005 3.2.5"},
}

// result reads a result code.
func result(line string) (Explanation, int) {
	r, ok := at.ParseResult(line)
	if !ok {
		return Explanation{}, no
	}
	words := results[r.Kind]
	e := Explanation{Kind: KindResult, Title: words.title}
	if r.Kind == at.CMEError || r.Kind == at.CMSError {
		errorFields(&e, line, r)
		return e, sure
	}
	e.field(Field{Name: "result", Value: line, Meaning: words.meaning, Clause: words.clause})
	if r.Text != "" {
		e.field(Field{Name: "text", Value: r.Text, Meaning: "often the speed of the connection; makers differ", At: strings.Index(line, r.Text), Clause: "V.250 5.7.1"})
	}
	if r.Kind == at.Error {
		e.hint("AT+CMEE=1 makes the module say why: +CME ERROR with a number (3GPP TS 27.007 9.1)")
	}
	if r.Numeric {
		e.hint("a digit alone is a result code after ATV0 (V.250 6.2.6); otherwise it is an answer or a text")
		return e, likely
	}
	return e, sure
}

// errorFields explains +CME ERROR and +CMS ERROR.
func errorFields(e *Explanation, line string, r at.Result) {
	name, meaningOf, codeOf := "+CME ERROR", at.CMEMeaning, at.CMECode
	if r.Kind == at.CMSError {
		name, meaningOf, codeOf = "+CMS ERROR", at.CMSMeaning, at.CMSCode
	}
	e.field(Field{Name: name, Value: name, Meaning: e.Title, Clause: results[r.Kind].clause})
	code, value := r.Code, strconv.Itoa(r.Code)
	if code < 0 {
		value = r.Text
		found, ok := codeOf(r.Text)
		if !ok {
			if r.Text == "" {
				e.problem("no code and no words follow %s", name)
				return
			}
			e.field(Field{Name: "words", Value: r.Text, Meaning: "not the standard's words for any code that is known here; makers change them", At: strings.Index(line, r.Text)})
			return
		}
		code = found
		e.hint("these are the words for code %d (the standards' words are from memory)", code)
	}
	meaning, clause, ok := meaningOf(code)
	e.field(Field{Name: "code", Value: value, Meaning: meaning, At: strings.LastIndex(line, value), Clause: clause})
	e.Title = name + ": " + meaning
	if !ok {
		e.hint("no standard's table here has the code %d; the module's manual may", code)
	}
	if !strings.HasPrefix(line, name+": ") {
		e.hint("the standard writes %q with one space after the colon", name+": ")
	}
}
