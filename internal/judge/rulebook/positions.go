package rulebook

import (
	"slices"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/epoch"
)

// Sent is a position that the controller gave away, with what the receiver had
// said by then.
type Sent struct {
	*witness.SentPosition
	Last   *epoch.Epoch   // the last epoch that began before it was sent, valid or not; nil for none
	Recent []*epoch.Epoch // the last epochs with a position that began before, oldest first; at most 65; only lent

	open    *epoch.Epoch // that was open as it left
	right   answer       // of Right
	mistake answer       // of Mistake
}

// An answer is kept for the next rule that asks: all of them ask the same.
type answer struct {
	given   bool
	mistake geo.Mistake
	of      *epoch.Epoch
	ok      bool
}

// maxWaiting is how many positions wait for the open epoch to be over: a text
// holds eight at most. Without any sentence none comes, so none waits longer.
const maxWaiting = 8

// OnSent is OnPosition a little later: when the epoch is complete that was open
// as the position left. Its sentences stand before the position in the dialogue,
// so the controller may have used them.
func (p *Pass) OnSent(f func(s *Sent)) {
	var waiting []*witness.SentPosition
	deliver := func(open *epoch.Epoch) {
		for _, s := range waiting {
			f(p.judge.sentPosition(s, open))
		}
		waiting = waiting[:0]
	}
	p.OnPosition(func(s *witness.SentPosition) {
		waiting = append(waiting, s)
		if len(waiting) == maxWaiting {
			deliver(nil)
		}
	})
	p.OnEpoch(deliver)
	p.atVeryEnd(func() { deliver(nil) })
}

// sentPosition returns what all rules get to see of a position that was given away;
// they ask one after the other within one event.
func (j *Judge) sentPosition(s *witness.SentPosition, open *epoch.Epoch) *Sent {
	for _, known := range j.sent {
		if known.SentPosition == s && known.open == open {
			return known
		}
	}
	sent := &Sent{SentPosition: s, Last: j.known.LastEpoch(), Recent: j.known.Recent(), open: open}
	if open != nil && open.Sources[0].Record < s.Line.Record {
		sent.Last = open
		if open.Fix.Point.IsKnown() {
			sent.Recent = append(slices.Clone(sent.Recent), open)
		}
	}
	if len(j.sent) == maxWaiting {
		j.sent = append(j.sent[:0], j.sent[1:]...)
	}
	j.sent = append(j.sent, sent)
	return sent
}

// samePlaceM is how far a position may be from a fix and still be that fix,
// sent a moment later: a second on a motorway. Our estimate.
const samePlaceM = 40

// Right returns the fix that the position sent is: the newest that agrees to the
// last digit, else the newest that is a few metres away; nil for none.
func (s *Sent) Right() *epoch.Epoch {
	if !s.right.given {
		s.right = answer{given: true, of: s.findRight()}
	}
	return s.right.of
}

func (s *Sent) findRight() *epoch.Epoch {
	var close *epoch.Epoch
	for _, e := range slices.Backward(s.Recent) {
		at, ok := e.Fix.Point.Get()
		if !ok {
			continue
		}
		if geo.Agrees(s.LatText, s.LonText, at) {
			return e
		}
		if close == nil && s.Point.Valid() && geo.DistanceM(at, s.Point) <= samePlaceM {
			close = e
		}
	}
	return close
}

// Mistake returns the known mistake that best turns a fix of the receiver into
// what was sent, and the fix. Where the position is right to some metres, only
// mistakes of the last digits count.
func (s *Sent) Mistake() (best geo.Mistake, of *epoch.Epoch, ok bool) {
	if a := &s.mistake; !a.given {
		a.given = true
		a.mistake, a.of, a.ok = s.findMistake()
	}
	return s.mistake.mistake, s.mistake.of, s.mistake.ok
}

func (s *Sent) findMistake() (best geo.Mistake, of *epoch.Epoch, ok bool) {
	if right := s.Right(); right != nil {
		at, _ := right.Fix.Point.Get()
		for _, m := range geo.Mistakes(s.LatText, s.LonText, at) {
			if m.Exact && (m.ErrorKnown && m.ErrorM <= samePlaceM || m.Is(geo.FewDigits)) {
				return m, right, true
			}
		}
		return best, right, false
	}
	for _, e := range slices.Backward(s.Recent) {
		at, _ := e.Fix.Point.Get()
		found := geo.Mistakes(s.LatText, s.LonText, at) // the likeliest stands first
		if len(found) > 0 && (!ok || better(found[0], best)) {
			best, of, ok = found[0], e, true
		}
	}
	return best, of, ok
}

func better(a, b geo.Mistake) bool {
	if a.Exact != b.Exact {
		return a.Exact
	}
	return len(a.Kinds) < len(b.Kinds) || len(a.Kinds) == len(b.Kinds) && a.ResidualDeg < b.ResidualDeg*0.999
}

// Origin is the sentence of an epoch that a position was taken from: the one
// with the position that says most.
func Origin(e *epoch.Epoch) epoch.Source {
	for _, kind := range []string{"RMC", "GGA", "GNS", "GLL"} {
		if s, ok := e.Find(kind); ok {
			return s
		}
	}
	return e.Sources[0]
}

// Age is how long before a line an epoch was heard; ok is false when times are not known.
func (p *Pass) Age(e *epoch.Epoch, l dialogue.Line) (age time.Duration, ok bool) {
	return max(0, l.Began.Sub(e.At)), p.TimesKnown()
}
