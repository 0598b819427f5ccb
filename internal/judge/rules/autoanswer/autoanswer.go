// Package autoanswer reports a module that takes calls by itself.
package autoanswer

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
	Name:     "autoanswer",
	Title:    "the module takes calls by itself",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 6.3.8 (S0)"},
	Doc: `
ATS0=1 makes the module take every call after the first RING: the caller pays, hears silence or what happens around the device, and the
program sees no call that it could refuse. Listening in on people without their knowledge is forbidden in many places. The setting may stay in
a stored profile.`,
	Silent: `
ATS0=0; the setting is only read and is 0.`,
	Remedy: `Send ATS0=0 in the set-up and store it with AT&W; take calls in the program where they are wanted.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	said := false
	tell := func(n int, l dialogue.Line, note string) {
		if n > 0 && !said {
			said = true
			p.Report(fmt.Sprintf("the module takes calls after RING number %d", n), p.See(l, note))
		}
	}
	p.OnResult("S", func(x *dialogue.Exchange, c *at.Command) {
		if c.Number != 0 || x.Result.Kind != at.OK {
			return
		}
		switch c.Form {
		case at.Set:
			if n, err := strconv.Atoi(strings.TrimSpace(c.Value)); err == nil {
				tell(n, x.Command, "set here")
			}
		case at.Read:
			if len(x.Info) == 1 {
				if n, err := strconv.Atoi(strings.TrimSpace(x.Info[0].Text)); err == nil {
					tell(n, x.Info[0], "set before")
				}
			}
		}
	})
}
