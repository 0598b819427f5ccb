package rulebook

import (
	"time"

	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
)

// Busy says whether a command that was sent before an instant may still be worked on:
// it is open, and its own limit has not passed.
func (p *Pass) Busy(now when.Instant) bool {
	for _, o := range p.Open() {
		if o.AskedAt < now && now.Sub(o.AskedAt) < Limit(o.Parsed) && len(o.Parsed.Commands) > 0 {
			return true
		}
	}
	return false
}

// Silence is a row of commands without any answer, behind ones that had answers.
type Silence struct {
	Before      *dialogue.Exchange // the last that was answered
	First, Last *dialogue.Exchange // of the row
	Count       int
	Spoke       dialogue.Line // something that the module said all the same; zero for nothing
}

// OnSilence is called once for each row of commands that has grown to count and
// lasted for span: not even an echo came. It needs times.
func (p *Pass) OnSilence(count int, span time.Duration, f func(s *Silence)) {
	if !p.TimesKnown() {
		return
	}
	var s Silence
	told := false
	spoke := func(l dialogue.Line) {
		if s.Count > 0 && s.Spoke.IsZero() && l.From != capture.Controller {
			s.Spoke = l
		}
	}
	p.OnSentence(func(l dialogue.Line, _ *nmea.Sentence) { spoke(l) })
	p.OnUnsolicited(func(l, _ dialogue.Line, _ at.Answer) { spoke(l) })
	p.OnGarbled(spoke)
	p.OnPrompted(func(x *dialogue.Exchange) { s, told = Silence{Before: s.Before}, false })
	p.OnData(func(dialogue.Line) { s, told = Silence{Before: s.Before}, false })
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Outcome == dialogue.Finished || x.Echoed || len(x.Info) > 0 || x.Ending == "" {
			s, told = Silence{Before: s.Before}, false
			if x.Outcome == dialogue.Finished {
				s.Before = x
			}
			return
		}
		if p.Busy(x.AskedAt) {
			return // something slow is under way: nobody can expect an answer
		}
		if s.Count == 0 {
			s.First = x
		}
		s.Last = x
		s.Count++
		if s.Before == nil || told || s.Count < count || x.AskedAt.Sub(s.First.AskedAt) < max(span, Limit(s.First.Parsed)) {
			return
		}
		told = true
		f(&s)
	})
}
