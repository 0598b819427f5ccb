package sms

import (
	"fmt"
	"strings"
)

// A Fault is where reading a PDU stopped. Everything before it was read.
type Fault struct {
	At     int    // octet in the PDU, counted from 0; two hex digits are one octet
	Field  string // the field that stands or should stand there: "TP-DA"
	Had    string // what was there
	Want   string // what would have fitted
	Clause string // where the standard says so
	Hint   string // a likely cause, when there is one
}

func (f *Fault) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "sms: octet %d (%s): had %s, want %s", f.At, f.Field, f.Had, f.Want)
	if f.Clause != "" {
		fmt.Fprintf(&b, " (%s)", f.Clause)
	}
	if f.Hint != "" {
		b.WriteString("; " + f.Hint)
	}
	return b.String()
}

// A Note is something odd that did not stop the reading.
type Note struct {
	At     int // octet in the PDU
	Text   string
	Clause string
}

// A ValueError is a value that cannot be written.
type ValueError struct {
	Field  string
	Had    string
	Want   string
	Clause string
}

func (e *ValueError) Error() string {
	return fmt.Sprintf("sms: %s: had %s, want %s (%s)", e.Field, e.Had, e.Want, e.Clause)
}
