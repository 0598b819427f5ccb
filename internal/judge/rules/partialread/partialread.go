// Package partialread reports a controller that acts on half a line.
package partialread

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "partialread",
	Title:    "the controller acts before the line is complete",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 5.7.1 (lines end with CR LF)", "common practice, no source (read to the end of the line)"},
	Doc: `
The answer is on its way, "+CSQ: 1" has come, "7,0" follows three milliseconds later, and the next command leaves in
between. The program reads whatever is there when it looks and takes it for the whole: 1 instead of 17, "ERR" for no
error at all. It works on one computer and fails on another, and over USB it depends on how the packets fall.`,
	Silent: `
The next command comes after the line's end, however soon. Times are not known, or too coarse to tell.`,
	Remedy: `Collect bytes until CR LF or the prompt, and only then look at the line; go on only after a line that is a final result.`,
	Watch:  watch,
}

const maxSaid = 3

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	type hasty struct{ x, next *dialogue.Exchange }
	var held []hasty // at most as many as the dialogue keeps open
	said := 0
	p.OnAsked(func(x *dialogue.Exchange) {
		if open := p.Open(); len(open) > 0 && said < maxSaid {
			held = append(held, hasty{open[len(open)-1], x})
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		for i, h := range held {
			if h.x != x {
				continue
			}
			held = append(held[:i], held[i+1:]...)
			for _, l := range append(x.Info[:len(x.Info):len(x.Info)], x.Final) {
				if asked := h.next.Command; l.Began < asked.Began && asked.At < l.At && l.Text != "" {
					said++
					line := fmt.Sprintf("%q", l.Text)
					if l.Body {
						line = "a line of a message" // what people write is their own
					}
					p.Report(fmt.Sprintf("%s left while %s was still coming", rulebook.LineName(h.next), line), p.See(asked, "too early"), p.See(l, "its last byte came only later"))
					return
				}
			}
			return
		}
	})
}
