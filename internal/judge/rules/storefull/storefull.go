// Package storefull reports a message store without a free place.
package storefull

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "storefull",
	Title:    "message store full: no text can arrive",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.2.2 (+CPMS), 3.5.4 (+CMGD), 3.2.5 (CMS 322)"},
	Doc: `
A card holds ten to fifty messages. Messages that were read stay until they are deleted. When every place
is taken, new ones wait in the network, nothing is reported, and the tracker seems deaf; after one is
deleted the old ones arrive in a bunch. AT+CPMS? shows used and total for the three stores.`,
	Silent: `
One place is free. A store without places (total 0) is not in use; BM holds cell broadcasts only.`,
	Remedy: `Delete each message once it is handled (AT+CMGD=<index>), and look at AT+CPMS? at every start and once a day.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	full := false
	p.OnInfo("+CPMS", func(x *dialogue.Exchange, line dialogue.Line, a at.Answer) {
		// Read: <mem1>,<used1>,<total1>,<mem2>,…; set: <used1>,<total1>,<used2>,…
		first, step := 0, 2
		if len(a.Params) > 0 && a.Params[0].Quoted {
			first, step = 1, 3
		}
		for i := first; i+1 < len(a.Params); i += step {
			used, ok1 := rulebook.Int(a.Params, i)
			total, ok2 := rulebook.Int(a.Params, i+1)
			if !ok1 || !ok2 || total == 0 || used < total || step == 3 && a.Params[i-1].Text == "BM" {
				continue
			}
			if full {
				return
			}
			full = true
			name := "a store"
			if step == 3 {
				name = "store " + a.Params[i-1].Text
			}
			p.Report(fmt.Sprintf("%s holds %d messages of %d: nothing more can arrive in it", name, used, total), p.See(line, "full"), p.See(x.Command, "the question"))
			return
		}
		full = false
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if rulebook.IsCMS(x.Result, 322) && !full {
			full = true
			p.Report(rulebook.LineName(x)+" failed with "+rulebook.Failure(x.Result), p.See(x.Final, "full"), p.See(x.Command, "the command"))
		}
	})
	p.OnResult("+CMGD", func(x *dialogue.Exchange, _ *at.Command) {
		if x.Result.Kind == at.OK {
			full = false
		}
	})
}
