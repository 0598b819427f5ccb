// Package wrongindex reports that another message is read than the one that arrived.
package wrongindex

import (
	"fmt"
	"strconv"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "wrongindex",
	Title:    "another message is read than the one that arrived",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.4.1 (+CMTI: <mem>,<index>), 3.4.3 (+CMGR)"},
	Doc: `
+CMTI: "ME",12 names the store and the place of the new message, and the program reads another place: the 1 of 12, because it looks at
one character; always 1, because the store was empty at the bench; 0, where places begin at 1. It finds nothing, or an old message, and
the new one is never seen.`,
	Silent: `
The place that was read holds a message; the one that arrived was read as well; nothing had arrived.`,
	Remedy: `Read the number behind the comma to its last digit, take the store from the same line, and read that place.`,
	Watch:  watch,
}

const maxWaiting = 16 // arrived and not read yet

func watch(p *rulebook.Pass) {
	var waiting []arrival
	p.OnReport("+CMTI", func(l, _ dialogue.Line, a at.Answer) {
		if n, ok := rulebook.Int(a.Params, 1); ok && len(waiting) < maxWaiting {
			waiting = append(waiting, arrival{n, l})
		}
	})
	p.OnResult("+CMGL", func(*dialogue.Exchange, *at.Command) { waiting = waiting[:0] })
	p.OnResult("+CMGR", func(x *dialogue.Exchange, c *at.Command) {
		n, ok := rulebook.Int(c.Params, 0)
		if !ok || len(waiting) == 0 {
			return
		}
		for i, w := range waiting {
			if w.index == n {
				waiting = append(waiting[:i], waiting[i+1:]...)
				return
			}
		}
		w := waiting[len(waiting)-1]
		empty := x.Result.Kind == at.OK && len(x.Info) == 0 || rulebook.IsCMS(x.Result, 321)
		if !empty {
			return
		}
		waiting = waiting[:0]
		message := fmt.Sprintf("message %d arrived and AT+CMGR=%d was read, where there is none", w.index, n)
		if w.index >= 10 && strings.HasPrefix(strconv.Itoa(w.index), strconv.Itoa(n)) {
			message += ": only its first digit was taken"
		}
		p.Report(message, p.See(x.Command, "another place"), p.See(w.line, "what arrived"), p.See(x.Final, "nothing there"))
	})
}

type arrival struct {
	index int
	line  dialogue.Line
}
