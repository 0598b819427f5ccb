// Package speednotstored reports a line speed that was set and is gone after the next start.
package speednotstored

import (
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "speednotstored",
	Title:    "the speed was set and not stored",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 6.2.10 (+IPR)", "V.250, 6.1.4 (&W; from memory)"},
	Doc: `
AT+IPR=115200 holds until the module starts anew; then the old speed, or finding it by itself, is back. The firmware
opens the line at the new one and hears nothing, or garbage, until somebody tries the old. Store the setting with
AT&W where the module honours it, and read it back after a restart; and let the firmware try the usual speeds before
it believes that the module is dead.`,
	Silent: `
The setting was stored with AT&W; +IPR=0, which lets the module find out; the module answered at the new speed to the
end of the recording.`,
	Remedy: `Send AT+IPR=<speed>;&W once at the bench, restart the module and ask AT+IPR?; in the firmware try the usual speeds at every start.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	var set dialogue.Line
	speed, now := "", ""
	p.OnResult("+IPR", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set && x.Result.Kind == at.OK {
			speed, set = rulebook.Text(c.Params, 0), x.Command
			if speed == "0" {
				speed = ""
			}
		}
	})
	p.OnResult("&W", func(x *dialogue.Exchange, _ *at.Command) {
		if x.Result.Kind == at.OK {
			speed = ""
		}
	})
	p.OnNoted(func(_ dialogue.Line, note string) {
		if s, ok := strings.CutPrefix(note, "speed "); ok {
			now = strings.TrimSpace(s)
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if speed == "" || now == "" || now == speed || x.Outcome != dialogue.Finished || x.Command.Record == set.Record {
			return
		}
		if r, ok := p.Known().LastRestart(); !ok || r.Line.Record < set.Record {
			if x.Previous == nil || x.Previous.Outcome == dialogue.Finished {
				return // the program follows its own setting, or asks at the old speed before it takes effect
			}
		}
		p.Report("+IPR was set to "+speed+" and not stored; after the next start the module speaks at "+now, p.See(x.Final, "answers at "+now), p.See(set, "set, and no AT&W behind it"))
		speed = ""
	})
}
