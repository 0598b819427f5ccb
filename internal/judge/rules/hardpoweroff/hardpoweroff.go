// Package hardpoweroff reports a supply that is cut while the module still runs.
package hardpoweroff

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "hardpoweroff",
	Title:    "supply seems to be cut without switching the module off",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.2 (+CFUN=0)", "common practice, no source (allow 10 s to sign off)"},
	Doc: `
Before its supply goes, a module wants to sign off from the network and finish writing its memory. Cut
hard again and again, it loses stored settings and messages, registers more slowly, and may damage its
memory for good. Send AT+CFUN=0 or the module's own switch-off command, wait for its report or ten
seconds, then cut.`,
	Silent: `
AT+CFUN=0 or 4, or a command of the module's own, was the last thing said before the silence. Sentences
came until the start: then the module was on. A single start after a silence may have any reason: it takes two.`,
	Remedy: `Send AT+CFUN=0 or the module's switch-off command, wait for its report or 10 s, then cut the supply.`,
	Watch:  watch,
}

const (
	quiet = 30 * time.Second // a silence in which nothing was under way; our estimate
	often = 2
)

func watch(p *rulebook.Pass) {
	var last *dialogue.Exchange
	count := 0
	report := func(line dialogue.Line, message, note string) {
		if last != nil {
			p.Report(message, p.See(line, note), p.See(last.Command, "the last command before it"))
		}
	}
	p.OnAnswered(func(x *dialogue.Exchange) { last = x })
	p.OnRestart(func(r witness.Restart) {
		if r.Asked || last == nil || !p.TimesKnown() || orderly(last) || last.Outcome != dialogue.Finished || r.Why != "ready report" {
			return
		}
		heard := last.DoneAt
		if e := p.Known().LastEpoch(); e != nil {
			heard = max(heard, e.At)
		}
		silence := r.At.Sub(heard)
		if silence < quiet {
			return
		}
		if count++; count == often {
			report(r.Line, fmt.Sprintf("%d starts after silences (the last of %s) and nothing had switched the module off", count, rulebook.Span(silence)), "starts anew")
		}
	})
	p.OnNoted(func(line dialogue.Line, note string) {
		n := strings.ToLower(note)
		for _, cut := range [...]string{"supply off", "supply cut", "power off", "power cut"} {
			if strings.Contains(n, cut) && last != nil && !orderly(last) {
				report(line, "the supply was cut and nothing had switched the module off", note)
				return
			}
		}
	})
}

// orderly says whether an exchange may have switched the module off: the
// standard's way, or a command that only its maker knows.
func orderly(x *dialogue.Exchange) bool {
	for i := range x.Parsed.Commands {
		c := &x.Parsed.Commands[i]
		if _, known := at.Lookup(c.Name); !known || c.Name == "+CFUN" && c.Form == at.Set {
			return true
		}
	}
	return false
}
