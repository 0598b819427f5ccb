// Package halfopen reports a connection that is dead at one end after a long pause.
package halfopen

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
	Name:     "halfopen",
	Title:    "after a long pause the connection is dead and nobody notices",
	Severity: finding.Warning,
	Cites:    []string{"RFC 1122, 4.2.3.6 (keepalives; from memory)", "RFC 5382, 5 (translators forget idle connections; from memory)", "common practice, no source (2.5 to 30 min)"},
	Doc: `
Between a device and its server stands the operator's address translator. It forgets a connection on which nothing passed for some
minutes, and tells nobody. The module takes the next report, says OK, and it goes nowhere; the program believes itself connected.
Before the pause the server answered, after it never.`,
	Silent: `
The server answers after the pause; it did not answer each piece before either; the pause was shorter than two and a half minutes. The
program left data state.`,
	Remedy: `Send something small more often than every two minutes, or close the connection after each report; wait for the server's answer and connect anew when it does not come.`,
	Watch:  watch,
}

const (
	pause   = 150 * time.Second
	patient = 15 * time.Second // an answer takes less
	enough  = 2
	habit   = 2 // pieces that were answered before the pause, each
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var last, sent, heard dialogue.Line // of data: the last piece, the first one sent after a pause, the last one received
	var idle time.Duration
	count, said := 0, false
	answered, ignored := 0, 0 // pieces sent so far, before the pause
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Result.Kind == at.Connect {
			last, sent, heard, count, answered, ignored = dialogue.Line{}, dialogue.Line{}, dialogue.Line{}, 0, 0, 0
		}
	})
	p.OnData(func(l dialogue.Line) {
		before := last
		last = l
		if l.From == capture.Module {
			if before.From == capture.Controller {
				answered++
			}
			heard, sent, count = l, dialogue.Line{}, 0
			return
		}
		if before.From == capture.Controller && sent.IsZero() {
			ignored++
		}
		if answered < habit || ignored > 0 || strings.Contains(l.Text, "+++") {
			return // its answers are no habit
		}
		if gap := l.Began.Sub(before.At); sent.IsZero() && gap >= pause {
			sent, idle, count = l, gap, 0
		}
		if sent.IsZero() {
			return
		}
		if count++; count < enough || said || l.Began.Sub(sent.At) < patient {
			return
		}
		said = true
		p.Report(fmt.Sprintf("nothing comes back since a pause of %s; before it the other end answered", rulebook.Span(idle)), p.See(sent, "sent after the pause, never answered"), p.See(heard, "the last answer"), p.See(l, "still sending"))
	})
}
