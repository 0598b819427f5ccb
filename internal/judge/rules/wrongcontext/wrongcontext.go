// Package wrongcontext reports a session number that was never defined.
package wrongcontext

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
	Name:     "wrongcontext",
	Title:    "another session number is opened than was defined",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 10.1.1 (+CGDCONT <cid>), 10.1.10 (+CGACT), 10.2.1 (D*99***<cid>#)"},
	Doc: `
AT+CGDCONT=1,… defines session number 1; AT+CGACT=1,2 opens number 2, of which nobody said anything. In AT+CGACT the first number is
what to do and the second is which session; in the dial string *99***1# the session stands at the end. The two are easily mixed up.`,
	Silent: `
The session worked; the number was defined, or read in a list of definitions; nothing was defined at all.`,
	Remedy: `Use the same number in AT+CGDCONT=<n>,…, AT+CGACT=1,<n>, AT+CGPADDR=<n> and ATD*99***<n>#.`,
	Watch:  watch,
}

const most = 16

func watch(p *rulebook.Pass) {
	defined := map[int]dialogue.Line{}
	define := func(params []at.Param, l dialogue.Line) {
		if n, ok := rulebook.Int(params, 0); ok && len(defined) < most {
			defined[n] = l
		}
	}
	p.OnInfo("+CGDCONT", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) { define(a.Params, l) })
	p.OnCommand("+CGDCONT", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set {
			define(c.Params, x.Command)
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if len(defined) == 0 || !x.Result.Failed() {
			return
		}
		for i := range x.Parsed.Commands {
			c := &x.Parsed.Commands[i]
			n, ok := 0, false
			switch {
			case c.Name == "+CGACT" && c.Form == at.Set && rulebook.Text(c.Params, 0) == "1":
				n, ok = rulebook.Int(c.Params, 1)
			case c.Name == "D" && strings.HasPrefix(c.Value, "*99***"):
				v, err := strconv.Atoi(strings.TrimRight(c.Value[len("*99***"):], "#;"))
				n, ok = v, err == nil
			}
			if _, known := defined[n]; !ok || known {
				continue
			}
			for other := range most {
				if l, there := defined[other]; there {
					p.Report(fmt.Sprintf("session %d is opened, and %d was defined", n, other), p.See(x.Command, fmt.Sprintf("opens %d", n)), p.See(l, fmt.Sprintf("defines %d", other)), p.See(x.Final, "refused"))
					break
				}
			}
		}
	})
}
