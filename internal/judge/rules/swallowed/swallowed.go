// Package swallowed reports a command that became part of a message.
package swallowed

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "swallowed",
	Title:    "a command became part of the text",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.5.1 (text entry ends with 0x1A or 0x1B)"},
	Doc: `
After the prompt everything is text until 0x1A sends it or 0x1B cancels it. If the program forgets the
byte, or gives up and goes on with the next command, the module puts that command into the message: the
receiver reads "alarm AT+CMGS=…". Whenever in doubt whether the module is still in text entry, send ESC
(0x1B), wait for OK, then go on.`,
	Silent: `
No command stands in the text. The two letters "at" alone are a word.`,
	Remedy: `End every text with 0x1A; after any doubt send ESC (0x1B) and wait for OK before the next command.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Text.IsZero() || !x.Is("+CMGS") && !x.Is("+CMGW") || !rulebook.HoldsCommand(x.Text.Text) {
			return
		}
		message := "a command was sent while the module was taking text, and became part of the message"
		if x.TextEnd == 0 {
			message += "; the text has no 0x1A before it"
		}
		p.Report(message, p.See(x.Text, "holds a command"), p.See(x.Command, "the message it went into"))
	})
}
