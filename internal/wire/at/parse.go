package at

import "fmt"

func (e *SyntaxError) Error() string {
	return fmt.Sprintf("at: byte %d of %q: want %s", e.At, e.Text, e.Want)
}

// ParseLine cuts a command line, without its line end, into commands.
func ParseLine(text string) Line { return Line{Text: text} }

// ParseResult reads a line as a result code. False: the line is none.
func ParseResult(line string) (Result, bool) { return Result{}, false }

// ParseAnswer reads a line as "+NAME: values". False: it has no such prefix.
func ParseAnswer(line string) (Answer, bool) { return Answer{Text: line}, false }

// SplitParams cuts at commas outside quotes and outside brackets.
func SplitParams(text string) []Param { return nil }
