// Package longline reports a command line that is longer than modules take.
package longline

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "longline",
	Title:    "the command line is longer than the module takes",
	Severity: finding.Warning,
	Cites:    []string{"V.250, 5.2.1 (at least 40 characters; from memory)", "common practice, no source (256 to 560 characters)"},
	Doc: `
A module keeps a command line in a buffer. The standard asks for forty characters at least, modules take some hundred; what
comes after is dropped, with ERROR, or without a word, and then the CR is missing. Long addresses, certificates and chains
of settings meet this limit.`,
	Silent: `
The line was accepted; it has 255 characters or fewer; the text behind a prompt.`,
	Remedy: `Split the line, or use the command's form with a length and a prompt, which takes its data as text.`,
	Watch:  watch,
}

const most = 255 // what one-byte lengths allow; common practice, no source

func watch(p *rulebook.Pass) {
	p.OnAnswered(func(x *dialogue.Exchange) {
		n := len(x.Command.Text)
		if n <= most || x.Result.Kind == at.OK || x.Result.Kind == at.Connect {
			return
		}
		if x.Outcome != dialogue.Finished {
			p.Report(fmt.Sprintf("a command line of %d characters got no answer", n), p.See(x.Command, "too long"))
			return
		}
		p.Report(fmt.Sprintf("a command line of %d characters was refused with %s", n, rulebook.Failure(x.Result)), p.See(x.Command, "too long"), p.See(x.Final, "refused"))
	})
}
