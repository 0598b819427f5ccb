// Package cnmi reports messages that arrive without anybody being told.
package cnmi

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "cnmi",
	Title:    "arriving messages are not reported",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.005, 3.4.1 (+CNMI)", "3GPP TS 27.005, 3.4.4 (+CNMA), 3.2.1 (+CSMS)"},
	Doc: `
The second number of AT+CNMI says what the module does with an arriving message: 0 stores it and says
nothing, 1 stores it and reports +CMTI, 2 hands it over with +CMT. Modules start with 0, or with whatever
was stored, and a restart brings that back. With AT+CSMS=1 a message handed over by +CMT must be
acknowledged with AT+CNMA within seconds, or the module stops handing over.`,
	Silent: `
One unread message in a list; a controller that lists its messages again and again asks instead of being
told, which works too.`,
	Remedy: `Send AT+CNMI=2,1,0,0,0 in the set-up after every start, read it back, and list the store every few minutes all the same.`,
	Watch:  watch,
}

const (
	piled    = 2                // unread messages that nobody announced
	polls    = 3                // lists that make a habit
	mustThen = 15 * time.Second // +CNMA; common practice, no source
)

func watch(p *rulebook.Pass) {
	lists, announced, said := 0, 0, false
	var asked, arrived dialogue.Line // the +CSMS=1, and a +CMT that wants +CNMA
	announce := func(dialogue.Line, dialogue.Line, at.Answer) { announced++ }
	p.OnReport("+CMTI", announce)
	p.OnResult("+CMGL", func(x *dialogue.Exchange, c *at.Command) {
		lists++
		unread := 0
		var first dialogue.Line
		for _, line := range x.Info {
			a, ok := at.ParseAnswer(line.Text)
			status := rulebook.Text(a.Params, 1)
			if ok && a.Name == "+CMGL" && (status == "REC UNREAD" || status == "0" && !a.Params[1].Quoted) {
				unread++
				if unread == 1 {
					first = line
				}
			}
		}
		if unread >= piled && announced == 0 && lists < polls && !said {
			said = true
			p.Report(fmt.Sprintf("%d unread messages lay in the store and none was reported: %s", unread, state(p)), p.See(first, "unread"), p.See(x.Command, "the list"))
		}
		announced = 0
	})
	p.OnResult("+CSMS", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set && x.Result.Kind == at.OK {
			asked = dialogue.Line{}
			if rulebook.Text(c.Params, 0) == "1" {
				asked = x.Command
			}
		}
	})
	p.OnReport("+CMT", func(line, _ dialogue.Line, _ at.Answer) {
		announced++
		if arrived.IsZero() && !asked.IsZero() {
			arrived = line
		}
	})
	p.OnCommand("+CNMA", func(*dialogue.Exchange, *at.Command) { arrived = dialogue.Line{} })
	p.OnAsked(func(x *dialogue.Exchange) {
		if arrived.IsZero() || !p.TimesKnown() || x.AskedAt.Sub(arrived.At) <= mustThen {
			return
		}
		p.Report("a message was handed over with +CMT while +CSMS is 1, and +CNMA did not follow within "+rulebook.Span(mustThen), p.See(arrived, "wants +CNMA"), p.See(asked, "+CSMS=1"))
		arrived, asked = dialogue.Line{}, dialogue.Line{}
	})
}

func state(p *rulebook.Pass) string {
	s, ok := p.Known().Setting("+CNMI")
	switch {
	case !ok:
		return "+CNMI was never set"
	case s.Lost:
		return "+CNMI was set before the module restarted, and not again"
	}
	return "+CNMI is " + s.Value
}
