package bringup

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/maybe"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sheet"
)

// maxTimed bounds the commands of the timing table: a controller has some dozens;
// a capture with more distinct names holds noise.
const maxTimed = 256

// timingTable measures how long each command took.
type timingTable struct {
	rows  []*timingRow
	index map[string]*timingRow
	sheet *sheet.Sheet
}

type timingRow struct {
	name       string
	took       sketch
	gaveUp     sketch // how long the controller waited before it went on without a result
	unanswered int
	limit      time.Duration // what the standards, the sheet or common practice allow
	source     string
}

func newTimingTable(j *rulebook.Judge, s *sheet.Sheet) *timingTable {
	t := &timingTable{index: map[string]*timingRow{}, sheet: s}
	j.Listen(func(p *rulebook.Pass) {
		p.OnAsked(t.asked)
		p.OnAnswered(t.answered)
	})
	return t
}

// asked sees whether the controller went on before the command before had its result.
func (t *timingTable) asked(x *dialogue.Exchange) {
	before := x.Previous
	switch {
	case before == nil, before.Outcome == dialogue.Finished && before.DoneAt <= x.AskedAt:
		return
	case len(before.Parsed.Commands) == 0:
		return // AT alone wakes the module: it is repeated on purpose
	}
	if row := t.row(before); row != nil {
		row.gaveUp.add(max(x.AskedAt.Sub(begun(before)).Seconds()*1000, 0))
	}
}

// begun is when the wait for a result began: the network's time begins when the text is complete.
func begun(x *dialogue.Exchange) when.Instant {
	if x.TextEnd != 0 && !x.Text.IsZero() {
		return x.Text.At
	}
	return x.AskedAt
}

// row finds the row of a command, or begins one; nil when there are too many.
func (t *timingTable) row(x *dialogue.Exchange) *timingRow {
	name := timingName(x)
	row := t.index[name]
	if row == nil && len(t.rows) < maxTimed {
		row = &timingRow{name: name}
		row.limit, row.source = t.limitOf(x)
		t.rows, t.index[name] = append(t.rows, row), row
	}
	return row
}

func (t *timingTable) answered(x *dialogue.Exchange) {
	row := t.row(x)
	if row == nil {
		return
	}
	if x.Outcome != dialogue.Finished {
		row.unanswered++
		return
	}
	row.took.add(max(x.DoneAt.Sub(begun(x)).Seconds()*1000, 0))
}

// timingName tells forms apart where they take different times: "+COPS=?" searches,
// "+COPS?" does not, "+COPS=" selects.
func timingName(x *dialogue.Exchange) string {
	n := len(x.Parsed.Commands)
	if n == 0 {
		if x.Parsed.Repeat {
			return "A/"
		}
		return "AT"
	}
	slowest, wait := x.Parsed.Commands[0], -1
	for _, c := range x.Parsed.Commands {
		if ms, _ := at.WaitMS(c); ms > wait {
			slowest, wait = c, ms
		}
	}
	name := slowest.Name
	switch slowest.Form {
	case at.Read:
		name += "?"
	case at.Test:
		name += "=?"
	case at.Set:
		if !at.WantsText(slowest) {
			name += "="
		}
	}
	if n > 1 {
		name += " and others"
	}
	return name
}

func (t *timingTable) limitOf(x *dialogue.Exchange) (time.Duration, string) {
	longest, source := 0, ""
	for _, c := range x.Parsed.Commands {
		ms, from := at.WaitMS(c)
		if t.sheet != nil {
			if own, ok := t.sheet.MaxWaitMS[c.Name]; ok {
				ms, from = own, "the sheet "+t.sheet.Name
			}
		}
		if ms > longest {
			longest, source = ms, from
		}
	}
	if longest == 0 {
		longest, source = at.WaitMS(at.Command{})
	}
	return time.Duration(longest) * time.Millisecond, source
}

// margin is how many times its slow answers a controller should be ready to wait: a
// busy network takes several times as long as the one of the day of the test (our estimate).
const margin = 3

// floorMS: a module may always be busy for a second (common practice, no source).
const floorMS = 1000

// table returns the timings, the slowest command first. Without times it has counts only.
func (t *timingTable) table(timesKnown bool) []verdict.Timing {
	out := make([]verdict.Timing, 0, len(t.rows))
	for _, r := range t.rows {
		if r.took.n+r.unanswered == 0 {
			continue // asked, and still open
		}
		v := verdict.Timing{Command: r.name, Count: r.took.n + r.unanswered, Unanswered: r.unanswered, GaveUp: r.gaveUp.n}
		r.recommend(&v, timesKnown)
		if timesKnown && r.gaveUp.n > 0 {
			v.GaveUpMinMS, v.GaveUpMaxMS = maybe.Known(tenth(r.gaveUp.min)), maybe.Known(tenth(r.gaveUp.max))
			v.TooShort = r.gaveUp.max < v.RecommendedWait.Or(0)
		}
		out = append(out, v)
	}
	slices.SortStableFunc(out, func(a, b verdict.Timing) int {
		return cmp.Or(-cmp.Compare(a.MaxMS.Or(-1), b.MaxMS.Or(-1)), -cmp.Compare(a.Count, b.Count), cmp.Compare(a.Command, b.Command))
	})
	return out
}

func (r *timingRow) recommend(v *verdict.Timing, timesKnown bool) {
	limit := float64(r.limit.Milliseconds())
	if !timesKnown || r.took.n == 0 {
		v.RecommendedWait = maybe.Known(limit)
		v.Reason = fmt.Sprintf("usual limit (%s); nothing was measured", r.source)
		return
	}
	p95 := r.took.quantile(0.95)
	v.MinMS, v.MaxMS = maybe.Known(tenth(r.took.min)), maybe.Known(tenth(r.took.max))
	v.MedianMS, v.P95MS = maybe.Known(tenth(r.took.quantile(0.5))), maybe.Known(tenth(p95))
	wait := max(margin*p95, margin*r.took.max/2, floorMS)
	switch {
	case wait <= limit:
		// The usual limit is the safer figure while only a few answers were seen or the network decides.
		if r.took.n < 20 || limit >= 30_000 {
			v.RecommendedWait = maybe.Known(limit)
			v.Reason = fmt.Sprintf("usual limit (%s); %s measured, the slowest %s", r.source, plural(r.took.n, "answer", "answers"), spanMS(r.took.max))
			return
		}
		v.RecommendedWait = maybe.Known(roundUp(wait))
		v.Reason = fmt.Sprintf("%d x the slow end of %s measured; usual limit %s (%s)", margin, plural(r.took.n, "answer", "answers"), spanMS(limit), r.source)
	default:
		v.RecommendedWait = maybe.Known(roundUp(wait))
		v.Reason = fmt.Sprintf("slower here than the usual limit of %s (%s): %d x the slow end of %s", spanMS(limit), r.source, margin, plural(r.took.n, "answer", "answers"))
	}
}

func spanMS(ms float64) string { return rulebook.Span(time.Duration(ms * float64(time.Millisecond))) }

func tenth(v float64) float64 { return math.Round(v*10) / 10 }

// roundUp gives a figure that a person would write into a program: two digits, upwards.
func roundUp(ms float64) float64 {
	step := math.Pow(10, math.Floor(math.Log10(ms))-1)
	return math.Ceil(ms/step) * step
}
