package track

import (
	"fmt"
	"math"
	"time"

	"firstfix/internal/maybe"
)

// Rollovers are the days on which the ten-bit week number began again (computed from
// 1980-01-06 in steps of 1024 weeks; IS-GPS-200, 20.3.3.3.1.1).
var Rollovers = []time.Time{
	time.Date(1999, time.August, 22, 0, 0, 0, 0, time.UTC),
	time.Date(2019, time.April, 7, 0, 0, 0, 0, time.UTC),
	time.Date(2038, time.November, 21, 0, 0, 0, 0, time.UTC),
}

// AddRounds moves the date of a sighting by rounds of 1024 weeks.
func (s *Sighting) AddRounds(n int) {
	if utc, ok := s.UTC.Get(); ok && n != 0 {
		s.UTC = maybe.Known(utc.Add(time.Duration(n) * Round))
	}
}

// A Proposal is a repair of times, with what speaks for it.
type Proposal struct {
	Kind    string   `json:"kind"`   // "weeks", "zone"
	Rounds  int      `json:"rounds"` // of 1024 weeks to add to the dates
	ZoneMin int      `json:"zone_minutes"`
	Proven  bool     `json:"proven"`
	Says    string   `json:"says"`
	Because []string `json:"because"`
}

// ClockWatch compares the dates of sightings with other clocks. The zero ClockWatch is ready.
type ClockWatch struct {
	// Heard is when the recording was made, as far as somebody knows; it stands in for a
	// clock in the recording.
	Heard maybe.Value[time.Time]

	offsets  [maxOffsets]offset
	count    int
	compared int
	rounds   int
	changed  Origin

	first, last time.Time
	dated       int
	form        maybe.Value[time.Time]
	formWhy     string
	formCount   int
}

// offset is by how much a recording's clock is ahead of the fixes: whole rounds of 1024
// weeks and whole quarters of an hour.
type offset struct {
	rounds, quarters int
	count            int
	worst            time.Duration
}

const (
	maxOffsets = 16
	quarter    = 15 * time.Minute // zones differ by whole quarters of an hour (time zone database)

	// A recording's clock may be so far off and still show its zone. Our estimate.
	clockSlack  = 5 * time.Minute
	maxQuarters = 14 * 4 // no zone is farther than 14 hours from UTC

	// daysSlack is how far the day that a person names may be off.
	daysSlack = 36 * time.Hour
)

// Add takes a kept sighting.
func (w *ClockWatch) Add(j *Judged) {
	utc, ok := j.UTC.Get()
	if !ok || !j.Kept() {
		return
	}
	if w.dated++; w.dated == 1 || utc.Before(w.first) {
		w.first = utc
	}
	if utc.After(w.last) {
		w.last = utc
	}
	if born := j.Born; born != nil && utc.Before(born.Date) {
		w.form, w.formWhy = maybe.Known(born.Date), born.Why
		w.formCount++
	}
	if wall, ok := j.Wall.Get(); ok {
		w.compare(wall.Sub(utc))
	}
}

func (w *ClockWatch) compare(ahead time.Duration) {
	rounds := int(math.Round(float64(ahead) / float64(Round)))
	rest := ahead - time.Duration(rounds)*Round
	quarters := int(math.Round(float64(rest) / float64(quarter)))
	off := (rest - time.Duration(quarters)*quarter).Abs()
	w.compared++
	if off > clockSlack || quarters > maxQuarters || quarters < -maxQuarters {
		return
	}
	for i := range w.count {
		o := &w.offsets[i]
		if o.rounds == rounds && o.quarters == quarters {
			o.count++
			o.worst = max(o.worst, off)
			return
		}
	}
	if w.count < maxOffsets {
		w.offsets[w.count] = offset{rounds, quarters, 1, off}
		w.count++
	}
}

// Changed notes that the dates of one track changed by rounds of 1024 weeks between two sightings.
func (w *ClockWatch) Changed(rounds int, at Origin) { w.rounds, w.changed = w.rounds+rounds, at }

// Proposals returns the repairs that the clocks call for; none when they agree.
func (w *ClockWatch) Proposals() []Proposal {
	var out []Proposal
	if p, ok := w.byClock(); ok {
		out = append(out, p...)
	} else if p, ok := w.byDay(); ok {
		out = append(out, p)
	} else if p, ok := w.byForm(); ok {
		out = append(out, p)
	}
	return out
}

