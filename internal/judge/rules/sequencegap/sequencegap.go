// Package sequencegap reports report numbers that are missing or come twice.
package sequencegap

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "sequencegap",
	Title:    "numbers of reports are missing or come twice",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (number every report and keep it until it was confirmed)"},
	Doc: `
Each report carries a number that goes up by one. Here the numbers jump: reports were made and never left, mostly while there was no coverage, and
nobody kept them. Or one comes twice: the confirmation was lost and the report was sent again, which is right, if the receiving side knows the
number already. A counter that begins again at 1 was kept in memory that a restart empties.`,
	Silent: `
Fewer than four numbers in a row before it; texts without a number named seq, or "n" in data.`,
	Remedy: `Keep reports with number and fix time in memory that survives a restart, delete them when the server confirmed them, and let the server sort by time and drop doubles.`,
	Watch:  watch,
}

var number = regexp.MustCompile(`(?i)(?:\bseq(?:uence)?\b["']?\s?[:=#]?\s?|"n"\s?:\s?)([0-9]{1,9})\b`)

const enough = 4 // numbers in a row that make a counter

func watch(p *rulebook.Pass) {
	var before dialogue.Line
	last, row, said := 0, 0, 0
	look := func(text string, l dialogue.Line) {
		if said == 3 || !strings.ContainsAny(text, "qQnN") {
			return
		}
		m := number.FindStringSubmatch(text)
		if m == nil {
			return
		}
		n, _ := strconv.Atoi(m[1]) // nine digits at most
		was, prev := last, before
		last, before = n, l
		if prev.IsZero() || n == was+1 {
			row++
			return
		}
		counted := row >= enough
		row = 1
		message := ""
		switch {
		case !counted:
			return
		case n == was:
			message = fmt.Sprintf("report %d leaves twice", n)
		case n > was:
			message = fmt.Sprintf("report %d follows report %d: %d never left", n, was, n-was-1)
		case n <= 1:
			message = fmt.Sprintf("the count begins again at %d after %d", n, was)
		default:
			message = fmt.Sprintf("report %d follows report %d", n, was)
		}
		said++
		p.Report(message, p.See(l, "this report"), p.See(prev, "the one before"))
	}
	p.OnMessage(func(m *witness.Message) {
		if m.Out {
			look(m.Body, m.Line)
		}
	})
	p.OnData(func(l dialogue.Line) {
		if l.From == capture.Controller {
			look(l.Text, l)
		}
	})
	p.OnTexted(func(x *dialogue.Exchange) {
		if !x.Is("+CMGS") {
			look(x.Text.Text, x.Text)
		}
	})
}
