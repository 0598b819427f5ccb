package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/charmbracelet/x/ansi"
)

// text writes the page for a terminal.
func (p *trackPage) text(w io.Writer) {
	fmt.Fprintf(w, "%s\n  %s\n\n", p.Title, p.Summary)
	names := 0
	for _, f := range p.Facts {
		names = max(names, len(f.Name))
	}
	for _, f := range p.Facts {
		hanging(w, "  "+padded(f.Name, names)+"  ", f.Text)
	}
	for i := range p.Sections {
		p.Sections[i].text(w)
	}
	if len(p.Notes) > 0 {
		fmt.Fprintln(w)
	}
	for _, n := range p.Notes {
		hanging(w, "  ", n)
	}
}

// maxCell is how wide a column of text may be on the terminal; the last may be as wide as it likes.
const maxCell = 44

func (s *trackSection) text(w io.Writer) {
	fmt.Fprintf(w, "\n%s\n", s.Title)
	if s.Intro != "" {
		hanging(w, "  ", s.Intro)
	}
	wide := make([]int, len(s.Head))
	for _, row := range append([][]string{s.Head}, s.Rows...) {
		for i, c := range row {
			if i < len(wide) {
				wide[i] = max(wide[i], min(ansi.StringWidth(c), maxCell))
			}
		}
	}
	line := func(row []string) {
		b := strings.Builder{}
		for i, c := range row {
			gap := "  "
			if s.Left[i] {
				b.WriteString(gap + padded(c, wide[i]))
			} else {
				b.WriteString(gap + strings.Repeat(" ", max(0, wide[i]-ansi.StringWidth(c))) + c)
			}
		}
		fmt.Fprintln(w, strings.TrimRight(b.String(), " "))
	}
	for i := 0; i+1 < len(s.Plain); i += 2 {
		hanging(w, s.Plain[i], s.Plain[i+1])
	}
	if len(s.Rows) > 0 && s.Plain == nil {
		line(s.Head)
		for _, row := range s.Rows {
			line(row)
		}
	}
	for _, a := range s.After {
		indent := "  " + strings.Repeat(" ", len(a)-len(strings.TrimLeft(a, " ")))
		hanging(w, indent, strings.TrimLeft(a, " "))
	}
}
