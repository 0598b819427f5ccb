// Package zaftersettings reports settings that are thrown away by a reset behind them.
package zaftersettings

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "zaftersettings",
	Title:    "a reset of the settings behind the settings",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 6.1.1 (Z) and 6.1.2 (&F; from memory)"},
	Doc: `
ATZ brings back the stored profile, AT&F the maker's settings. Whatever was set before in the same set-up is gone: text mode,
echo, error codes, reports. It belongs at the beginning, before everything else, or nowhere.`,
	Silent: `
The reset is the first thing of the set-up; what it threw away was set again before it was needed; fewer than two settings
were made within the minute before.`,
	Remedy: `Put ATZ or AT&F in front of the set-up, then the settings, each after every start.`,
	Watch:  watch,
}

const (
	sameSetup = time.Minute
	least     = 2
	patience  = 12 // commands in which they may be set again
)

// matters are settings whose loss changes what follows.
var matters = []string{"+CMGF", "+CNMI", "+CSCS", "+CSMP", "+CMEE", "+CLIP", "+CREG", "+CGREG", "+CEREG"}

func watch(p *rulebook.Pass) {
	made := map[string]*dialogue.Exchange{} // at most those in matters
	var lost []string
	var reset *dialogue.Exchange
	left := 0
	p.OnAnswered(func(x *dialogue.Exchange) {
		for i := range x.Parsed.Commands {
			c := &x.Parsed.Commands[i]
			switch {
			case x.Result.Kind != at.OK:
			case (c.Name == "Z" || c.Name == "&F") && c.Form == at.Execute:
				lost, reset, left = lost[:0], x, patience
				for _, name := range matters {
					if m := made[name]; m != nil && (!p.TimesKnown() || x.AskedAt.Sub(m.AskedAt) <= sameSetup) {
						lost = append(lost, name)
					}
				}
				clear(made)
			case c.Form == at.Set && slices.Contains(matters, c.Name):
				made[c.Name] = x
				lost = slices.DeleteFunc(lost, func(n string) bool { return n == c.Name })
			}
		}
		if reset == nil || len(lost) < least || x == reset {
			return
		}
		if left--; left > 0 && !x.Is("+CMGS") && !x.Is("+CMGL") {
			return
		}
		p.Report(fmt.Sprintf("%s threw away %s, which had been set before it", rulebook.LineName(reset), strings.Join(lost, ", ")), p.See(reset.Command, "throws settings away"), p.See(x.Command, "goes on without them"))
		reset = nil
	})
}
