// Package sharedradio reports a fix that is gone whenever the radio sends.
package sharedradio

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "sharedradio",
	Title:    "the fix is gone whenever the cellular radio works",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (one receiver for both)", "IEC 61162-1, RMC (status)"},
	Doc: `
Some modules have one radio for both: while it talks to the network it cannot listen to satellites. The fix goes with every text and every session, and
a first fix never comes while data runs. That is no fault of the antenna. Take turns: radio off or idle, fix, then send.`,
	Silent: `
The fix stayed during one such time; it was missing at other times too; fewer than two times. A fix that only gets weaker is the business of
txdesense.`,
	Remedy: `Take turns: AT+CFUN=4 (or the maker's way to let the radio rest), wait for the fix, keep it, then switch the radio on and send.`,
	Watch:  watch,
}

const enough = 2 // times of sending without any fix

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	radio := p.WatchTransmissions()
	var first, before *epoch.Epoch // the first one lost, and the last good one before it
	during, validIn, without, valid, void := 0, 0, 0, 0, 0
	what, said := "", false
	close := func() {
		if during >= 2 && validIn == 0 && before != nil {
			if without++; without == enough && void == 0 && valid >= during && !said {
				said = true
				p.Report(fmt.Sprintf("no fix during %s, as %d times before, and a fix at all other times", what, without-1), p.SeeSource(rulebook.Origin(first), "no fix while the radio works"), p.SeeSource(rulebook.Origin(before), "a fix before it"))
			}
		} else if validIn > 0 {
			without, said = 0, true // it can do both
		}
		during, validIn = 0, 0
	}
	var last *epoch.Epoch
	p.OnEpoch(func(e *epoch.Epoch) {
		name, sending := radio.At(e.Began)
		if !sending {
			if during > 0 {
				close()
				last = nil // the first one after it may still be lost
				if e.Fix.Valid {
					last = e
				}
				return
			}
			if e.Fix.Valid {
				valid++
				last = e
			} else if valid > 0 {
				void++
			}
			return
		}
		if during == 0 {
			first, before, what = e, last, name
		}
		during++
		if e.Fix.Valid {
			validIn++
		}
	})
	p.OnEnd(close)
}
