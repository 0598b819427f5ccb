// Package timejump reports a receiver whose time jumps by seconds.
package timejump

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "timejump",
	Title:    "the receiver's time jumps",
	Severity: finding.Note,
	Cites:    []string{"IS-GPS-200, 20.3.3.5.2.4 (leap seconds are sent every 12.5 minutes; from memory)", "IEC 61162-1, RMC (UTC)"},
	Doc: `
Compared with the recording's clock the receiver's time jumps by some seconds and stays there. Satellites keep a time of their own, 18 seconds ahead of UTC, and
say the difference only every twelve and a half minutes; until then a cold receiver takes what it was built with. Reports of the first minutes are off
by the difference. A jump together with a jump of the position, on all satellites at once, is something else: false signals.`,
	Silent: `
Less than two seconds; a jump that goes back; no valid fix or no date; the times of the recording are not known or not even.`,
	Remedy: `Note times of the first fifteen minutes after a cold start as uncertain to 18 s, or wait for the receiver to have read the leap seconds.`,
	Watch:  watch,
}

const (
	least = 2 * time.Second
	most  = 20 * time.Minute // more is no correction
	row   = 5                // fixes before and after that agree
	even  = 700 * time.Millisecond
)

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var before, jumped *epoch.Epoch
	var offset, candidate time.Duration
	steady, after := 0, 0
	p.OnEpoch(func(e *epoch.Epoch) {
		utc, ok := e.Fix.UTC.Get()
		if !ok || !e.Fix.Valid {
			steady, after = 0, 0
			return
		}
		now := time.Duration(utc.UnixNano() - int64(e.Began))
		switch {
		case steady == 0 || (now-offset).Abs() < even:
			if steady == 0 {
				offset = now
			}
			steady, after, before = steady+1, 0, e
		case steady < row || (now-offset).Abs() < least:
			offset, steady, after = now, 1, 0
		case after == 0 || (now-candidate).Abs() >= even:
			candidate, after, jumped = now, 1, e
		default:
			if after++; after < row {
				return
			}
			if jump := candidate - offset; jump.Abs() <= most {
				p.Report(fmt.Sprintf("the receiver's time jumped by %s", rulebook.Span(jump.Round(100*time.Millisecond))), p.SeeSource(rulebook.Origin(jumped), "after the jump"), p.SeeSource(rulebook.Origin(before), "before it"))
			}
			offset, steady, after = candidate, row, 0
		}
	})
}