// byClock: nine in ten comparisons with the recording's clock agree.
func (w *ClockWatch) byClock() (out []Proposal, ok bool) {
	best := offset{}
	for i := range w.count {
		if w.offsets[i].count > best.count {
			best = w.offsets[i]
		}
	}
	if best.count == 0 || best.count*10 < w.compared*9 {
		return nil, false
	}
	agree := fmt.Sprintf("%d of %d fixes agree with it to %s", best.count, w.compared, short(best.worst))
	if best.rounds != 0 {
		out = append(out, Proposal{Kind: "weeks", Rounds: best.rounds, Proven: true, Says: w.weeksSay(best.rounds),
			Because: []string{"the recording's own clock is " + daysWords(best.rounds) + " away from the dates of the fixes; " + agree, ruleWords}})
	}
	if best.quarters != 0 {
		minutes := best.quarters * 15
		out = append(out, Proposal{Kind: "zone", ZoneMin: minutes, Proven: true,
			Says:    "the recording's clock shows UTC" + zoneWords(minutes) + ", a local time, and not UTC",
			Because: []string{fmt.Sprintf("it is %s ahead of the fixes, a whole number of quarters of an hour; %s", zoneWords(minutes), agree)}})
	}
	return out, true
}

const ruleWords = "the legacy GPS message counts weeks in ten bits: after 1024 weeks, 7168 days, dates begin again (IS-GPS-200, 20.3.3.3.1.1)"

func (w *ClockWatch) weeksSay(rounds int) string {
	days := func(turn time.Duration) string {
		first, last := w.first.Add(turn).Format(time.DateOnly), w.last.Add(turn).Format(time.DateOnly)
		if first == last {
			return first
		}
		return first + " to " + last
	}
	side, verb := "early", "add"
	if rounds < 0 {
		side, verb = "late", "take away"
	}
	n := max(rounds, -rounds)
	return fmt.Sprintf("the dates are %s %s: %s %d weeks, and %s becomes %s", daysWords(n), side, verb, n*1024, days(0), days(time.Duration(rounds)*Round))
}

func daysWords(rounds int) string {
	return fmt.Sprintf("%d days (%d × 1024 weeks)", rounds*7168, rounds)
}

// zoneWords writes minutes as "+02:00".
func zoneWords(minutes int) string {
	sign := '+'
	if minutes < 0 {
		sign, minutes = '-', -minutes
	}
	return fmt.Sprintf("%c%02d:%02d", sign, minutes/60, minutes%60)
}

// byDay compares the last fix with the day that a person named.
func (w *ClockWatch) byDay() (p Proposal, ok bool) {
	heard, known := w.Heard.Get()
	if !known || w.dated == 0 {
		return p, false
	}
	middle := w.first.Add(w.last.Sub(w.first) / 2)
	rounds := int(math.Round(float64(heard.Sub(middle)) / float64(Round)))
	turn := time.Duration(rounds) * Round
	if rounds == 0 || heard.Before(w.first.Add(turn-daysSlack)) || heard.After(w.last.Add(turn+daysSlack)) {
		return p, false
	}
	return Proposal{Kind: "weeks", Rounds: rounds, Proven: true, Says: w.weeksSay(rounds),
		Because: []string{"you say that it was recorded on " + heard.Format(time.DateOnly) + ", a whole number of 1024 weeks from the dates", ruleWords}}, true
}

// byForm: a sentence has a form that is younger than its date; or the date lies one round
// before the time since the last rollover and no clock speaks, which is only a possibility.
func (w *ClockWatch) byForm() (p Proposal, ok bool) {
	if w.dated == 0 {
		return p, false
	}
	last := Rollovers[1]
	if born, known := w.form.Get(); known && w.formCount*10 >= w.dated*9 {
		rounds := 1
		for w.first.Add(time.Duration(rounds) * Round).Before(born) {
			rounds++
		}
		return Proposal{Kind: "weeks", Rounds: rounds, Proven: true, Says: w.weeksSay(rounds),
			Because: []string{"the sentences have a form that did not exist then: " + w.formWhy, ruleWords}}, true
	}
	if !w.Heard.IsKnown() && w.compared == 0 && w.last.Before(last) && !w.first.Add(Round).Before(last) {
		return Proposal{Kind: "weeks", Rounds: 1, Says: "if the recording is younger than the rollover of " + last.Format(time.DateOnly) + ", " + w.weeksSay(1),
			Because: []string{"nothing here tells when it was made; say it if you know", ruleWords}}, true
	}
	return p, false
}

// Rounds says by how many rounds of 1024 weeks the dates changed within the track.
func (w *ClockWatch) Rounds() int { return w.rounds }
