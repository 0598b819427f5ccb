// Package consoleonport reports another system that speaks on the module's line.
package consoleonport

import (
	"fmt"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "consoleonport",
	Title:    "another system's console speaks on this line",
	Severity: finding.Error,
	Cites:    []string{"common practice, no source (consoles on the same pins)"},
	Doc: `
A login prompt, or lines with seconds in square brackets as they stand in a boot log, come where the module should
speak: the wires end at the console of a small computer, or the console of this computer is still switched on for this
port and answers every command with an error of its own. Or the pins of the module are also the controller's boot pins.`,
	Silent: `
Such words in the text of a message, or in the answer to a command of the maker's own.`,
	Remedy: `Switch the console of this port off, or take another port; then listen with the controller held in reset: whatever still comes is the other talker.`,
	Watch:  watch,
}

const enough = 2 // lines of a boot log

func watch(p *rulebook.Pass) {
	var first dialogue.Line
	logs, said := 0, false
	look := func(l dialogue.Line) {
		text := strings.TrimSpace(l.Text)
		lower := strings.ToLower(text)
		switch {
		case said:
		case strings.HasSuffix(lower, "login:") && len(text) < 60:
			said = true
			p.Report(fmt.Sprintf("%q: a login prompt, which no module prints", text), p.See(l, "a login prompt"))
		case bracketed(text):
			if logs++; logs == 1 {
				first = l
			}
			if logs == enough {
				said = true
				p.Report("lines of a boot log come on this line", p.See(first, "a line of a boot log"), p.See(l, "another one"))
			}
		}
	}
	p.OnUnsolicited(func(l, body dialogue.Line, a at.Answer) {
		if body.IsZero() && a.Name == "" {
			look(l)
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		for _, l := range x.Info {
			if x.Outcome != dialogue.Finished {
				look(l)
			}
		}
	})
}

// bracketed: "[    1.234567] text".
func bracketed(t string) bool {
	if !strings.HasPrefix(t, "[") {
		return false
	}
	stamp, rest, ok := strings.Cut(t[1:], "] ")
	stamp = strings.TrimSpace(stamp)
	whole, part, dot := strings.Cut(stamp, ".")
	return ok && dot && rest != "" && len(part) == 6 && digits(whole) && digits(part)
}

func digits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }
