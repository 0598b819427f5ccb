// Package carrierlost reports a connection that ends right after CONNECT.
package carrierlost

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "carrierlost",
	Title:    "the connection ends right after CONNECT",
	Severity: finding.Error,
	Cites:    []string{"V.250, 6.3.1 (CONNECT, NO CARRIER)", "RFC 1661, 3.4 (link establishment; from memory)"},
	Doc: `
CONNECT only says that the module takes data now. What follows is the negotiation of the link, and when the network does not like
it (name, password, session number, kind of address) it hangs up: NO CARRIER within seconds. When the controller says nothing
after CONNECT, the module gives up as well.`,
	Silent: `
More than ten seconds later; the controller had left data state itself. Connections to a server by a maker's command,
which the server may end when it has answered. Times are not known: then only a CONNECT that is followed
by nothing but NO CARRIER counts.`,
	Remedy: `Check the access point name, the kind of authentication and the number in *99***1#, and look which packet was the last one answered.`,
	Watch:  watch,
}

const soon = 10 * time.Second

func watch(p *rulebook.Pass) {
	var connect *dialogue.Exchange
	left, data := false, 0
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Result.Kind == at.Connect {
			connect, left, data = x, false, 0
			if c, ok := x.Parsed.Find("D"); !x.Is("+CGDATA") && (!ok || !strings.HasPrefix(c.Value, "*99")) {
				connect = nil // a connection to a server, which may be over in a second
			}
		} else if x.Outcome == dialogue.Finished {
			connect = nil
		}
	})
	p.OnData(func(l dialogue.Line) {
		left = left || l.From == capture.Controller && strings.Contains(l.Text, "+++")
		data++
	})
	p.OnUnsolicited(func(l, _ dialogue.Line, _ at.Answer) {
		r, ok := at.ParseResult(l.Text)
		if connect == nil || left || !ok || r.Kind != at.NoCarrier {
			return
		}
		x := connect
		connect = nil
		if p.TimesKnown() && l.Began.Sub(x.DoneAt) <= soon {
			p.Report(fmt.Sprintf("NO CARRIER %s after CONNECT", rulebook.Span(l.Began.Sub(x.DoneAt))), p.See(l, "the connection is over"), p.See(x.Final, "CONNECT"), p.See(x.Command, "the call"))
		} else if !p.TimesKnown() && data == 0 {
			p.Report("NO CARRIER right after CONNECT, with nothing between", p.See(l, "the connection is over"), p.See(x.Final, "CONNECT"), p.See(x.Command, "the call"))
		}
	})
}
