// Package wrongspeed reports garbage that a wrong speed explains, and names the likely true one.
package wrongspeed

import (
	"fmt"
	"strconv"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/uart"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "wrongspeed",
	Title:    "garbage: the two ends do not agree on the speed",
	Severity: finding.Error,
	Cites:    []string{"V.250, 6.2.10 (+IPR)", "V.250, 5.2 and 5.5 (one speed for a line and its answer)"},
	Doc: `
Each bit on the line lasts one part of a second, 104 µs at 9600 bit/s, 8.7 µs at 115200. A receiver at another
speed looks at the wrong moments and reads other bytes, always the same ones for the same text. So the bytes
themselves tell which speed sent them: this rule computes what OK, ERROR and sentences would look like at every
usual speed and compares. A module that finds the speed by itself needs a few AT first; a fixed speed that was
not stored is gone after the next start.`,
	Silent: `
Something was understood after the garbage: a start-up or a plug makes a few bytes of noise.`,
	Remedy: `Open the line at the speed named; then fix it with AT+IPR=<speed>, store it (AT&W) and read it back after a restart.`,
	Watch:  watch,
}

const (
	enough   = 8   // bytes of garbage that are no start-up noise; our estimate
	few      = 64  // bytes that may be too few for a guess; see uart.GuessSpeed
	most     = 192 // bytes that are kept: more say no more about a speed
	certain  = 0.5 // belief at which a speed is named alone
	examples = 12  // letters of an example that a message shows
)

func watch(p *rulebook.Pass) {
	var heap []byte
	var first, last dialogue.Line
	count, baud := 0, p.Info().Baud
	understood := func() { heap, first, count = heap[:0], dialogue.Line{}, 0 }
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Outcome == dialogue.Finished {
			understood()
		}
	})
	p.OnUnsolicited(func(_, _ dialogue.Line, a at.Answer) {
		if a.Name != "" {
			understood()
		}
	})
	p.OnGarbled(func(l dialogue.Line) {
		if count == 0 {
			first = l
		}
		count += len(l.Text)
		last = l
		if room := most - len(heap); room > 0 {
			heap = append(heap, l.Text[:min(room, len(l.Text))]...)
		}
	})
	p.OnNoted(func(_ dialogue.Line, note string) {
		if n, err := strconv.Atoi(strings.TrimPrefix(note, "speed ")); err == nil {
			baud = n
			understood() // what was read at another speed tells another story
		}
	})
	p.OnEnd(func() {
		if count < enough {
			return
		}
		more := []finding.Evidence{}
		if last.Record != first.Record {
			more = append(more, p.See(last, "and so on"))
		}
		p.Report(explain(heap, count, baud), p.See(first, "bytes that fit nothing"), more...)
	})
}

func explain(heap []byte, count, baud int) string {
	text := fmt.Sprintf("%d bytes that fit nothing, and nothing else", count)
	if baud == 0 {
		return text + "; the speed they were read at is not known, so the true one cannot be computed"
	}
	text += fmt.Sprintf(", read at %d bit/s", baud)
	if slower, ok := uart.SlowerThan(heap, baud); ok {
		return text + fmt.Sprintf(": all are zero, so the module speaks at %d bit/s or slower, or the line is held low", slower)
	}
	guesses := uart.GuessSpeed(heap, baud)
	switch {
	case len(guesses) == 0 && len(heap) < few:
		return text + "; too few to compute the true speed from: try the usual speeds one by one"
	case len(guesses) == 0:
		return text + "; no usual speed explains them: look at the ground and the levels"
	}
	g := guesses[0]
	text += fmt.Sprintf(": the module speaks at %d bit/s", g.Baud)
	if g.Score < certain && len(guesses) > 1 {
		text += fmt.Sprintf(" or %d", guesses[1].Baud)
	} else {
		text += fmt.Sprintf(" (%.0f %%)", 100*g.Score)
	}
	if example := strings.Trim(g.Example, "\r\n"); example != "" && len(example) <= examples {
		text += fmt.Sprintf("; %q would be read like this", example)
	}
	return text
}
