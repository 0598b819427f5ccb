// Package contextclock reports sessions that all live equally long.
package contextclock

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "contextclock",
	Title:    "every session lives equally long",
	Severity: finding.Note,
	Cites:    []string{"3GPP TS 27.007, 10.1.19 (+CGEV)", "common practice, no source (idle timers and daily resets of operators)"},
	Doc: `
Three sessions in a row end after the same time, to the minute: that is no bad reception, it is a clock of the operator's, for idle
sessions or once a day. It cannot be argued with. Send something small more often than that, or close the session in order and
open it when it is needed.`,
	Silent: `
Fewer than three ends in a row; lives that differ by more than one part in fifty, or under a minute. Times are not known.`,
	Remedy: `Send a keepalive well within the time seen, or open a session for each report and close it.`,
	Watch:  watch,
}

const (
	enough   = 3
	shortest = time.Minute
	slack    = 50 // one part in so many
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var opened when.Instant
	open := false
	var lives [enough]time.Duration
	var first dialogue.Line
	count := 0
	p.OnResult("+CGACT", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form == at.Set && x.Result.Kind == at.OK {
			opened, open = x.DoneAt, rulebook.Text(c.Params, 0) == "1"
		}
	})
	p.OnReport("+CGEV", func(l, _ dialogue.Line, _ at.Answer) {
		deact := strings.Contains(l.Text, "DEACT") || strings.Contains(l.Text, "DETACH")
		if !deact {
			if strings.Contains(l.Text, " ACT") {
				opened, open = l.Began, true
			}
			return
		}
		if !open || !strings.Contains(l.Text, "NW ") {
			open = false
			return
		}
		open = false
		life := l.Began.Sub(opened)
		if life < shortest || count > 0 && (life-lives[0]).Abs() > lives[0]/slack {
			count = 0
			if life < shortest {
				return
			}
		}
		if count == 0 {
			first = l
		}
		if count < enough {
			lives[count] = life
		}
		if count++; count == enough {
			p.Report(fmt.Sprintf("%d sessions in a row were ended by the network after %s", count, rulebook.Span(life.Round(time.Second))), p.See(l, "ended"), p.See(first, "the first of them"))
		}
	})
}
