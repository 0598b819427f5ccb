// Package finding is one place where something does not hold, with its evidence.
//
// # What it promises
//
// A [Finding] is data: it prints, it compares and it becomes stable JSON
// (docs/formats/review.schema.json). It knows no rule.
//
// # Where to start
//
// Read [Finding].
package finding

import (
	"firstfix/internal/when"
)

// Severity says how much a finding matters.
type Severity uint8

// Severities, from mild to grave.
const (
	Note    Severity = iota + 1 // worth knowing
	Warning                     // will bite some day
	Error                       // does not work like this
)

// String is the word used in files.
func (s Severity) String() string {
	switch s {
	case Note:
		return "note"
	case Warning:
		return "warning"
	case Error:
		return "error"
	}
	return "unknown"
}

// Evidence is one record that shows a finding.
type Evidence struct {
	Record     int
	SourceLine int          // line in the file; 0 when not known
	At         when.Instant // meaningless when the capture's times are not known
	From       string       // "controller", "module", "unknown"
	Text       string       // the line, secrets masked
	Body       bool         // Text is what somebody wrote to somebody: hidden in reports unless asked for
	Note       string       // what this line shows
}

// Finding is one place where a rule does not hold.
type Finding struct {
	Rule     string
	Severity Severity
	Title    string
	Message  string // what is wrong here, in one sentence, with the figures
	Cites    []string
	Remedy   string
	Evidence []Evidence // never empty
	Quotes   []string   // texts that Message quotes with strconv.Quote: hidden like a Body
	More     int        // how many further places the same rule found, not listed
}
