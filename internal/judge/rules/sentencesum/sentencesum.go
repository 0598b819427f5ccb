// Package sentencesum reports sentences whose checksum is wrong.
package sentencesum

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "sentencesum",
	Title:    "sentences arrive damaged",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1, checksum field (exclusive or of all characters between \"$\" and \"*\")"},
	Doc: `
Every sentence ends in two digits that sum up its characters. On a sound line hardly one in ten thousand is wrong.
Errors that come singly point to noise, levels or a speed that is a little off. Errors in bursts point to a
controller that did not read for a while, or to a line that carries more than it can. A program that does not
check takes damaged digits for a position.`,
	Silent: `
Fewer than three wrong ones, or less than one in a hundred; two sentences run together, which is the business of
mergedsentences.`,
	Remedy: `Compare the checksum of every sentence and drop what does not agree; for bursts read more often, enlarge the buffer or raise the speed; for single errors look at ground, levels and clocks.`,
	Watch:  watch,
}

const (
	few   = 3
	share = 100 // one in so many
)

func watch(p *rulebook.Pass) {
	total, bad, bursts, inBursts, run := 0, 0, 0, 0, 0
	var first, last dialogue.Line
	closeRun := func() {
		if run > 1 {
			bursts++
			inBursts += run
		}
		run = 0
	}
	p.OnSentence(func(line dialogue.Line, s *nmea.Sentence) {
		if !s.HasSum {
			return // nothing to compare, or cut: mergedsentences counts those
		}
		total++
		if s.SumOK() {
			closeRun()
			return
		}
		bad++
		run++
		last = line
		if bad == 1 {
			first = line
		}
	})
	p.OnEnd(func() {
		closeRun()
		if bad < few || bad*share < total {
			return
		}
		message := fmt.Sprintf("%d of %d sentences have a wrong checksum (%.1f %%)", bad, total, 100*float64(bad)/float64(total))
		switch {
		case bad == total:
			message = fmt.Sprintf("all %d sentences have a wrong checksum: it is computed over the wrong characters, or every sentence is changed on its way", bad)
		case 2*inBursts >= bad:
			message += fmt.Sprintf(", most of them in %d bursts: characters are lost while nobody reads", bursts)
		default:
			message += ", one here and one there: noise, levels or clocks"
		}
		evidence := p.See(first, "the first wrong one")
		if last.Record == first.Record {
			p.Report(message, evidence)
			return
		}
		p.Report(message, evidence, p.See(last, "the last wrong one"))
	})
}
