// Package antennareport reports a receiver that finds its antenna open or shorted.
package antennareport

import (
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "antennareport",
	Title:    "the receiver says that its antenna is open or shorted",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1, TXT", "common practice, no source (makers word it differently)"},
	Doc: `
Receivers that feed an active antenna measure its current and say in a TXT sentence what they find: OPEN when none flows, SHORT when too much does.
Open: no antenna, a loose plug, or a passive one, which draws nothing. Short: a crushed lead or a wrong plug; the receiver may have cut the
supply to save itself.`,
	Silent: `
A valid fix came within two minutes: then a passive antenna is in place and all is well. It said that the antenna is all right afterwards.`,
	Remedy: `Push the antenna plug home, try another antenna, and measure 3 to 5 V at the socket for an active one.`,
	Watch:  watch,
}

const patience = 2 * time.Minute

func watch(p *rulebook.Pass) {
	var line dialogue.Line
	what := ""
	tell := func() {
		if what != "" {
			p.Report("the receiver says that its antenna is "+what+", and no fix followed", p.See(line, "the receiver's words"))
			what = ""
		}
	}
	said := false
	p.OnSentence(func(l dialogue.Line, s *nmea.Sentence) {
		if s.Type != "TXT" {
			return
		}
		text := strings.ToUpper(s.Text)
		if !strings.Contains(text, "ANT") {
			return
		}
		switch {
		case strings.Contains(text, "OPEN"), strings.Contains(text, "SHORT"):
			if what == "" && !said {
				line, said = l, true
				line.Text = strings.Clone(l.Text)
				what = "open"
				if strings.Contains(text, "SHORT") {
					what = "shorted"
				}
			}
		case strings.Contains(text, "OK"):
			what, said = "", false
		}
	})
	p.OnEpoch(func(e *epoch.Epoch) {
		switch {
		case what == "":
		case e.Fix.Valid:
			what, said = "", false
		case p.TimesKnown() && e.At.Sub(line.Began) > patience:
			tell()
		}
	})
	p.OnEnd(tell)
}
