package at

import (
	"sort"
	"strconv"
	"strings"
)

// Confidence says how a row of the catalogue is known.
type Confidence string

// How rows are known.
const (
	FromText   Confidence = "read in a public copy of the standard or in manuals that quote it"
	FromMemory Confidence = "from memory"
	Practice   Confidence = "common practice, no source"
)

// Forms is the set of forms a command has.
type Forms uint8

// The forms, to be added up.
const (
	hasExecute Forms = 1 << Execute
	hasSet     Forms = 1 << Set
	hasRead    Forms = 1 << Read
	hasTest    Forms = 1 << Test

	action    = hasExecute | hasTest       // V.250 5.4.3
	parameter = hasSet | hasRead | hasTest // V.250 5.4.4
)

// Has says whether the command has that form.
func (f Forms) Has(form Form) bool { return f&(1<<form) != 0 }

// An Entry is one row of the catalogue. Rows are never changed.
type Entry struct {
	Name       string // "+CMGS", "&F", "E", "S3"
	Title      string
	Clause     string
	Confidence Confidence // of the row; a ParamInfo's Clause may say otherwise
	Forms      Forms

	Params      []ParamInfo // of the set form; of a basic command, its number
	ParamsPDU   []ParamInfo // in PDU mode (+CMGF=0), where they differ
	Answer      []ParamInfo // of the read form, or of the execute form when there is none to read
	AnswerPDU   []ParamInfo // in PDU mode, where it differs
	SetAnswer   []ParamInfo // of the set form, where it differs from Answer
	TestAnswer  string      // what the test form lists, where it needs words
	Unsolicited []ParamInfo // of the line that comes unasked; nil when none does

	UnsolicitedPDU []ParamInfo // in PDU mode, where it differs

	Prompt     bool // may answer with "> " and take text up to Ctrl-Z or ESC
	Abortable  bool // a further byte during execution may end it, V.250 5.6.1
	MaxWaitMS  int  // a usual upper limit for the final result of execute and set
	TestWaitMS int  // of the test form, where it is longer than usual
	WaitSource string
	Setting    bool // the module keeps its value
	Volatile   bool // and loses it at power off, unless saved
	Note       string
}

// ParamInfo describes one parameter.
type ParamInfo struct {
	Name     string
	Meaning  string
	Values   []ValueInfo // coded values; nil for free ones
	Sum      bool        // Values are bits to be added up
	Open     bool        // other values than those of Values may come
	Default  string      // when left out; "" when the standard gives none
	Unit     string
	Clause   string // where it differs from the entry's
	Optional bool
}

// ValueInfo is the meaning of one value: of the text Text, or of the whole
// numbers From to To when Text is "".
type ValueInfo struct {
	From, To int
	Text     string
	Meaning  string
}

// Waiting times. Only the text transfer has a figure in a standard: V.250,
// 27.005 and 27.007 give none.
const (
	usualWaitMS     = 5_000
	practice        = "common practice, no source"
	practiceNetwork = "common practice, no source: the network has the last word"
	textTimers      = "3GPP TS 24.011 10.1: TR1M 35 to 45 s, and repeats; 60 s common practice"
)

// WaitMS returns a usual upper limit for the final result of c, in
// milliseconds, and where the figure comes from.
func WaitMS(c Command) (ms int, source string) {
	e, ok := LookupCommand(c)
	switch {
	case !ok:
		return usualWaitMS, practice
	case c.Form == Test && e.TestWaitMS > 0:
		return e.TestWaitMS, e.WaitSource
	case c.Form == Test || c.Form == Read || e.MaxWaitMS == 0:
		return usualWaitMS, practice
	}
	return e.MaxWaitMS, e.WaitSource
}

// chapters lists the tables, one per standard and subject, each in the order
// of its names.
func chapters() [6][]Entry {
	return [...][]Entry{v250Entries, textEntries, generalEntries, networkEntries, controlEntries, packetEntries}
}

// Lookup finds a command or an unsolicited name: "+CMGS", "E", "&F", "S3".
func Lookup(name string) (*Entry, bool) {
	for _, rows := range chapters() {
		i := sort.Search(len(rows), func(i int) bool { return rows[i].Name >= name })
		if i < len(rows) && rows[i].Name == name {
			return &rows[i], true
		}
	}
	return nil, false
}

// LookupCommand finds the row of a command of a line; S registers by number.
func LookupCommand(c Command) (*Entry, bool) {
	if c.Name == "S" && c.Number >= 0 {
		return Lookup("S" + strconv.Itoa(c.Number))
	}
	return Lookup(c.Name)
}

