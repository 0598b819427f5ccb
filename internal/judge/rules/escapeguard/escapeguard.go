// Package escapeguard reports an escape from data state that cannot work.
package escapeguard

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "escapeguard",
	Title:    "+++ without the silence around it",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (1 s before, no CR, 1 s after)", "V.250, 6.2.9 (escape is left to makers; from memory)"},
	Doc: `
Three plus signs bring the module back from data to command state only when they stand alone: a second of silence before,
no CR behind, and a second of silence after. Otherwise they are data like any other, so that a plus in a file does no harm.
+++ followed at once by AT, or with a CR, goes to the far end.`,
	Silent: `
The module answered OK: then it worked all the same.`,
	Remedy: `Wait 1.2 s, send exactly three plus signs without CR, wait 1.2 s, read OK, and only then go on.`,
	Watch:  watch,
}

const guard = 900 * time.Millisecond

func watch(p *rulebook.Pass) {
	var plus, before dialogue.Line // +++ that is not alone so far, and the data before it
	why := ""
	p.OnData(func(l dialogue.Line) {
		if l.From != capture.Controller {
			return
		}
		i := strings.Index(l.Text, "+++")
		switch {
		case !plus.IsZero():
			if why == "" && p.TimesKnown() && l.Began.Sub(plus.At) < guard {
				why = "more was sent " + rulebook.Span(l.Began.Sub(plus.At)) + " after it"
			}
			if why != "" {
				p.Report("+++ was sent and is only data: "+why, p.See(plus, "meant to leave data state"), p.See(l, "data goes on"))
			}
			plus, why = dialogue.Line{}, ""
		case i > 0:
			plus, why = l, fmt.Sprintf("%d bytes stand right before it", i)
		case i == 0 && strings.HasPrefix(l.Text[3:], "\r"):
			plus, why = l, "a CR stands right behind it"
		case i == 0 && len(l.Text) > 3:
			plus, why = l, "more stands right behind it"
		case i == 0:
			plus, why = l, ""
			if p.TimesKnown() && !before.IsZero() && l.Began.Sub(before.At) < guard {
				why = "data stands " + rulebook.Span(l.Began.Sub(before.At)) + " before it"
			}
		}
		before = l
	})
	p.OnAnswered(func(*dialogue.Exchange) { plus = dialogue.Line{} })
	p.OnAsked(func(*dialogue.Exchange) { plus = dialogue.Line{} })
}
