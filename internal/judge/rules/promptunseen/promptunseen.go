// Package promptunseen reports a prompt that the controller did not notice.
package promptunseen

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "promptunseen",
	Title:    "the prompt came and no text followed",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.5.1 (the prompt is CR LF > space, without a line end)", "common practice, no source (5 s)"},
	Doc: `
The prompt "> " has no line end behind it. A program that reads line by line never sees it: it waits for
a line, the module waits for the text, and both wait for ever. Match the two bytes as they come.`,
	Silent: `
A text or a command was sent within five seconds; the text entry was cancelled; the recording ends soon
after the prompt.`,
	Remedy: `Look for the bytes "> " in what has been received so far, not for a complete line.`,
	Watch:  watch,
}

// patience is how long a program may take to send its text. Common practice, no source.
const patience = 5 * time.Second

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Prompt.IsZero() || x.TextEnd == 0x1B || x.TextEarly {
			return
		}
		until := x.DoneAt
		if !x.Text.IsZero() {
			until = x.Text.Began
			if !rulebook.HoldsCommand(x.Text.Text) && x.TextEnd == 0x1A {
				return // late, but it came
			}
		}
		if waited := until.Sub(x.Prompt.At); waited >= patience {
			p.Report(fmt.Sprintf("the prompt came and no text followed for %s", rulebook.Span(waited)), p.See(x.Prompt, "the prompt"), p.See(x.Command, "the command"))
		}
	})
}
