// Package noiseontransmit reports damage on the line that comes only while the radio sends.
package noiseontransmit

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "noiseontransmit",
	Title:    "the line is disturbed only while the radio sends",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 45.002, 4.3 (216.7 bursts a second; from memory)", "common practice, no source"},
	Doc: `
The radio's bursts come 217 times a second with two ampere, and every long or high-ohmic wire near the antenna picks
them up: bits flip on the serial line, sentences fail their sums, analogue inputs jump, the card is lost for a moment.
What gives it away is the time: damage while the radio sends, none in between. A wrong speed or a bad ground does not
know when the radio sends.`,
	Silent: `
Damage outside those times too; fewer than three damaged lines; less than a minute, or less than twenty good sentences
or answers, without the radio. Bytes within three seconds of a start of the module belong to the start. Times are not known.`,
	Remedy: `Move antenna and antenna lead away from the data wires, keep these short, add ferrites and small capacitors at the pins, and give the receiver its own ground.`,
	Watch:  watch,
}

const (
	enough = 3
	calm   = 20 // good lines outside the times of sending

	ofStart = 3 * time.Second // bytes that fit nothing so near to a start belong to it
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	radio := p.WatchTransmissions()
	bad, badOutside, good, said := 0, 0, 0, false
	var first dialogue.Line
	var last [enough]dialogue.Line // the last ones
	var start when.Instant
	var during string
	damaged := func(l dialogue.Line) {
		what, sending := radio.At(l.Began)
		if !sending {
			badOutside++
			return
		}
		if l.Began.Sub(start) <= ofStart && start > 0 {
			return
		}
		if bad == 0 {
			first, during = l, what
		}
		last[bad%enough] = l
		bad++
	}
	look := func() {
		if said || bad < enough || badOutside > 0 || good < calm {
			return
		}
		said = true
		p.Report(fmt.Sprintf("%d damaged lines while the radio sends, none in %d good ones without it", bad, good), p.See(first, "during "+during))
	}
	fine := func(l dialogue.Line) {
		if _, sending := radio.At(l.Began); !sending {
			good++
		}
	}
	p.OnRestart(func(r witness.Restart) { // a start makes noise of its own
		start = r.At
		for bad > 0 && r.At.Sub(last[(bad-1)%enough].Began) <= ofStart {
			bad--
		}
	})
	p.OnGarbled(damaged)
	p.OnSentence(func(l dialogue.Line, s *nmea.Sentence) {
		switch {
		case !s.HasSum:
		case s.SumOK():
			fine(l)
		default:
			damaged(l)
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Outcome == dialogue.Finished {
			fine(x.Final)
		}
		look()
	})
	p.OnEnd(look)
}
