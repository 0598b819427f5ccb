// Package mergedsentences reports sentences that run into each other: characters between them were lost.
package mergedsentences

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "mergedsentences",
	Title:    "one sentence begins inside another: characters were lost",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1, sentence structure (\"$\" begins a sentence and stands nowhere else; CR LF ends it)"},
	Doc: `
A "$" in the middle of a sentence means that the end of one and the beginning of the next were never read. The
receiver sent them; the controller's buffer was full. A buffer of 64 characters at 9600 bit/s lasts 67 ms: any
wait longer than that loses some. Or the receiver says more than the line can carry: ten fixes a second of 500
characters need 57600 bit/s. Noise does not do this: it changes characters and seldom takes them away.`,
	Silent: `
A sentence without a checksum where none has one; the last sentence of a capture.`,
	Remedy: `Read the line at every turn of the loop, without waits; enlarge the buffer; switch off sentences you do not use, lower the fix rate or raise the speed.`,
	Watch:  watch,
}

const (
	full    = 0.8 // load above which a line has no room for delays; common practice, no source
	perByte = 10  // bits of a character, 8N1

	// A sentence that breaks off at the end of one second and the next a second
	// later are not in one another.
	atOnce = 500 * time.Millisecond
)

func watch(p *rulebook.Pass) {
	count, characters, whole := 0, 0, 0
	var first, last, cut dialogue.Line
	var began, ended when.Instant
	p.OnSentence(func(line dialogue.Line, s *nmea.Sentence) {
		if characters == 0 {
			began = line.Began
		}
		ended = line.At
		characters += len(line.Text) + len("\r\n")
		// Where others have a checksum, one without has lost its end: here the next one began.
		if !cut.IsZero() && (!p.TimesKnown() || line.Began.Sub(cut.At) < atOnce) {
			count++
			last = cut
			if count == 1 {
				first = cut
			}
		}
		cut = dialogue.Line{}
		if s.HasSum {
			whole++
		} else if whole > 0 {
			cut = line
		}
	})
	p.OnEnd(func() {
		if count == 0 {
			return
		}
		message := fmt.Sprintf("%d sentences begin inside another", count)
		if count == 1 {
			message = "a sentence begins inside another"
		}
		if span := ended.Sub(began).Seconds(); p.TimesKnown() && p.Info().Baud > 0 && span > 10 {
			load := float64(characters) / span * perByte / float64(p.Info().Baud)
			message += fmt.Sprintf("; the sentences take %.0f %% of the line at %d bit/s", 100*load, p.Info().Baud)
			if load > full {
				message += ", which leaves no room"
			}
		}
		evidence := p.See(first, "breaks off where the next one begins")
		if count == 1 {
			p.Report(message, evidence)
			return
		}
		p.Report(message, evidence, p.See(last, "the last of them"))
	})
}