// Entries returns all rows, in the order of the standards, then of names.
func Entries() []*Entry {
	var all []*Entry
	for _, rows := range chapters() {
		for i := range rows {
			all = append(all, &rows[i])
		}
	}
	return all
}

// UnsolicitedNames lists the names that may come unasked, in the order of [Entries].
func UnsolicitedNames() []string {
	var names []string
	for _, e := range Entries() {
		if e.Unsolicited != nil {
			names = append(names, e.Name)
		}
	}
	return names
}

// CanBeUnsolicited says whether a line with that name may come unasked. It is
// the question asked of every line, so it is a switch; a test compares it with
// the catalogue.
func CanBeUnsolicited(name string) bool {
	switch name {
	case "+C5GREG", "+CBM", "+CBMI", "+CDS", "+CDSI", "+CEDRXP", "+CEREG", "+CFUN", "+CGEV", "+CGREG",
		"+CIEV", "+CLIP", "+CMOLRE", "+CMOLRG", "+CMOLRN", "+CMT", "+CMTI", "+CPIN", "+CPOSR", "+CREG",
		"+CRING", "+CTZE", "+CTZV", "+CUSD":
		return true
	}
	return false
}

// Intermediate says that the result is not the last: CONNECT, V.250 6.3.
func (k ResultKind) Intermediate() bool { return k == Connect }

// Final says that the result ends an exchange, V.250 5.7.1. RING comes unasked.
func (k ResultKind) Final() bool { return k == OK || k >= NoCarrier }

// IsIntermediate says whether lines of that name come before CONNECT or OK of
// a call, by setting: 27.007 6.9 +CR, 7.8 +COLP; V.250 6.2.13 +ILRR, 6.5.5 +ER,
// 6.6.1 +DR (clauses from memory).
func IsIntermediate(name string) bool {
	switch name {
	case "+CR", "+COLP", "+ILRR", "+ER", "+DR":
		return true
	}
	return false
}

// NeedsText says whether a command of that name asks for text with a prompt:
// 27.005 3.5 and 4. For +CNMA see [WantsText].
func NeedsText(name string) bool {
	switch name {
	case "+CMGS", "+CMGW", "+CMGC", "+CNMA":
		return true
	}
	return false
}

// WantsText says whether this command, in this form, leads to a prompt. +CNMA
// does in PDU mode with a length above 0 (27.005 4.6), +CMGW also without
// parameters in text mode (3.5.3).
func WantsText(c Command) bool {
	switch c.Name {
	case "+CMGS", "+CMGC":
		return c.Form == Set
	case "+CMGW":
		return c.Form == Set || c.Form == Execute
	case "+CNMA":
		return c.Form == Set && len(c.Params) > 1 && c.Params[1].Text != "0" && !c.Params[1].Empty
	}
	return false
}

// HasBody says whether the line a is followed by a line of its own with the
// text or the PDU of a message: 27.005 3.4 and 4.
func HasBody(a Answer) bool {
	switch a.Name {
	case "+CMT", "+CBM":
		return true
	case "+CDS": // text mode writes all into one line
		return len(a.Params) == 1
	case "+CMGR":
		return !reportAt(a.Params, 1)
	case "+CMGL":
		return !reportAt(a.Params, 2)
	}
	return false
}

// reportAt: in text mode a status report or command in a store has its first
// octet, a bare number, where a message has an address; it has no body.
func reportAt(params []Param, n int) bool {
	if len(params) <= n || !params[n-1].Quoted || params[n].Quoted {
		return false
	}
	_, number := digits(params[n].Text)
	return number
}

// Value finds the meaning of a value of the parameter.
func (p *ParamInfo) Value(v Param) (meaning string, ok bool) {
	n, number := digits(v.Text)
	for _, row := range p.Values {
		switch {
		case row.Text != "":
			if strings.EqualFold(row.Text, v.Text) {
				return row.Meaning, true
			}
		case number && !p.Sum && n >= row.From && n <= row.To:
			return row.Meaning, true
		}
	}
	if !p.Sum || !number {
		return "", false
	}
	for _, row := range p.Values {
		if row.From != 0 && n&row.From == row.From {
			if meaning != "" {
				meaning += ", "
			}
			meaning += row.Meaning
			n &^= row.From
		}
	}
	return meaning, meaning != "" && n == 0
}
