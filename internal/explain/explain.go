// Package explain puts one line into plain words, field by field: a command,
// an answer, a sentence, a PDU, a coordinate.
//
// # What it promises
//
// [Text] always says something: what the line is, or what it is not and what it
// comes closest to. It never panics, and reads at most [MaxBytes]. What a field
// means comes with the clause that says so. PINs and passwords are not repeated.
//
// # What it leaves to others
//
// It looks at one line alone. Whether a line was wise at that moment is the
// work of judge/rules; which answer belongs to which command that of
// talk/dialogue.
//
// # Where to start
//
// Read [Text], then the list in readers: one function per kind of line.
package explain

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// MaxBytes is how much of one line is read: the longest line a module sends is
// a search answer of some kilobytes.
const MaxBytes = 64 << 10

// Explanation is a line in words.
type Explanation struct {
	Kind     string   `json:"kind"`
	Title    string   `json:"title"`
	Fields   []Field  `json:"fields"`
	Problems []string `json:"problems"` // what is wrong with the line
	Hints    []string `json:"hints"`    // what is good to know, and other readings
}

// Field is one part of a line.
type Field struct {
	Name    string `json:"name"`
	Value   string `json:"value"`   // as it stands in the line; "" when nothing stands there
	Meaning string `json:"meaning"` // in words
	At      int    `json:"at"`      // offset in the line; -1 for what does not stand there
	Clause  string `json:"clause"`  // "" when no document says it
}

// The kinds of line.
const (
	KindCommand     = "command line"
	KindResult      = "result code"
	KindAnswer      = "answer"
	KindUnsolicited = "unsolicited line"
	KindPrompt      = "prompt"
	KindSentence    = "GNSS sentence"
	KindPDU         = "message PDU"
	KindHexText     = "text in hex"
	KindPosition    = "position"
	KindNumber      = "telephone number"
	KindIdentity    = "identity"
	KindEmpty       = "empty line"
	KindUnknown     = "not understood"
)

// How sure a reader is. The surest reading wins; of equals the first.
const (
	no     = iota
	maybe_ // it could be, among other things
	likely
	sure
)

// A reader tries to read a line as one kind.
type reader func(line string) (Explanation, int)

// readers is the list, the more special before the more general.
func readers() []reader {
	return []reader{emptyLine, prompt, sentence, result, answer, command, position, pdu, hexText, identity, telephone}
}

// Text puts one line into words. Line ends and spaces around it do not matter.
func Text(input string) Explanation {
	line, cut := input, false
	if len(line) > MaxBytes {
		line, cut = line[:MaxBytes], true
	}
	lead := len(line) - len(strings.TrimLeft(line, " \t\r\n"))
	line = strings.Trim(line, "\t\r\n")
	if strings.TrimSpace(line) != ">" {
		line = strings.TrimSpace(line)
	}
	first, more := firstLine(line)
	e := best(first)
	if more {
		e.hint("more lines follow; each is explained on its own")
	}
	for i := range e.Fields {
		if e.Fields[i].At >= 0 {
			e.Fields[i].At += lead
		}
	}
	if cut {
		e.problem("the line has %d bytes; only the first %d were read", len(input), MaxBytes)
	}
	if !utf8.ValidString(line) && e.Kind != KindUnknown {
		e.problem("bytes stand in it that are no text: a wrong speed, or a bad wire")
	}
	return e.complete()
}

// firstLine cuts at the first line end inside.
func firstLine(line string) (first string, more bool) {
	if i := strings.IndexAny(line, "\r\n"); i >= 0 {
		return line[:i], true
	}
	return line, false
}

// best asks all readers.
func best(line string) Explanation {
	var found Explanation
	var others []string
	top := no
	for _, read := range readers() {
		e, how := read(line)
		switch {
		case how == no:
		case how > top:
			if top != no {
				others = append(others, found.Title)
			}
			found, top = e, how
		default:
			others = append(others, e.Title)
		}
	}
	if top == no {
		return unknown(line)
	}
	if top == sure {
		return found
	}
	for _, title := range others {
		found.hint("it can also be read as: %s", title)
	}
	return found
}

func (e *Explanation) problem(format string, a ...any) {
	e.Problems = appendNew(e.Problems, fmt.Sprintf(format, a...))
}

func (e *Explanation) hint(format string, a ...any) {
	e.Hints = appendNew(e.Hints, fmt.Sprintf(format, a...))
}

func (e *Explanation) field(f Field) { e.Fields = append(e.Fields, f) }

func appendNew(list []string, s string) []string {
	for _, old := range list {
		if old == s {
			return list
		}
	}
	return append(list, s)
}

// complete makes empty lists of absent ones, for JSON.
func (e Explanation) complete() Explanation {
	if e.Fields == nil {
		e.Fields = []Field{}
	}
	if e.Problems == nil {
		e.Problems = []string{}
	}
	if e.Hints == nil {
		e.Hints = []string{}
	}
	return e
}

func emptyLine(line string) (Explanation, int) {
	if line != "" {
		return Explanation{}, no
	}
	return Explanation{Kind: KindEmpty, Title: "nothing stands here",
		Hints: []string{"a module puts an empty line before and after its answers: CR LF stands on both sides (V.250 5.7.1)"}}, sure
}

func prompt(line string) (Explanation, int) {
	if strings.TrimSpace(line) != ">" {
		return Explanation{}, no
	}
	e := Explanation{Kind: KindPrompt, Title: "the module asks for the text of a message"}
	e.field(Field{Name: "prompt", Value: line, Meaning: "CR LF > space; the text may be sent now", Clause: "3GPP TS 27.005 3.5.1"})
	e.hint("send the text, then Ctrl-Z (0x1A) to send the message or ESC (0x1B) to leave it")
	return e, sure
}
