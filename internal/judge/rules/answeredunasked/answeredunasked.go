// Package answeredunasked reports answers to questions that this controller did not ask.
package answeredunasked

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "answeredunasked",
	Title:    "answers come to questions that nobody asked here",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 5.2.4 (answers follow command lines)", "common practice, no source (two masters on one line)"},
	Doc: `
The module answers a question that this controller did not put: somebody else talks to it. Some operating systems open
every port that looks like a module and ask it a dozen things; a second program or a second wire does the same. The two
take each other's answers and change each other's settings, now and then, so that it looks like a weak module.`,
	Silent: `
Reports, which come unasked by their nature. The late answer to a question that was given up within the last five
minutes. One such line, or the same one again and again, as some modules report by themselves. The directions of the recording were guessed, or its times are not known: then the questions may
not have been copied.`,
	Remedy: `Find the other talker: list the programs that hold the port, switch off automatic probing for it, open it exclusively, and look for a second wire at the module's input.`,
	Watch:  watch,
}

const (
	enough = 2
	late   = 5 * time.Minute
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() || !p.Info().DirectionsKnown {
		return
	}
	asked := map[string]when.Instant{} // by name, when last asked; as many as there are commands
	var first dialogue.Line
	var firstName string
	count, commands := 0, 0
	p.OnAsked(func(x *dialogue.Exchange) {
		commands++
		for i := range x.Parsed.Commands {
			if name := x.Parsed.Commands[i].Name; len(asked) < 256 {
				asked[name] = x.AskedAt
			}
		}
	})
	p.OnUnsolicited(func(l, body dialogue.Line, a at.Answer) {
		name := a.Name
		if name == "" && at.IsCommandLine(l.Text) && len(l.Text) > 2 { // an echo
			if parsed := at.ParseLine(l.Text); parsed.Err == nil && len(parsed.Commands) > 0 {
				name = parsed.Commands[0].Name
			}
		}
		_, known := at.Lookup(name)
		if name == "" || !known || !body.IsZero() || commands == 0 || at.CanBeUnsolicited(name) && a.Name != "" || l.From != capture.Module {
			return
		}
		if t, ok := asked[name]; ok && l.Began.Sub(t) <= late {
			return
		}
		if count > 0 && name == firstName && a.Name != "" {
			return // some modules report one thing by themselves
		}
		if count++; count == 1 {
			first, firstName = l, name
		}
		if count == enough {
			p.Report(fmt.Sprintf("%s came, and this controller had not asked; before it %s", strings.TrimSpace(l.Text), strings.TrimSpace(first.Text)), p.See(l, "nobody here asked"), p.See(first, "the first of them"))
		}
	})
}
