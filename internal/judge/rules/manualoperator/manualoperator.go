// Package manualoperator reports a module that is bound to an operator that is not there.
package manualoperator

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "manualoperator",
	Title:    "the module is bound to one operator and does not find it",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 7.3 (+COPS: mode 1 is manual)", "common practice, no source (2 min)"},
	Doc: `
AT+COPS=1,… binds the module to one operator, and many modules remember it. Where that operator is not heard, or not
allowed, the module does not look at any other and stays without service though a dozen are there. AT+COPS=0 lets it choose.`,
	Silent: `
It is registered; less than two minutes (or ten answers, where times are not known) without service; the choice was set
back to automatic.`,
	Remedy: `Send AT+COPS=0 in the set-up, and choose by hand only to find out who is there.`,
	Watch:  watch,
}

const (
	long  = 2 * time.Minute
	words = 10
)

func watch(p *rulebook.Pass) {
	var manual dialogue.Line
	var first witness.Registration
	count := 0
	set := func(mode string, l dialogue.Line) {
		switch {
		case mode == "1" && manual.IsZero():
			manual, count = l, 0
		case mode == "0" || mode == "4":
			manual = dialogue.Line{}
		}
	}
	p.OnInfo("+COPS", func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		if c, _ := x.Parsed.Find("+COPS"); c.Form == at.Read {
			set(rulebook.Text(a.Params, 0), l)
		}
	})
	p.OnResult("+COPS", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set {
			set(rulebook.Text(c.Params, 0), x.Command)
		}
	})
	p.OnRegistration(func(r *witness.Registration) {
		if manual.IsZero() || r.Registered() {
			count = 0
			return
		}
		if count == 0 {
			first = *r
		}
		count++
		span := r.Line.Began.Sub(first.Line.Began)
		if p.TimesKnown() && span < long || !p.TimesKnown() && count < words {
			return
		}
		message := fmt.Sprintf("the operator was chosen by hand and %s says %d", r.Command, r.Stat)
		if p.TimesKnown() {
			message += " for " + rulebook.Span(span)
		}
		p.Report(message, p.See(manual, "chosen by hand"), p.See(r.Line, "still no service"), p.See(first.Line, "no service from here on"))
		manual = dialogue.Line{}
	})
}
