// Package servicecentre reports that no service centre is known to send texts through.
package servicecentre

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "servicecentre",
	Title:    "no service-centre number: texts have nowhere to go",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.3.1 (+CSCA)", "3GPP TS 27.005, 3.2.5 (CMS 330)"},
	Doc: `
Every text travels through a service centre of the operator, whose number stands on the card and is
shown by AT+CSCA?. If it is empty, or was overwritten by a script from another country, every text
fails, mostly with +CMS ERROR: 330, while receiving still works. Write the operator's own number with
AT+CSCA="+…",145 and keep it with AT+CSAS; never put a fixed one into the firmware.`,
	Silent: `
An empty number that the controller sets before it sends.`,
	Remedy: `Ask the operator for the number, set it with AT+CSCA="+…",145, read it back with AT+CSCA? and keep it with AT+CSAS.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	var empty, asked dialogue.Line // an answer without a number, not yet reported
	said := false
	report := func(more ...finding.Evidence) {
		if !empty.IsZero() && !said {
			said = true
			p.Report("+CSCA holds no number, so texts have nowhere to go", p.See(empty, "no number"), append(more, p.See(asked, "the question"))...)
		}
		empty = dialogue.Line{}
	}
	p.OnInfo("+CSCA", func(x *dialogue.Exchange, line dialogue.Line, a at.Answer) {
		if c, ok := x.Parsed.Find("+CSCA"); !ok || c.Form != at.Read {
			return
		}
		if rulebook.Text(a.Params, 0) == "" {
			empty, asked = line, x.Command
		} else {
			empty, said = dialogue.Line{}, false
		}
	})
	p.OnResult("+CSCA", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set && x.Result.Kind == at.OK {
			if rulebook.Text(c.Params, 0) == "" {
				p.Report("+CSCA was set to an empty number", p.See(x.Command, "empty"), p.See(x.Final, "accepted"))
				said = true
				return
			}
			empty, said = dialogue.Line{}, false
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		switch {
		case rulebook.IsCMS(x.Result, 330) && !said:
			empty, said = dialogue.Line{}, true
			p.Report(rulebook.LineName(x)+" failed with "+rulebook.Failure(x.Result), p.See(x.Final, "no service centre"), p.See(x.Command, "the command"))
		case x.Is("+CMGS"):
			report()
		}
	})
	p.OnEnd(func() { report() })
}
