// Package wordinside reports a controller that takes a word inside a line for the result.
package wordinside

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "wordinside",
	Title:    "a word inside an answer was taken for its end",
	Severity: finding.Error,
	Cites:    []string{"V.250, 5.7.1 (a result stands alone on its line)", "3GPP TS 27.005, 3.4.3 (+CMGR: the text may say anything)"},
	Doc: `
A message says "all OK here", an operator is called "OKTEL", a file is named ERROR.LOG. A program that looks for OK
anywhere in what has come takes that for the final result and sends its next command into the middle of the answer. The
same program then finds the real OK and takes it for the answer to the next command, and everything is off by one.`,
	Silent: `
The next command came after the final result; the line in question is the result itself; no word of the kind is in it. Times are not
known.`,
	Remedy: `Compare whole lines: a result is a line that is OK, ERROR or begins with +CME ERROR: or +CMS ERROR:, and nothing else.`,
	Watch:  watch,
}

const atOnce = 300 * time.Millisecond // the next command follows the word within it; our estimate

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return // in a pasted window the result may only not have been copied
	}
	said := false
	p.OnAsked(func(x *dialogue.Exchange) {
		open := p.Open()
		if len(open) == 0 || said {
			return
		}
		before := open[len(open)-1]
		i := len(before.Info) - 1
		for i >= 0 && before.Info[i].At > x.Command.Began {
			i-- // came later; the exchange knows it already
		}
		if i < 0 {
			return
		}
		last := before.Info[i]
		word := "OK"
		if strings.Contains(last.Text, "ERROR") {
			word = "ERROR"
		}
		trimmed := strings.TrimSpace(last.Text)
		if !strings.Contains(trimmed, word) || trimmed == word || x.Command.Began.Sub(last.At) > atOnce {
			return
		}
		said = true
		line := fmt.Sprintf("%q", last.Text)
		if last.Body {
			line = "a line of a message" // what people write is their own
		}
		p.Report(fmt.Sprintf("%s left right after %s, which only holds the word %s", rulebook.LineName(x), line, word), p.See(x.Command, "too early"), p.See(last, "no result"), p.See(before.Command, "not over yet"))
	})
}
