// Package sentenceload reports sentences that fill their line.
package sentenceload

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "sentenceload",
	Title:    "the sentences nearly fill the line",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1 (up to 82 characters a sentence, 4800 bit/s)", "common practice, no source (80 % of the line)"},
	Doc: `
A line of 9600 bit/s carries 960 characters a second. A receiver that hears four systems and says everything ten times a
second makes four thousand. What does not fit is delayed, then thrown away in the middle of a sentence, and answers to
commands wait behind it. Count: characters of one round × rounds a second × 10 must stay below 0.8 of the speed.`,
	Silent: `
The speed is not known; the load is under 80 %, measured over ten seconds.`,
	Remedy: `Raise the speed, ask for one round a second, and switch off the sentences that nobody reads (GSV, VTG, GLL).`,
	Watch:  watch,
}

const (
	stretch = 10 * time.Second
	most    = 0.8
	bits    = 10 // of one character on the line
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	baud := p.Info().Baud
	p.OnNoted(func(_ dialogue.Line, note string) {
		if n, err := strconv.Atoi(strings.TrimPrefix(note, "speed ")); err == nil {
			baud = n
		}
	})
	var first dialogue.Line
	count, said := 0, false
	p.OnSentence(func(l dialogue.Line, _ *nmea.Sentence) {
		if said || baud == 0 {
			return
		}
		span := l.Began.Sub(first.Began)
		if first.IsZero() || span > 2*stretch {
			first, count = l, 0
		} else if span >= stretch {
			if load := float64(count) * bits / span.Seconds() / float64(baud); load >= most {
				said = true
				p.Report(fmt.Sprintf("%.0f characters a second on a line of %d bit/s: %.0f %% of it", float64(count)/span.Seconds(), baud, 100*load), p.See(first, "counted from here"), p.See(l, "to here"))
			}
			first, count = l, 0
		}
		count += len(l.Text) + 2
	})
}
