// Package alldropped reports that all satellites become weaker at one moment.
package alldropped

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "alldropped",
	Title:    "all satellites become weaker at the same moment",
	Severity: finding.Note,
	Cites:    []string{"IEC 61162-1, GSV (C/N0)", "common practice, no source (8 dB at once, standing still)"},
	Doc: `
A receiver that stands still loses eight dB and more on every satellite from one second to the next, and not while its own radio sends. A roof does that
when something drives in; standing still it is something nearby that was switched on: a display, a charger, a camera, a converter, and rarely somebody
who disturbs on purpose. Note the time and what was switched on.`,
	Silent: `
A moving receiver; a fall of less than eight dB, or one that takes longer than some seconds or ends within ten. The cellular radio was sending.`,
	Remedy: `Switch the devices around it off one by one and watch the best four satellites; move the receiver or shield what disturbs it.`,
	Watch:  watch,
}

const (
	fallDB = 8
	before = 20 // rounds of GSV that say how it was
	after  = 10 // and how it stays
	still  = 1  // m/s
	row    = 10 * time.Second
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	radio := p.WatchTransmissions()
	var means [before]float64 // the last ones before the fall
	var fell, last *epoch.Epoch
	count, low := 0, 0
	lowSum := 0.0
	reset := func() { count, low, fell = 0, 0, nil }
	p.OnEpoch(func(e *epoch.Epoch) {
		if !e.SkyKnown {
			return
		}
		if _, fresh := e.Find("GSV"); !fresh {
			return
		}
		heard, mean := p.Strength(e)
		_, sending := radio.At(e.Began)
		if heard < 3 || sending || e.Fix.SpeedMPS.Or(0) > still || last != nil && e.Began.Sub(last.At) > row {
			reset()
			last = e
			return
		}
		last = e
		was := 0.0
		for _, m := range means {
			was += m / before
		}
		if count >= before && was-mean >= fallDB {
			if low == 0 {
				fell, lowSum = e, 0
			}
			lowSum += mean
			if low++; low == after {
				gsv, _ := fell.Find("GSV")
				p.Report(fmt.Sprintf("the best satellites fell from %.0f to %.0f dB-Hz at one moment and stay there", was, lowSum/after), p.SeeSource(gsv, "from here on"))
				reset()
			}
			return
		}
		if low > 0 {
			low = 0
		}
		means[count%before] = mean
		count++
	})
}
