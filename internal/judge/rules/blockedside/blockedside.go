// Package blockedside reports a side of the sky from which nothing is heard.
package blockedside

import (
	"fmt"
	"math/bits"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "blockedside",
	Title:    "one side of the sky is never heard",
	Severity: finding.Note,
	Cites:    []string{"IEC 61162-1, GSV (elevation, azimuth, C/N0)", "common practice, no source (a wall beside the antenna)"},
	Doc: `
The receiver knows where each satellite stands. From one side all of them are heard, from the other none, minute after minute, whichever satellite comes
by: something stands there. A wall of a house at the bench, the trailer's own box, the driver's cab. The fix is worse for it, mostly across that side, and
gone when the open side is covered as well.`,
	Silent: `
Fewer than three satellites on the silent side, or fewer than three heard on the other; satellites below 15 degrees, which trees hide; less than two
minutes.`,
	Remedy: `Look along that side from the antenna; move it to the highest point of the trailer, or look for the plate that stands beside it.`,
	Watch:  watch,
}

const (
	sectors = 8
	wide    = 3 // neighbouring sectors that make a side: 135 degrees
	lowDeg  = 15
	least   = 2 * time.Minute
	fixes   = 24
	enough  = 3 // satellites
)

// place is where satellites of one sector were heard, by number, as bits.
type place struct{ seen, heard uint64 }

func watch(p *rulebook.Pass) {
	var sky [sectors]place
	var began, last *epoch.Epoch
	count, said := 0, false
	p.OnEpoch(func(e *epoch.Epoch) {
		if said || !e.SkyKnown || len(e.Satellites) == 0 {
			return
		}
		for i := range e.Satellites {
			v := &e.Satellites[i]
			elevation, ok1 := v.ElevationDeg.Get()
			azimuth, ok2 := v.AzimuthDeg.Get()
			if !ok1 || !ok2 || elevation < lowDeg || elevation > 75 || azimuth < 0 || azimuth > 360 {
				continue
			}
			s := &sky[int(azimuth/(360/sectors))%sectors]
			bit := uint64(1) << (v.ID % 64)
			s.seen |= bit
			if v.CN0DBHz.Or(0) > 0 {
				s.heard |= bit
			}
		}
		if began == nil {
			began = e
		}
		last = e
		if count++; count < fixes || count%8 != 0 || p.TimesKnown() && last.At.Sub(began.Began) < least {
			return
		}
		for first := range sectors {
			var blocked, open place
			for i := range sectors {
				s := sky[(first+i)%sectors]
				if i < wide {
					blocked.seen, blocked.heard = blocked.seen|s.seen, blocked.heard|s.heard
				} else {
					open.seen, open.heard = open.seen|s.seen, open.heard|s.heard
				}
			}
			if blocked.heard == 0 && bits.OnesCount64(blocked.seen) >= enough && bits.OnesCount64(open.heard) >= enough {
				said = true
				p.Report(fmt.Sprintf("%d satellites stood between azimuth %d and %d, and none was heard; from the other side %d were", bits.OnesCount64(blocked.seen), first*360/sectors, (first+wide)*360/sectors%360, bits.OnesCount64(open.heard)),
					p.SeeSource(gsv(began), "from here on"), p.SeeSource(gsv(last), "to here"))
				return
			}
		}
	})
}

func gsv(e *epoch.Epoch) epoch.Source {
	if s, ok := e.Find("GSV"); ok {
		return s
	}
	return e.Sources[0]
}
