package bringup

import (
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/maybe"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/when"
)

// ReportFacts are what the controller gave away as its position.
type ReportFacts struct {
	Sent       Seen
	Right      Seen // within reach of the last valid fix
	Wrong      Seen
	Stale      Seen // right once, and old by then
	OldestBy   time.Duration
	Void       Seen // given away while there was no valid fix
	WorstM     float64
	Mistakes   [4]Seen // by index of mistakeKinds
	LastText   string
	ToOwn      bool
	Unreadable Seen
}

// mistakeKinds are the ways to spoil a coordinate that causes ask for.
var mistakeKinds = [4][]geo.Kind{
	{geo.MinutesAsDecimals, geo.NotConverted, geo.FractionAsSeconds, geo.MinutesCut},
	{geo.LatSign, geo.LonSign},
	{geo.Swapped},
	{geo.Float32Degrees, geo.Float32Minutes, geo.FewDigits, geo.ZerosLost},
}

// Indices of mistakeKinds.
const (
	degreesMistake = iota
	hemisphereMistake
	swapMistake
	digitsMistake
)

// farM is how far a sent position may be from the fix it should be: a minute at 60 km/h
// in a text that waited. Our estimate.
const farM = 1000

// told is what was known of the position when one was given away.
type told struct {
	point maybe.Value[geo.Point]
	at    when.Instant
}

func (f *Facts) watchReport(p *rulebook.Pass) {
	var known []told // for the positions that OnSent has not delivered yet, in order
	p.OnPosition(func(*witness.SentPosition) { known = append(known, told{f.Fix.LastSeen, f.Fix.LastAt}) })
	p.OnSent(func(s *rulebook.Sent) {
		t := known[0]
		known = known[1:]
		f.gave(p, s, t)
	})
}

// gave takes in a position that was given away. The sentences that were open as it left
// count: the controller may have used them.
func (f *Facts) gave(p *rulebook.Pass, s *rulebook.Sent, last told) {
	r := &f.Report
	r.Sent.see(s.Line)
	r.LastText = s.Text
	if s.Message != nil && s.Message.Problem != "" {
		r.Unreadable.see(s.Line)
	}
	right := s.Right()
	truth, ok := last.point.Get()
	nowhere := s.Point.LatDeg == 0 && s.Point.LonDeg == 0
	if right != nil && !right.Fix.Valid || s.Last != nil && !s.Last.Fix.Valid && (nowhere || !ok && right == nil) {
		r.Void.see(s.Line)
		return
	}
	mistaken := f.mistakes(s, last)
	switch age, _ := f.ageOf(p, s, right, last); {
	case right == nil && !ok:
		return // nothing to compare it with
	case right == nil && (mistaken || !s.Point.Valid() || geo.DistanceM(truth, s.Point) > farM):
		r.Wrong.see(s.Line)
		if ok && s.Point.Valid() {
			r.WorstM = max(r.WorstM, geo.DistanceM(truth, s.Point))
		}
	case age > staleAfter && !admitsAge(s.Text, s.Message):
		r.Stale.see(s.Line)
		r.OldestBy = max(r.OldestBy, age)
	default:
		r.Right.see(s.Line)
	}
}

// ageOf is how old the fix was that was given away; false when it is not known.
func (f *Facts) ageOf(p *rulebook.Pass, s *rulebook.Sent, right *epoch.Epoch, last told) (time.Duration, bool) {
	switch {
	case !f.Times():
		return 0, false
	case right != nil:
		return p.Age(right, s.Line)
	case last.point.IsKnown():
		return s.Line.At.Sub(last.at), true
	}
	return 0, false
}

// staleAfter: a report each minute may carry the fix before (our estimate).
const staleAfter = 2 * time.Minute

// admitsAge says that a text says by itself that its position is old.
func admitsAge(text string, m *witness.Message) bool {
	if m != nil {
		text = m.Body
	}
	text = strings.ToLower(text)
	for _, word := range []string{"last", "ago", "age", "old"} {
		if strings.Contains(text, word) {
			return true
		}
	}
	return false
}

// mistakes says which known ways of spoiling explain a sent position, and whether one
// of them is more than lost digits.
func (f *Facts) mistakes(s *rulebook.Sent, last told) (gross bool) {
	found, _, ok := s.Mistake()
	if len(s.Recent) == 0 {
		truth, known := last.point.Get()
		if !known {
			return false
		}
		all := geo.Mistakes(s.LatText, s.LonText, truth)
		if ok = len(all) > 0; ok {
			found = all[0]
		}
	}
	if !ok {
		return false
	}
	for i, kinds := range mistakeKinds {
		for _, k := range kinds {
			if found.Is(k) {
				f.Report.Mistakes[i].see(s.Line)
				gross = gross || i != digitsMistake
				break
			}
		}
	}
	return gross
}
