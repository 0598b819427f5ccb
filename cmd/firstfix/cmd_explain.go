package main

import (
	"fmt"
	"io"
	"strings"

	"firstfix/internal/explain"
	"firstfix/internal/report"

	"github.com/charmbracelet/x/ansi"
	"github.com/spf13/cobra"
)

const explainHelp = `
Put one line into plain words, field by field: a command, an answer, an
unsolicited line, a result code, a GNSS sentence, a PDU, a coordinate, a command by text.

Each argument is one line. Without arguments lines are read from standard
input, so that a window can be pasted.`

// explainCommand explains lines: `firstfix explain TEXT…`.
func explainCommand(s *streams) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "explain [TEXT...]",
		Short: "put a line into plain words, field by field",
		Long:  exits(explainHelp, exit{statusFound, "a line could not be understood, or something in it is wrong"}, exit{statusCannot, "nothing was given"}),
		Example: `  firstfix explain 'AT+CSMP=17,167,0,8'
  firstfix explain '+CREG: 0,2' '+CMS ERROR: 330'
  firstfix explain '$GPGSV,1,1,00*79'
  firstfix explain < window.txt`,
		RunE: func(_ *cobra.Command, texts []string) error { return runExplain(s, texts, asJSON) },
	}
	c.Flags().BoolVar(&asJSON, "json", false, "write JSON (docs/formats/explain.schema.json)")
	return c
}

func runExplain(s *streams, texts []string, asJSON bool) error {
	if len(texts) == 0 {
		var err error
		if texts, err = linesOf(s.In); err != nil {
			return &stop{Status: statusCannot, Err: err}
		}
	}
	if len(texts) == 0 {
		return &stop{Status: statusCannot, Err: fmt.Errorf("there is nothing to explain"),
			Hints: []string{"give a line in quotes: firstfix explain 'AT+CSQ'"}}
	}
	all := make([]explain.Explanation, 0, len(texts))
	wrong := false
	for _, text := range texts {
		e := explainLine(text)
		wrong = wrong || len(e.Problems) > 0
		all = append(all, e)
	}
	if asJSON {
		if err := writeJSON(s.Out, all); err != nil {
			return err
		}
	} else {
		for i, e := range all {
			if i > 0 {
				fmt.Fprintln(s.Out)
			}
			showExplanation(s.Out, texts[i], e)
		}
	}
	if wrong {
		return &stop{Status: statusFound}
	}
	return nil
}

// maxPasted is how much text explain takes from standard input: a window, not a log.
const maxPasted = 1 << 20

func linesOf(r io.Reader) ([]string, error) {
	all, err := io.ReadAll(io.LimitReader(r, maxPasted+1))
	if err != nil {
		return nil, fmt.Errorf("read standard input: %w", err)
	}
	if len(all) > maxPasted {
		return nil, fmt.Errorf("more than %d bytes on standard input; firstfix review judges a whole log", maxPasted)
	}
	var lines []string
	for _, l := range strings.FieldsFunc(string(all), func(r rune) bool { return r == '\n' || r == '\r' }) {
		if strings.TrimSpace(l) != "" {
			lines = append(lines, l)
		}
	}
	return lines, nil
}

// Widths of the columns of an explanation. Longer names and values push the
// meaning to the right; they are never cut.
const (
	nameColumns  = 24
	valueColumns = 22
	textColumns  = 100
)

// showExplanation writes one line's meaning for a person.
func showExplanation(w io.Writer, text string, e explain.Explanation) {
	fmt.Fprintf(w, "%s\n  %s\n", report.Visible(text), e.Title)
	names, values := 0, 0
	for _, f := range e.Fields {
		names = max(names, min(ansi.StringWidth(f.Name), nameColumns))
		values = max(values, min(ansi.StringWidth(report.Visible(f.Value)), valueColumns))
	}
	source, shared := sharedClause(e.Fields)
	for _, f := range e.Fields {
		value := report.Visible(f.Value)
		if value == f.Name {
			value = ""
		}
		meaning := f.Meaning
		if f.Clause != "" && !shared {
			meaning += "  [" + f.Clause + "]"
		}
		hanging(w, "    "+padded(f.Name, names)+"  "+padded(value, values)+"  ", meaning)
	}
	if shared {
		fmt.Fprintf(w, "    source: %s\n", source)
	}
	for _, p := range e.Problems {
		hanging(w, "  wrong: ", p)
	}
	for _, h := range e.Hints {
		hanging(w, "  hint:  ", h)
	}
}

// sharedClause returns the clause that every field with one has in common, if there are several.
func sharedClause(fields []explain.Field) (clause string, shared bool) {
	n := 0
	for _, f := range fields {
		switch {
		case f.Clause == "":
		case n == 0 || f.Clause == clause:
			clause = f.Clause
			n++
		default:
			return "", false
		}
	}
	return clause, n > 1
}

func padded(text string, width int) string {
	return text + strings.Repeat(" ", max(width-ansi.StringWidth(text), 0))
}

// hanging writes text after lead, and further lines of it under its beginning.
func hanging(w io.Writer, lead, text string) {
	indent := ansi.StringWidth(lead)
	for i, l := range wordLines(text, max(textColumns-indent, 40)) {
		if i > 0 {
			lead = strings.Repeat(" ", indent)
		}
		fmt.Fprintln(w, strings.TrimRight(lead+l, " "))
	}
}

// wordLines cuts a text into lines between words only: a coordinate or a date with a hyphen in
// it is never parted.
func wordLines(text string, columns int) (lines []string) {
	for _, paragraph := range strings.Split(text, "\n") {
		line, width := "", 0
		for _, word := range strings.Split(paragraph, " ") {
			n := ansi.StringWidth(word)
			if width > 0 && width+1+n > columns {
				lines = append(lines, line)
				line, width = "", 0
			} else if line != "" || width > 0 {
				line, width = line+" ", width+1
			}
			line, width = line+word, width+n
		}
		lines = append(lines, line)
	}
	return lines
}
