// Package offtoosoon reports a radio that is switched off while data may still be on its way.
package offtoosoon

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "offtoosoon",
	Title:    "the radio is switched off before the data has left",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.2 (+CFUN)", "common practice, no source (an OK to data means: copied into the module)"},
	Doc: `
OK behind a piece of data only says that the module holds it. It still has to be sent, repeated where the radio was bad, and
acknowledged. A program that switches the radio off, closes the session or cuts the supply a moment later throws it away, and the
gaps on the map look like bad coverage. Wait for the server's own answer.`,
	Silent: `
Something came back from the other end before; more than two seconds passed. A text, whose OK comes from the network.`,
	Remedy: `Wait for the server's answer, or ten seconds, before AT+CFUN=0 or AT+CGACT=0, and keep the report until it was answered.`,
	Watch:  watch,
}

const soon = 2 * time.Second

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var sent dialogue.Line
	p.OnData(func(l dialogue.Line) {
		if strings.Contains(l.Text, "+++") {
			return
		}
		sent = dialogue.Line{}
		if l.From == capture.Controller {
			sent = l
		}
	})
	p.OnUnsolicited(func(dialogue.Line, dialogue.Line, at.Answer) { sent = dialogue.Line{} })
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Text.IsZero() || x.Result.Kind != at.OK || len(x.Parsed.Commands) == 0 {
			return
		}
		c := &x.Parsed.Commands[len(x.Parsed.Commands)-1]
		if _, known := at.Lookup(c.Name); !known { // a maker's way to send data
			sent = x.Final
		}
	})
	p.OnAsked(func(x *dialogue.Exchange) {
		if sent.IsZero() {
			return
		}
		from := sent
		sent = dialogue.Line{}
		for i := range x.Parsed.Commands {
			c := &x.Parsed.Commands[i]
			value := rulebook.Text(c.Params, 0)
			off := c.Name == "+CFUN" && (value == "0" || value == "4") || (c.Name == "+CGACT" || c.Name == "+CGATT") && value == "0"
			if gap := x.Command.Began.Sub(from.At); off && c.Form == at.Set && gap <= soon {
				p.Report(fmt.Sprintf("%s %s after the data was handed over, and nothing had come back", rulebook.Name(c), rulebook.Span(gap)), p.See(x.Command, "throws it away"), p.See(from, "handed over, not delivered"))
				return
			}
		}
	})
}
