// Package radiooff reports a radio or an operator choice that was left switched off.
package radiooff

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "radiooff",
	Title:    "the radio or the operator choice is switched off",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 8.2 (+CFUN: 0 minimum, 4 no radio)", "3GPP TS 27.007, 7.3 (+COPS: 2 signed off)"},
	Doc: `
AT+CFUN=0 and 4 switch the radio off, AT+COPS=2 signs the module off, and many modules keep that over a
restart. Then +CREG says 0: not searching. No antenna and no patience helps; AT+CFUN=1 and AT+COPS=0 do.`,
	Silent: `
The controller switches it on again before it sends or dials, or the dialogue ends while it is off on
purpose.`,
	Remedy: `Put AT+CFUN=1 and AT+COPS=0 into the set-up that runs after every start.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	var radio, operator dialogue.Line // what shows that it is off; zero when it is not
	found, zero, said := false, false, false
	set := func(off bool, line *dialogue.Line, at dialogue.Line) {
		*line = dialogue.Line{}
		if off {
			*line = at
		}
	}
	state := func() (dialogue.Line, string) {
		if !radio.IsZero() {
			return radio, "the radio is switched off (+CFUN)"
		}
		return operator, "the module is signed off (+COPS: 2)"
	}
	p.OnInfo("+CFUN", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		n := rulebook.Text(a.Params, 0)
		set(n == "0" || n == "4", &radio, l)
		found = found || n == "0" || n == "4"
	})
	p.OnInfo("+COPS", func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		if c, _ := x.Parsed.Find("+COPS"); c.Form == at.Read {
			set(rulebook.Text(a.Params, 0) == "2", &operator, l)
			found = found || rulebook.Text(a.Params, 0) == "2"
		}
	})
	p.OnResult("+CFUN", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set && x.Result.Kind == at.OK {
			n := rulebook.Text(c.Params, 0)
			found = false // what the controller did itself it did on purpose
			set(n == "0" || n == "4", &radio, x.Command)
		}
	})
	p.OnResult("+COPS", func(x *dialogue.Exchange, c *at.Command) {
		if n := rulebook.Text(c.Params, 0); c.Form == at.Set && x.Result.Kind == at.OK && n != "3" {
			found = false
			set(n == "2", &operator, x.Command)
		}
	})
	p.OnInfo("+CREG", func(_ *dialogue.Exchange, _ dialogue.Line, a at.Answer) {
		zero = zero || rulebook.Text(a.Params, 1) == "0"
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		line, what := state()
		if line.IsZero() || said || x.Result.Kind == at.OK || !x.Is("+CMGS") && !x.Is("D") && !x.Is("+CGATT") && !x.Is("+CGACT") {
			return
		}
		said = true
		p.Report(rulebook.LineName(x)+" was sent while "+what, p.See(line, "switched off"), p.See(x.Command, "needs the network"))
	})
	p.OnEnd(func() {
		if line, what := state(); !line.IsZero() && found && zero && !said {
			p.Report(what+" and was not switched on again", p.See(line, "switched off"))
		}
	})
}
