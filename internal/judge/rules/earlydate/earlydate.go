// Package earlydate reports a date that no receiver can have meant.
package earlydate

import (
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/epoch"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "earlydate",
	Title:    "a valid fix with a date that cannot be",
	Severity: finding.Error,
	Cites:    []string{"IEC 61162-1, RMC (date ddmmyy) and ZDA", "IS-GPS-200, 20.3.3.3.1.1 (weeks are counted from January 1980)"},
	Doc: `
The fix is valid and its date is 6 January 1980, or a day before this receiver was built, or in the eighties of the next century: the date was not known yet when
the first position was, or the two digits of the year were read in the wrong century. Reports with it sort before all others, or are thrown away
as too old.`,
	Silent: `
Sentences without a valid fix; dates that are 1024 weeks off, which is weekrollover; 2006 to 2079.`,
	Remedy: `Use a date only when the fix is valid and the year is not before the year your program was built; read two digits as 2000 and more.`,
	Watch:  watch,
}

const (
	oldest = 2000 // a week rollover of today's dates leads to 2006 at the earliest
	newest = 2079
)

func watch(p *rulebook.Pass) {
	said := false
	p.OnEpoch(func(e *epoch.Epoch) {
		utc, ok := e.Fix.UTC.Get()
		if said || !ok || !e.Fix.Valid || utc.Year() >= oldest && utc.Year() <= newest {
			return
		}
		said = true
		source := rulebook.Origin(e)
		if s, ok := e.Find("RMC"); ok {
			source = s
		}
		p.Report("a valid fix says "+utc.Format(time.DateOnly), p.SeeSource(source, "the date"))
	})
}
