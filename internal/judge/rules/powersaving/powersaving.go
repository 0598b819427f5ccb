// Package powersaving reports a module that cannot be reached because it sleeps.
package powersaving

import (
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "powersaving",
	Title:    "power saving is on: texts wait until the module wakes",
	Severity: finding.Note,
	Cites:    []string{"3GPP TS 27.007, 7.38 (+CPSMS)", "3GPP TS 24.008, 10.5.7.3 and 10.5.7.4a (the two timers; from memory)"},
	Doc: `
In power saving mode (AT+CPSMS=1) the module sleeps between its reports and nobody can reach it: texts and data wait at the
network until it wakes by itself, which is set by a timer of minutes to days. For a device that only reports, that is right.
For one that is to answer WHERE, it is not.`,
	Silent: `
Power saving is off; nothing in the dialogue waits for texts; the module wakes more often than every ten minutes.`,
	Remedy: `Leave power saving off (AT+CPSMS=0) where the device must answer, or choose the timer by the longest wait that a person accepts.`,
	Watch:  watch,
}

const short = 10 * time.Minute

func watch(p *rulebook.Pass) {
	var on dialogue.Line
	wakes := time.Duration(0)
	waits := false // the dialogue waits for texts
	said := false
	look := func() {
		if said || on.IsZero() || !waits {
			return
		}
		said = true
		message := "power saving is on, so texts wait until the module wakes"
		if wakes > 0 {
			message += ", every " + rulebook.Span(wakes)
		}
		p.Report(message, p.See(on, "power saving is switched on"))
	}
	set := func(params []at.Param, l dialogue.Line) {
		on, wakes = dialogue.Line{}, 0
		if rulebook.Text(params, 0) != "1" {
			return
		}
		if t, ok := at.PeriodicTAU(rulebook.Text(params, 3)); ok && !t.Off {
			if wakes = t.Time; wakes <= short {
				return
			}
		}
		on = l
		look()
	}
	p.OnResult("+CPSMS", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set && x.Result.Kind == at.OK {
			set(c.Params, x.Command)
		}
	})
	p.OnInfo("+CPSMS", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) { set(a.Params, l) })
	p.OnResult("+CNMI", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set && x.Result.Kind == at.OK {
			waits = rulebook.Text(c.Params, 1) == "1" || rulebook.Text(c.Params, 1) == "2"
			look()
		}
	})
}
