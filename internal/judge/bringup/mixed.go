package bringup

import (
	"fmt"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
)

// unmix takes back what cannot be known when more than one device talks in a
// recording: what is compared from one moment to the next may be of two devices.
// It returns what remains of the findings and, in a sentence, what was left out.
func (f *Facts) unmix(rules []*rulebook.Rule, found []finding.Finding) (left []finding.Finding, says string) {
	f.mixed = true
	f.placed = f.Fix.Valid.Is() || f.Report.Sent.Is()
	f.Sky, f.Fix, f.Report = SkyFacts{}, FixFacts{}, ReportFacts{}
	f.Module.Restarts, f.Module.Restarted, f.Module.AfterSend, f.Module.Searching = nil, 0, 0, 0
	f.Network.Lost = 0
	var silent []string
	one := map[string]bool{}
	for _, r := range rules {
		if r.OneDevice {
			one[r.Name] = true
			silent = append(silent, r.Name)
		}
	}
	for _, x := range found {
		if !one[x.Rule] {
			left = append(left, x)
		}
	}
	says = "because more than one device seems to speak: sky, fix and report were not judged"
	if len(silent) > 0 {
		says += fmt.Sprintf(", nor what compares one moment with the next (%s)", strings.Join(silent, ", "))
	}
	return left, says + "; review the recording of each device alone"
}

// uncertain says that a link cannot be judged in a mixed recording.
func (f *Facts) uncertain(link string, j Judgement) Judgement {
	switch {
	case !f.mixed:
	case link == Sky, link == Fix, link == Report:
		return notShown("more than one receiver may speak here, and which one said what cannot be told")
	case j.State == verdict.Holds || j.State == verdict.Weak || j.State == verdict.Broken:
		j.Says += " (of the devices together)"
	}
	return j
}

// mixedHeadline stands before everything else that is said of a mixed recording.
const mixedHeadline = "More than one device seems to speak in this recording, so less can be said. "
