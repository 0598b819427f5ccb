// Package at spells AT commands and their answers.
//
// # What it promises
//
// Command lines follow ITU-T V.250 chapter 5, results and error codes V.250
// chapter 6, 3GPP TS 27.007 and TS 27.005. A decoder returns all it could read,
// where it stopped and what would have fitted there. The catalogue ([Lookup])
// is a table: one row per command, with its clause.
//
// # What it leaves to others
//
// Which answer belongs to which command is the work of talk/dialogue. The
// commands of one maker are in sheets, not here.
//
// # Where to start
//
// Read [ParseLine], [ParseResult], [ParseAnswer], then the catalogue's rows.
package at

// Form says how a command is used.
type Form uint8

// The forms of a command, V.250 clauses 5.3 and 5.4.
const (
	Execute Form = iota + 1 // +CSQ, ATA, ATE0
	Set                     // +CMGF=1, S3=13
	Read                    // +CMGF?, S3?
	Test                    // +CMGF=?
)

// Param is one parameter of a command or of an answer.
type Param struct {
	Text   string // without quotes, with V.250 5.4.2.2 escapes (\22) resolved
	Quoted bool
	Empty  bool // nothing stood there; Text is ""
	At     int  // offset in the text given to SplitParams, ParseAnswer or ParseLine
}

// Command is one command of a command line.
type Command struct {
	Name   string // upper case: "+CMGS", "E", "&F", "S", "D"
	Form   Form
	Number int     // of a basic command: E0 is 0; of S the register; -1 when not given
	Value  string  // after "=" or, for D, the dial string without its ";", as written
	Params []Param // Value split at commas outside quotes
	At     int     // offset of its first byte in the command line
	Text   string  // as written
}

// Line is a command line in parts.
type Line struct {
	Text     string
	Repeat   bool // A/
	Commands []Command
	Err      error // a *SyntaxError when something could not be read; Commands holds what could
}

// Find returns the first command of the line with that name.
func (l Line) Find(name string) (Command, bool) {
	for _, c := range l.Commands {
		if c.Name == name {
			return c, true
		}
	}
	return Command{}, false
}

// ResultKind is what a result code says.
type ResultKind uint8

// The result codes of V.250 table 1, TS 27.007 9.2 and TS 27.005 3.2.5.
const (
	NoResult ResultKind = iota
	OK
	Connect // ends command state: bytes are data from here on
	Ring
	NoCarrier
	Error
	NoDialtone
	Busy
	NoAnswer
	CMEError // Result.Code, or Result.Text when verbose
	CMSError
)

// Result is a result code in parts.
type Result struct {
	Kind    ResultKind
	Code    int    // of CMEError and CMSError; -1 when verbose or absent
	Numeric bool   // it came as a digit (ATV0)
	Text    string // what follows CONNECT, or the verbose words of CMEError and CMSError; else ""
}

// Failed says that the result is an error of any kind.
func (r Result) Failed() bool { return r.Kind >= NoCarrier }

// Answer is an information or unsolicited line "+NAME: values".
type Answer struct {
	Name   string // "+CREG"; "" for a line without such a prefix
	Params []Param
	Text   string
}

// A SyntaxError says where a line stopped making sense and what would have fitted.
type SyntaxError struct {
	Text string
	At   int
	Want string
}
