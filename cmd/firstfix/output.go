package main

import (
	"bytes"
	"fmt"
	"os"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/report"

	"github.com/spf13/pflag"
	"golang.org/x/term"
)

// outputOptions are the flags by which a verdict is written; check and review share them.
type outputOptions struct {
	json        bool
	report      string
	brief       bool
	showPrivate bool
}

func (o *outputOptions) flags(f *pflag.FlagSet) {
	f.BoolVar(&o.json, "json", false, "write JSON (docs/formats/review.schema.json)")
	f.StringVar(&o.report, "report", "", "also write one self-contained HTML page to this file")
	f.BoolVar(&o.brief, "brief", false, "leave out the timing table and the assumptions")
	f.BoolVar(&o.showPrivate, "show-private", false, "show numbers, identities and texts as they are")
}

// separator stands between the verdicts of several recordings.
var separator = strings.Repeat("─", 72)

// write writes the verdict as the flags say: text or JSON to standard output,
// and the page to its file.
func (o *outputOptions) write(s *streams, v *verdict.Verdict) error {
	if !o.showPrivate {
		hidePrivate(v)
	}
	if o.report != "" {
		var page bytes.Buffer
		if err := report.HTML(&page, v); err != nil {
			return err
		}
		if err := os.WriteFile(o.report, page.Bytes(), 0o644); err != nil {
			return &stop{Status: statusCannot, Err: fmt.Errorf("write the report: %w", err)}
		}
	}
	if o.json {
		return report.JSON(s.Out, v)
	}
	if err := report.Text(s.Out, v, report.TextOptions{Colour: s.Colour(), Width: s.width(), Brief: o.brief}); err != nil {
		return err
	}
	if o.report != "" {
		fmt.Fprintf(s.Out, "\nThe report is in %s.\n", o.report)
	}
	return nil
}

// width is how many columns the terminal has; 0 when there is none.
func (s *streams) width() int {
	f, ok := s.Out.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return 0
	}
	columns, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		return 0
	}
	return min(columns, 120)
}

// failed says whether a verdict should end in status 1: a link is broken, or a
// finding is more than a note.
func failed(v *verdict.Verdict) bool {
	for _, f := range v.Findings {
		if f.Severity >= finding.Warning {
			return true
		}
	}
	_, bad := v.FirstBroken()
	return bad
}
