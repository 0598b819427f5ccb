// Package txdesense reports satellites that get weaker while the radio sends.
package txdesense

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "txdesense",
	Title:    "satellites get weaker while the cellular radio sends",
	Severity: finding.Warning,
	Cites:    []string{"IEC 61162-1, GSV (C/N0)", "common practice, no source (more than 3 dB)"},
	Doc: `
While the radio sends, the best four satellites lose several dB, and get them back afterwards: the two antennas are too close, the sender's side waves or its
supply reach the receiver. Three dB are half of the signal; in the open it does no harm, between houses it costs the fix of every upload. Get the fix
first and send then, or part the antennas.`,
	Silent: `
Less than 3 dB; fewer than five rounds of GSV while the radio sends or fewer than twenty without. The fix goes altogether: sharedradio.`,
	Remedy: `Put 20 cm and more between the antennas, give the receiver its own regulator, a filter in front of its amplifier, and take the fix before the sending.`,
	Watch:  watch,
}

const (
	lossDB  = 3
	during  = 5
	without = 20
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	radio := p.WatchTransmissions()
	var sumIn, sumOut float64
	var first *epoch.Epoch
	in, out, said := 0, 0, false
	what := ""
	p.OnEpoch(func(e *epoch.Epoch) {
		if said || !e.SkyKnown {
			return
		}
		if _, fresh := e.Find("GSV"); !fresh {
			return
		}
		heard, mean := p.Strength(e)
		if heard < 4 {
			return
		}
		name, sending := radio.At(e.Began)
		if !sending {
			sumOut += mean
			out++
			return
		}
		if in == 0 {
			first, what = e, name
		}
		sumIn += mean
		in++
		if in < during || out < without {
			return
		}
		if loss := sumOut/float64(out) - sumIn/float64(in); loss >= lossDB {
			said = true
			gsv, _ := first.Find("GSV")
			p.Report(fmt.Sprintf("the best four satellites lose %.0f dB while the radio sends: %.0f dB-Hz against %.0f", loss, sumIn/float64(in), sumOut/float64(out)), p.SeeSource(gsv, "during "+what))
		}
	})
}
