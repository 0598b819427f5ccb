// Package wrongstore reports that messages arrive in another store than the one that is read.
package wrongstore

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "wrongstore",
	Title:    "messages arrive in another store than the one that is read",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.2.2 (+CPMS: <mem1> is read, <mem3> receives), 3.4.1 (+CMTI)"},
	Doc: `
A module has several stores, on the card (SM) and in itself (ME), and three settings in +CPMS: one to read and delete, one to write and
send, one for what arrives. When they differ, +CMTI names a place in one store and AT+CMGR looks at the same place in the other. It finds
nothing, or something old.`,
	Silent: `
The message was found; the stores agree; +CPMS was never shown.`,
	Remedy: `Set all three at once in every set-up, AT+CPMS="ME","ME","ME" (or "SM"), and take the store from the +CMTI line.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	var arrived dialogue.Line
	store, index := "", 0
	said := false
	p.OnReport("+CMTI", func(l, _ dialogue.Line, a at.Answer) {
		if n, ok := rulebook.Int(a.Params, 1); ok {
			arrived, store, index = l, rulebook.Text(a.Params, 0), n
		}
	})
	p.OnResult("+CMGR", func(x *dialogue.Exchange, c *at.Command) {
		n, ok := rulebook.Int(c.Params, 0)
		empty := x.Result.Kind == at.OK && len(x.Info) == 0 || rulebook.IsCMS(x.Result, 321)
		set, known := p.Known().Setting("+CPMS")
		if !ok || said || arrived.IsZero() || n != index || !empty || !known || set.Lost || set.First() == store || set.First() == "" {
			return
		}
		said = true
		p.Report(fmt.Sprintf("message %d arrived in %s and was looked for in %s", index, store, set.First()), p.See(x.Command, "looks in "+set.First()), p.See(arrived, "arrived in "+store), p.See(set.Line, "the stores"))
	})
}
