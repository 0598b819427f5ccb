package world

import (
	"fmt"
	"strings"
)

// mark is where a key stood in its file, counted from 1.
type mark struct{ line, column int }

// Problem is one thing wrong with a world: where, what was there, what would fit.
type Problem struct {
	File    string
	Line    int // 0 when the world was built in code
	Column  int
	Key     string // "card.tries_left", "faults[1].at_s"
	Message string
}

func (p Problem) String() string {
	var b strings.Builder
	if p.File != "" {
		b.WriteString(p.File)
		b.WriteByte(':')
	}
	if p.Line > 0 {
		fmt.Fprintf(&b, "%d:%d:", p.Line, p.Column)
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	if p.Key != "" {
		b.WriteString(p.Key)
		b.WriteString(": ")
	}
	b.WriteString(p.Message)
	return b.String()
}

// Problems is the error of [Load]: all that is wrong, in the order of the file.
type Problems []Problem

func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, one := range p {
		lines[i] = one.String()
	}
	return "world: " + strings.Join(lines, "\nworld: ")
}
