// Package smsprompt reports message text that was sent before the module asked for it.
package smsprompt

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "smsprompt",
	Title:    "message text sent before the prompt",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.5.1 (+CMGS in text mode)", "3GPP TS 27.005, 4.3 (+CMGS in PDU mode)"},
	Doc: `
After AT+CMGS="number" and CR the module answers with a prompt: CR, LF, ">" and a space,
and no line end. Only then does it take the text. Text that comes earlier is lost, or is read
as a command, and the module goes on waiting. How long the prompt takes changes with what the
module is doing, so a fixed pause that worked on the bench fails in the field. Look for the two
bytes "> " themselves: a reader that waits for whole lines never sees them.`,
	Silent: `
No prompt in the whole dialogue: then either the module refused the command, which other rules
report, or the recording holds only the controller's side. A text without a prompt of its own is
reported once some prompt was seen.`,
	Remedy: `Wait for the bytes "> " after AT+CMGS, at most 5 s, then send the text; send ESC if they do not come.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	prompts := 0
	p.OnPrompted(func(*dialogue.Exchange) { prompts++ })
	p.OnAnswered(func(x *dialogue.Exchange) {
		if !x.TextEarly || x.Text.IsZero() || prompts == 0 && x.Prompt.IsZero() {
			return
		}
		what := "the text was sent"
		if p.TimesKnown() {
			what = "text sent " + rulebook.Span(x.Text.Began.Sub(x.AskedAt))
		}
		message := fmt.Sprintf("%s after %s, before any prompt", what, rulebook.LineName(x))
		evidence := p.See(x.Text, "the text")
		asked := p.See(x.Command, "the command")
		if x.Prompt.IsZero() {
			p.Report(message, evidence, asked)
			return
		}
		if p.TimesKnown() {
			message += fmt.Sprintf("; the prompt came %s after the command", rulebook.Span(x.Prompt.Began.Sub(x.AskedAt)))
		}
		p.Report(message, evidence, asked, p.See(x.Prompt, "the prompt came only now"))
	})
}
