// Package becameroaming reports a device that goes on sending at roaming prices.
package becameroaming

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "becameroaming",
	Title:    "sends go on while roaming",
	Severity: finding.Note,
	Cites:    []string{"3GPP TS 27.007, 7.2 (<stat> 5: registered, roaming)", "common practice, no source (roaming prices)"},
	Doc: `
The module moved from its home network (1) to a foreign one (5), and texts or data go on as before. Near a border that happens
to a device that never moves. Abroad a text or a megabyte may cost a hundred times as much, and some contracts forbid to stay
there for long.`,
	Silent: `
It was roaming from the beginning, as cards for devices often are; nothing was sent abroad.`,
	Remedy: `Decide what a device does abroad: fewer reports, texts only, or nothing; and bind it to its home network where it stands near a border.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	home := map[string]bool{} // by command: at most the registration commands
	var moved dialogue.Line
	said := false
	p.OnRegistration(func(r *witness.Registration) {
		switch r.Stat {
		case 1:
			home[r.Command], moved = true, dialogue.Line{}
		case 5:
			if home[r.Command] && moved.IsZero() {
				moved = r.Line
			}
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		sent := x.Result.Kind == at.Connect || x.Is("+CMGS") && x.Result.Kind == at.OK
		if said || moved.IsZero() || !sent {
			return
		}
		said = true
		p.Report(rulebook.LineName(x)+" goes on as before though the module has left its home network", p.See(x.Command, "sent while roaming"), p.See(moved, "roaming from here on"))
	})
}
