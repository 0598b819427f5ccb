package bringup

import (
	"fmt"
	"time"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/script/procedure"
	"firstfix/internal/wire/sheet"
)

// sky: the receiver runs and hears satellites.
var sky = &Check{Link: Sky, Title: "Sky", Needs: []string{Supply, Module}, Ask: askSky, Verdict: judgeSky}

// Levels in dB-Hz: working values of several sources (common practice, no source). Four
// at 28 are what a fix needs at the least; outdoors the best four are above 35.
const (
	faintLevel = 28
	goodLevel  = 33
)

// How long to listen. A receiver needs some seconds to find the first satellites and
// half a minute for the orbits of those it hears (IS-GPS-200 20.3.3, from memory).
const (
	quietFor  = 15 * time.Second // no sentence at all for so long: it does not run
	listenFor = 60 * time.Second
	shortLook = 20 * time.Second // less says nothing about what is not heard (our estimate)
	roundFor  = 4 * time.Second  // short rounds catch what comes and goes meanwhile
)

func askSky(q *Questions) *procedure.Procedure {
	s := &q.Facts.Sky
	if q.Options.Sheet == nil {
		return nil
	}
	on, ok := q.Options.Sheet.Duty(sheet.PositionOn)
	if !ok {
		return nil
	}
	if q.Round == 0 {
		q.Done["engine"]++
		steps := []procedure.Step{duty(sheet.PositionOn)}
		if stream, ok := q.Options.Sheet.Duty(sheet.PositionStream); ok && stream.Answer.Shape == sheet.Sentences {
			steps = append(steps, duty(sheet.PositionStream))
		}
		return ask("engine-on", steps...)
	}
	since := q.Now.Sub(q.Since)
	switch {
	case s.EngineNo.Is() && !s.EngineOn.Is(), since >= listenFor:
		return nil
	case q.Facts.Fix.Valid.Is(), s.Top4.Or(0) >= goodLevel:
		return nil
	case !q.Facts.Line.Sentences.Is() && since >= quietFor && streams(q, on):
		return nil
	}
	return q.listen()
}

// streams says whether the module's sheet promises sentences.
func streams(q *Questions, on sheet.Duty) bool {
	stream, ok := q.Options.Sheet.Duty(sheet.PositionStream)
	return on.Answer.Shape == sheet.Sentences || ok && stream.Answer.Shape == sheet.Sentences
}

// listen waits a little, asks for a position where that is how this module tells it, and
// looks at card and network in passing: what comes and goes shows itself meanwhile.
func (q *Questions) listen() *procedure.Procedure {
	steps := []procedure.Step{{Name: "listen", PauseMS: int(roundFor.Milliseconds())}}
	if d, ok := q.Options.Sheet.Duty(sheet.PositionRead); ok && d.Answer.Shape == sheet.Fields && q.Round%2 == 0 {
		steps = append(steps, duty(sheet.PositionRead))
	}
	if q.Asked(Network) && judgeSimcard(q.Facts).State != verdict.Broken {
		steps = append(steps, try("AT"+orElse(q.Facts.Network.Command, "+CREG")+"?"))
	}
	// Where the card keeps the network from being tried, its level still tells of the other
	// antenna. Twice only: a module without a card may not tell it at all.
	if !q.Asked(Network) && q.Done["level alone"] < 2 {
		q.Done["level alone"]++
		steps = append(steps, try("AT+CSQ"))
	}
	if q.Asked(Card) && q.Round%2 == 1 && q.Facts.Card.Ready.Is() {
		steps = append(steps, try("AT+CPIN?"))
	}
	return ask("listen", steps...)
}

