// Package offunasked reports a module that switches itself off.
package offunasked

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "offunasked",
	Title:    "the module switches off and nobody asked it to",
	Severity: finding.Error,
	Cites:    []string{"common practice, no source (makers word their report differently)"},
	Doc: `
A module that says POWER DOWN or POWER OFF without having been told to has one of three reasons: somebody pulsed its
power key, which switches an awake module off as it switches a sleeping one on; its supply or its temperature left
the range it allows; or its own watchdog. Firmware that pulses the key at every start of the controller, without
asking AT first whether the module is awake, works every second time.`,
	Silent: `
AT+CFUN was set, or a command that only the module's maker knows was sent, within the minute before. The module
named its voltage or its battery in that minute: that is the business of supplyvoltage.`,
	Remedy: `Send AT first and pulse the power key only when nothing answers; then look at the supply and the temperature at that moment.`,
	Watch:  watch,
}

const (
	longest = 48          // bytes of such a report; texts are longer. Our estimate.
	asked   = time.Minute // an orderly end takes less
)

func watch(p *rulebook.Pass) {
	var order when.Instant = -when.Never // when something may have told the module to go
	count := 0
	p.OnAsked(func(x *dialogue.Exchange) {
		for i := range x.Parsed.Commands {
			c := &x.Parsed.Commands[i]
			if _, known := at.Lookup(c.Name); !known || c.Name == "+CFUN" && c.Form == at.Set {
				order = x.AskedAt
			}
		}
	})
	off := func(line dialogue.Line) {
		text := strings.ToUpper(line.Text)
		if len(text) > longest {
			return
		}
		if strings.Contains(text, "VOLT") || strings.Contains(text, "BATT") {
			order = line.At // it says why
		}
		if !strings.Contains(text, "POWER") || !strings.Contains(text, "DOWN") && !strings.Contains(text, "OFF") {
			return
		}
		if order > -when.Never && (!p.TimesKnown() || line.Began.Sub(order) <= asked) {
			return
		}
		message := "the module says " + strings.TrimSpace(line.Text) + " and nothing had told it to"
		if count++; count > 1 {
			message += fmt.Sprintf(", for the %d. time", count)
		}
		p.Report(message, p.See(line, "switches off"))
	}
	p.OnUnsolicited(func(line, body dialogue.Line, a at.Answer) {
		if a.Name == "" && body.IsZero() {
			off(line)
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Outcome == dialogue.Finished {
			return
		}
		for _, l := range x.Info { // in the middle of an exchange
			if _, isResult := at.ParseResult(l.Text); !isResult {
				off(l)
			}
		}
	})
}
