// Package lineend reports command lines that do not end in CR.
package lineend

import (
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "lineend",
	Title:    "command line without its CR",
	Severity: finding.Error,
	Cites:    []string{"V.250, 5.2.1 (termination character)", "V.250, 6.2.1 (S3, CR unless changed)"},
	Doc: `
A command line ends with one byte, CR (0x0D). Some terminals send LF (0x0A) for the Enter key, or
nothing at all; in source code "/r" or a doubled backslash leaves the two letters in the line. The
module then echoes what it gets and waits for the end. Look at the bytes, not at the screen.`,
	Silent: `
The module answered all the same. A recording that does not keep line ends, as a pasted window; then
only letters in place of the line end show it.`,
	Remedy: `End every command line with the single byte 0x0D.`,
	Watch:  watch,
}

// typed are line ends spelled in letters, longest first.
var typed = []string{`\r\n`, `/r/n`, `<CR><LF>`, `\r`, `\n`, `/r`, `/n`, `<CR>`, `<cr>`, `^M`, `[CR]`}

func watch(p *rulebook.Pass) {
	// Only a recording of the bytes themselves tells how a line ended.
	kind := p.Info().Kind
	bytesKept := kind == "" || kind == "capture" || kind == "talk"
	asked := 0
	var bare *dialogue.Exchange // ended in nothing, not answered, and the last one so far
	p.OnAsked(func(x *dialogue.Exchange) {
		asked = x.Number
		if bare != nil {
			p.Report(rulebook.LineName(bare)+" was never ended; the next command came instead of CR", p.See(bare.Command, "no line end"), p.See(x.Command, "the next command"))
			bare = nil
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Outcome == dialogue.Finished && !x.Result.Failed() {
			return
		}
		for _, t := range typed {
			if strings.HasSuffix(x.Command.Text, t) {
				p.Report(rulebook.LineName(x)+" ends in the letters "+t+" instead of the byte CR", p.See(x.Command, "letters, not a byte"))
				return
			}
		}
		switch {
		case !bytesKept || x.Outcome == dialogue.Finished:
		case x.Ending == "\n":
			p.Report(rulebook.LineName(x)+" ends in LF alone and was not answered", p.See(x.Command, "LF, no CR"))
		case x.Ending == "" && x.Number < asked:
			p.Report(rulebook.LineName(x)+" was never ended; the next command came instead of CR", p.See(x.Command, "no line end"))
		case x.Ending == "":
			bare = x
		}
	})
}
