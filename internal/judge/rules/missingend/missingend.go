// Package missingend reports a text that was never ended with Ctrl-Z.
package missingend

import (
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "missingend",
	Title:    "text not ended with Ctrl-Z",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.5.1 (0x1A sends, 0x1B cancels)"},
	Doc: `
A text is sent by one byte, 0x1A, called Ctrl-Z or SUB. print(26) sends the two digits 2 and 6 instead, and
the two characters ^ and Z are not it either. Without the byte the module waits, and takes everything that
follows, commands too, for more text.`,
	Silent: `
The text was cancelled with ESC, or a command stands in it: then another rule shows what was swallowed.
In a recording that ends right after the text the byte may follow.`,
	Remedy: `Write the single byte 0x1A after the text, alone, with nothing behind it.`,
	Watch:  watch,
}

// patience: a recording that ends earlier may only have been cut off. Our estimate.
const patience = 5 * time.Second

// spelled are ways to write the byte in letters.
var spelled = []string{"<SUB>", "<CTRL-Z>", "<ctrl-z>", "<Ctrl-Z>", "CTRL+Z", "Ctrl+Z", "Ctrl-Z", "CTRL-Z", `\x1A`, `\x1a`, `\u001a`, "0x1A", "0x1a", "^Z", "(26)", "26"}

func watch(p *rulebook.Pass) {
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Text.IsZero() || x.TextEnd != 0 || !x.Is("+CMGS") && !x.Is("+CMGW") || rulebook.HoldsCommand(x.Text.Text) {
			return
		}
		text := strings.TrimRight(x.Text.Text, "\r\n ")
		for _, s := range spelled {
			if strings.HasSuffix(text, s) {
				p.Report("the text ends in the characters "+s+" instead of the byte 0x1A", p.See(x.Text, "no Ctrl-Z"), p.See(x.Command, "the command"))
				return
			}
		}
		cutOff := x.Outcome == dialogue.Unanswered && (!p.TimesKnown() || x.DoneAt.Sub(x.Text.At) < patience)
		if cutOff {
			return
		}
		p.Report("the text was never ended: no 0x1A followed", p.See(x.Text, "no Ctrl-Z"), p.See(x.Command, "the command"))
	})
}
