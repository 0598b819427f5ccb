// Package textafterend reports text behind the byte that ends a text.
package textafterend

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "textafterend",
	Title:    "the text was cut at a Ctrl-Z inside it",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.5.1 (Ctrl-Z sends, ESC cancels)"},
	Doc: `
Behind the prompt the byte 0x1A sends what has come so far and 0x1B throws it away, wherever they stand. Data that is sent as
text, or a text with such a byte in it, is cut there; the rest falls back into command state, where it is noise or, worse,
a command. Check what goes into a text, or send it in PDU mode, where everything is hex.`,
	Silent: `
Nothing but line ends follows the Ctrl-Z. What follows later than a twentieth of a second is another line.`,
	Remedy: `Leave bytes below 0x20 out of texts (but CR and LF), and send data in PDU mode or over a data session.`,
	Watch:  watch,
}

const atOnce = 50 * time.Millisecond

func watch(p *rulebook.Pass) {
	var x *dialogue.Exchange // the last text that was ended
	p.OnTexted(func(t *dialogue.Exchange) { x = t })
	p.OnStray(func(l dialogue.Line) {
		if x == nil || x.TextEnd == 0 || l.From != capture.Controller || !p.TimesKnown() || l.Began.Sub(x.Text.At) > atOnce || l.Began < x.Text.At {
			return
		}
		rest := strings.Trim(l.Text, "\r\n\x1a\x1b \x00")
		if len(rest) < 2 {
			return
		}
		end := "Ctrl-Z (0x1A) sent"
		if x.TextEnd == 0x1b {
			end = "ESC (0x1B) threw away"
		}
		p.Report(fmt.Sprintf("%s the first %d bytes, and %d more followed", end, len(x.Text.Text), len(rest)), p.See(l, "the rest, which is no text any more"), p.See(x.Text, "what counted as the text"), p.See(x.Command, "the command"))
		x = nil
	})
}
