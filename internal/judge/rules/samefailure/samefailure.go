// Package samefailure reports a command that fails again and again and is repeated unchanged.
package samefailure

import (
	"fmt"
	"slices"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "samefailure",
	Title:    "the same command fails again and again",
	Severity: finding.Warning,
	Cites:    []string{"GSMA TS.34 (devices answer failures step by step)", "common practice, no source (ten times)"},
	Doc: `
A command that failed ten times in the same way will fail the eleventh time. Repeating it is no recovery: it drains the
battery and, where the network is asked, makes the operator block the card. After three equal failures something else has to
happen: another question (AT+CEER, AT+CPIN?, AT+CREG?), a longer pause, the radio off and on, a restart, and in the end sleep.`,
	Silent: `
Questions, with which one waits for a state; commands that ask the network for a session or an operator, which attemptrate
counts; a PIN, which fewtries counts; reading a place of the store that is still empty. Fewer than ten equal failures in a row.`,
	Remedy: `After three equal failures climb a ladder: ask why, wait longer each time, AT+CFUN=4 and 1, restart, supply off, long sleep; count and report each step.`,
	Watch:  watch,
}

const enough = 10

// elsewhere are commands whose repeated failure other rules report.
var elsewhere = []string{"+CGATT", "+CGACT", "+CGDATA", "+COPS", "+CPIN", "+CMGR"}

func watch(p *rulebook.Pass) {
	type row struct {
		first *dialogue.Exchange
		said  bool
		count int
	}
	var rows [4]row // a loop repeats a few commands, each of which may fail
	next := 0
	p.OnAnswered(func(x *dialogue.Exchange) {
		if len(x.Parsed.Commands) != 1 || x.Outcome != dialogue.Finished {
			return
		}
		c := &x.Parsed.Commands[0]
		var r *row
		for i := range rows {
			if f := rows[i].first; f != nil && f.Command.Text == x.Command.Text {
				r = &rows[i]
			}
		}
		if !x.Result.Failed() || r != nil && r.first.Result != x.Result {
			if r != nil {
				*r = row{}
			}
			return
		}
		if c.Form == at.Read || c.Form == at.Test || slices.Contains(elsewhere, c.Name) {
			return
		}
		if r == nil {
			r = &rows[next]
			*r = row{first: x}
			next = (next + 1) % len(rows)
		}
		if r.count++; r.count < enough || r.said {
			return
		}
		r.said = true
		message := fmt.Sprintf("%s failed %d times in a row with %s and was repeated unchanged", rulebook.LineName(x), r.count, rulebook.Failure(x.Result))
		if p.TimesKnown() {
			message += ", once every " + rulebook.Span((x.AskedAt.Sub(r.first.AskedAt) / (enough - 1)).Round(100*time.Millisecond))
		}
		p.Report(message, p.See(x.Command, "again"), p.See(r.first.Command, "the first time"), p.See(r.first.Final, "the failure"))
	})
}
