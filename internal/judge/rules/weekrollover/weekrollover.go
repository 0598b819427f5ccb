// Package weekrollover reports dates that are off by 1024 weeks.
package weekrollover

import (
	"fmt"
	"math"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "weekrollover",
	Title:    "the receiver's date is off by 1024 weeks",
	Severity: finding.Error,
	Cites:    []string{"IS-GPS-200, 20.3.3.3.1.1 (transmission week number: ten bits, modulo 1024)", "IEC 61162-1, RMC (date) and ZDA"},
	Doc: `
GPS sends the number of the week in ten bits: after 1024 weeks, 7168 days, it begins again (August 1999, April
2019, November 2038). The firmware has to know by itself which round it is; one that is too old for its round
gives dates 1024 weeks too early. Time of day and position stay right, so only the date shows it. Certificates,
stored reports and "newest first" lists go wrong.`,
	Silent: `
Before the first valid fix, when a receiver shows the date it was built with. A date that differs from the
capture's by anything but a multiple of 1024 weeks: somebody's clock is wrong, but not for this reason.`,
	Remedy: `Update the receiver's firmware; until then add 7168 days while the date is earlier than the day your program was built.`,
	Watch:  watch,
}

const (
	round = 1024 * 7 * 24 * time.Hour
	slack = 36 * time.Hour // the clock of the computer that captured may be a day and a zone off
)

// oldest is the second rollover. Where the capture does not say when it began, a
// fix from before that day, which 1024 weeks bring to after it, is taken for one
// round late: firmware that is too old is more usual than a capture so old.
var oldest = time.Date(2019, time.April, 7, 0, 0, 0, 0, time.UTC) // the second rollover

func watch(p *rulebook.Pass) {
	began, err := time.Parse(time.RFC3339, p.Info().Began)
	dated := err == nil && p.TimesKnown()
	said := false
	p.OnEpoch(func(e *epoch.Epoch) {
		utc, ok := e.Fix.UTC.Get()
		if !ok || !e.Fix.Valid || said {
			return
		}
		rounds, when := 0.0, ""
		if dated {
			now := began.Add(time.Duration(e.At))
			rounds = math.Round(float64(now.Sub(utc)) / float64(round))
			if rounds == 0 || now.Sub(utc.Add(time.Duration(rounds)*round)).Abs() > slack {
				return
			}
			when = "on " + now.UTC().Format(time.DateOnly)
		} else if later := utc.Add(round); utc.Before(oldest) && later.After(oldest) {
			rounds, when = 1, "unless the capture is really that old"
		} else {
			return
		}
		said = true
		direction := "before"
		if rounds < 0 {
			direction = "after"
		}
		days := int(math.Abs(rounds)) * 7168
		message := fmt.Sprintf("the receiver says %s %s", utc.Format(time.DateOnly), when)
		if dated {
			message += fmt.Sprintf(": exactly %d days (%d × 1024 weeks) %s it", days, days/7168, direction)
		} else {
			message += fmt.Sprintf(" the date is 1024 weeks early: %s", utc.Add(round).Format(time.DateOnly))
		}
		p.Report(message, p.SeeSource(source(e), "the date"))
	})
}

// source is the sentence that holds the date.
func source(e *epoch.Epoch) epoch.Source {
	for _, kind := range []string{"RMC", "ZDA"} {
		if s, ok := e.Find(kind); ok {
			return s
		}
	}
	return e.Sources[0]
}
