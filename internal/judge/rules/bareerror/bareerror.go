// Package bareerror reports an ERROR that hides its reason because extended error codes are off.
package bareerror

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "bareerror",
	Title:    "bare ERROR: extended error codes are off",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 9.1 (+CMEE)", "3GPP TS 27.007, 9.2 (error codes)"},
	Doc: `
With +CMEE=0, which is how modules start, every failure is the one word ERROR: no card, PIN
wanted, no network and a typing mistake look the same. After AT+CMEE=1 the module answers with a
number, after AT+CMEE=2 with words. The setting is usually gone after a restart, so it belongs
into the set-up that runs after every start.`,
	Silent: `
Extended codes are on: then a bare ERROR means that the module did not understand the line. Only
the first bare ERROR since the start, or since codes were switched off, is reported. Silent too
when the very next command switches the codes on: the controller has noticed.`,
	Remedy: `Send AT+CMEE=1 (numbers) or AT+CMEE=2 (words) after every start of the module.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	var held *dialogue.Exchange // failed without a reason; reported once the next command is known
	said := false
	report := func() {
		if x := held; x != nil {
			held, said = nil, true
			p.Report(rulebook.LineName(x)+" failed with a bare ERROR and nobody can know why: +CMEE is "+state(p),
				p.See(x.Final, "no reason given"), p.See(x.Command, "the question"))
		}
	}
	p.OnAsked(func(x *dialogue.Exchange) {
		if held != nil && !x.Is("+CMEE") {
			report()
		}
		held = nil
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Result.Kind != at.Error || said || x.Is("+CMEE") || on(p) {
			return
		}
		held = x
	})
	p.OnResult("+CMEE", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set {
			said = false
		}
	})
	p.OnRestart(func(witness.Restart) { said = false })
	p.OnEnd(report)
}

// on says whether extended codes are known to be in force.
func on(p *rulebook.Pass) bool {
	s, ok := p.Known().Setting("+CMEE")
	return ok && !s.Lost && s.First() != "0"
}

func state(p *rulebook.Pass) string {
	s, ok := p.Known().Setting("+CMEE")
	switch {
	case !ok:
		return "0 until it is set"
	case s.Lost:
		return "0 again since the module restarted"
	}
	return "0"
}
