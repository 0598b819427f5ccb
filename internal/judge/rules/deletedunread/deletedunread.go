// Package deletedunread reports messages that are deleted before anybody read them.
package deletedunread

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "deletedunread",
	Title:    "a message is deleted before it was read",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.5.4 (+CMGD: <index>[,<delflag>], 4 deletes all, unread ones too)"},
	Doc: `
AT+CMGD=1,4 empties the store with everything in it, what arrived a second ago included. As a way to keep the store clean it loses the
very messages the device waits for, most likely those that come in a bunch after a gap in coverage. Flag 1 deletes what was read and
leaves the rest.`,
	Silent: `
Everything that was announced had been read or listed. What nobody announced cannot be known.`,
	Remedy: `Delete by place after reading, or with AT+CMGD=1,1 (read ones only).`,
	Watch:  watch,
}

const maxWaiting = 32

func watch(p *rulebook.Pass) {
	waiting := map[int]dialogue.Line{} // announced and not read yet, by place
	p.OnReport("+CMTI", func(l, _ dialogue.Line, a at.Answer) {
		if n, ok := rulebook.Int(a.Params, 1); ok && len(waiting) < maxWaiting {
			waiting[n] = l
		}
	})
	p.OnResult("+CMGL", func(*dialogue.Exchange, *at.Command) { clear(waiting) })
	p.OnResult("+CMGR", func(_ *dialogue.Exchange, c *at.Command) {
		if n, ok := rulebook.Int(c.Params, 0); ok {
			delete(waiting, n)
		}
	})
	p.OnRestart(func(witness.Restart) { clear(waiting) })
	p.OnResult("+CMGD", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form != at.Set || x.Result.Kind != at.OK || len(waiting) == 0 {
			return
		}
		if flag, ok := rulebook.Int(c.Params, 1); ok && flag == 4 {
			oldest := dialogue.Line{}
			for _, l := range waiting { // the least, so the order of the map does not matter
				if oldest.IsZero() || l.Record < oldest.Record {
					oldest = l
				}
			}
			p.Report(fmt.Sprintf("%s deleted everything, and %d announced before had not been read", rulebook.Name(c), len(waiting)), p.See(x.Command, "deletes all"), p.See(oldest, "announced, never read"))
			clear(waiting)
			return
		}
		n, _ := rulebook.Int(c.Params, 0)
		if l, ok := waiting[n]; ok && len(c.Params) == 1 {
			p.Report(fmt.Sprintf("message %d was deleted and had never been read", n), p.See(x.Command, "deletes it"), p.See(l, "announced, never read"))
			delete(waiting, n)
		}
	})
}
