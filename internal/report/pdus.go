package report

import (
	"fmt"
	"html/template"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/verdict"
)

// maxTextStrips is how many messages a terminal shows octet by octet, and one when nothing
// was found about any: each takes a screen. The page and JSON hold all that the verdict has.
const maxTextStrips = 2

func (t *textPage) pdus() {
	if len(t.v.PDUs) == 0 {
		return
	}
	shown := 1
	for shown < min(len(t.v.PDUs), maxTextStrips) && len(t.v.PDUs[shown].Rules) > 0 {
		shown++
	}
	t.section("Messages, octet by octet")
	for i, p := range t.v.PDUs[:shown] {
		if i > 0 {
			t.line("")
		}
		t.wrapped("  ", t.paint(bold, pduTitle(&p, t.v.TimesKnown)))
		for _, l := range strings.Split(strings.TrimRight(StripText(p.Fields), "\n"), "\n") {
			t.line("  %s", l)
		}
		for _, l := range Legends(p.Fields) {
			words := l.Field.Name + ": " + Visible(l.Field.Value)
			if l.Field.Meaning != "" {
				words += ", " + Visible(l.Field.Meaning)
			}
			t.wrapped(fmt.Sprintf("    %-2s ", l.Label), words+t.paint(dim, "  ["+l.Field.Clause+"]"))
		}
		if p.Fault != "" {
			t.wrapped("    broken: ", Visible(p.Fault))
		}
	}
	if more := len(t.v.PDUs) - shown + t.v.MorePDUs; more > 0 {
		t.wrapped("  ", fmt.Sprintf("and %d more; firstfix message read FILE --fields shows them all", more))
	}
}

// pduTitle says which message it is, and why it is shown.
func pduTitle(p *verdict.PDU, timesKnown bool) string {
	words := fmt.Sprintf("%s from the %s, %s", p.Kind, p.From, place(finding.Evidence{Record: p.Record, SourceLine: p.SourceLine, At: p.At}, timesKnown))
	if len(p.Rules) > 0 {
		words += ", found by " + strings.Join(p.Rules, ", ")
	}
	return words
}

// stripOf is the drawing for the page. StripHTML escapes whatever it is given.
func stripOf(p verdict.PDU) template.HTML { return template.HTML(StripHTML(p.Fields)) }