func judgeSky(f *Facts) Judgement {
	s := &f.Sky
	switch {
	case s.EngineNo.Is() && !s.EngineOn.Is():
		return f.is(verdict.Broken, "the module refuses to start its position engine", show{s.EngineNo.First, "refused"})
	case s.Antenna == "OPEN" || s.Antenna == "SHORT":
		return f.is(verdict.Broken, "the receiver says its antenna is "+map[string]string{"OPEN": "not connected", "SHORT": "short-circuited"}[s.Antenna], show{s.AntennaAt, "its own word"})
	case !f.Line.Sentences.Is():
		return judgeNoSentences(f)
	case s.Reports == 0 && f.Fix.Valid.Is():
		return f.is(verdict.Holds, "the receiver has a fix; no sentence tells what it hears", show{f.Fix.Valid.First, "a fix"})
	case s.Reports == 0:
		return f.is(verdict.NotShown, "sentences arrive, and none tells which satellites are heard", show{f.Line.Sentences.First, "the first sentence"})
	}
	return judgeHeard(f)
}

// judgeNoSentences: was it switched on, and is that what it promised?
func judgeNoSentences(f *Facts) Judgement {
	s := &f.Sky
	switch {
	case f.Fix.Valid.Is():
		return f.is(verdict.Holds, "the receiver has a fix", show{f.Fix.Valid.First, "a fix"})
	case f.promisedNothing():
		return f.is(verdict.Broken, "the engine was switched on, and not one sentence came", show{s.EngineOn.First, "accepted"}, show{s.Stream.First, "accepted, and nothing followed"})
	case f.Fix.Void.Times >= 2 && !s.TimeKnown:
		return f.is(verdict.Broken, "the engine answers, and has heard nothing: not even the time is known", show{f.Fix.Void.Last, "no position, no time"})
	case f.Fix.Void.Is():
		return f.is(verdict.NotShown, "the module gave no position and did not say what it hears", show{f.Fix.Void.Last, "no position"})
	case f.WasAsked(Sky):
		return f.is(verdict.NotShown, "the sheet names no way to switch the position engine on")
	}
	return notShown("no sentence was recorded")
}

// promisedNothing says that sentences were promised and none came: the engine was switched
// on, and so was their stream where the module has one.
func (f *Facts) promisedNothing() bool {
	s := &f.Sky
	if f.sheet == nil || f.Line.Sentences.Is() || !s.EngineOn.Is() {
		return false
	}
	from := s.EngineOn.First
	stream, ok := f.sheet.Duty(sheet.PositionStream)
	if ok && stream.Answer.Shape == sheet.Sentences {
		if !s.Stream.Is() {
			return false
		}
		from = s.Stream.First
	} else if on, _ := f.sheet.Duty(sheet.PositionOn); on.Answer.Shape != sheet.Sentences {
		return false
	}
	return f.Times() && f.now.Sub(from.At) >= quietFor
}

func judgeHeard(f *Facts) Judgement {
	s := &f.Sky
	tracked, top := s.Tracked.Or(0), s.Top4.Or(0)
	says := fmt.Sprintf("%s in view, %d heard", plural(s.InView.Or(0), "satellite", "satellites"), tracked)
	if best, ok := s.Best.Get(); ok {
		says += fmt.Sprintf(", best %.0f dB-Hz", best)
	}
	if s.Top4.IsKnown() {
		says += fmt.Sprintf(", mean of the best four %.0f", top)
	}
	watched := s.Last.Sub(s.First)
	if f.Times() {
		says += " in " + rulebook.Span(watched)
	}
	seen := show{s.TopAt, "the best moment"}
	if s.TopAt.IsZero() {
		seen = show{s.SkyAt, "the last word on what is in view"}
	}
	switch {
	case f.Fix.Valid.Is() && (top >= goodLevel || !s.Top4.IsKnown()):
		return f.is(verdict.Holds, says, seen)
	case f.Fix.Valid.Is():
		return f.is(verdict.Weak, says+": just enough", seen)
	case top >= goodLevel:
		return f.is(verdict.Holds, says, seen)
	case f.Times() && watched < shortLook && f.Walk == nil:
		return f.is(verdict.NotShown, says+": too short a look to say more", seen)
	case tracked == 0:
		return f.is(verdict.Broken, says+": the receiver hears nothing", seen)
	case tracked < 4 || top < faintLevel:
		return f.is(verdict.Broken, says+": a fix needs four above 28", seen)
	}
	return f.is(verdict.Weak, says+": marginal", seen)
}
