package bringup

import (
	"fmt"
	"time"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/script/procedure"
	"firstfix/internal/wire/sheet"
)

// position: what is heard becomes a position that can be believed.
var position = &Check{Link: Fix, Title: "Fix", Needs: []string{Supply, Module, Sky}, Ask: askFix, Verdict: judgeFix}

const (
	// fixFor: a cold start outdoors takes about half a minute; three minutes leave room
	// for a poor sky (common practice, no source).
	fixFor = 180 * time.Second
	// steadyFixes: the first positions after a start wander (common practice, no source).
	steadyFixes = 5
	// watchFor: a card or a network that comes and goes shows it within a minute, or is
	// not what stops the bring-up (our estimate).
	watchFor = 60 * time.Second
	// poorHDOP: above it a position may be off by tens of metres (common practice, no source).
	poorHDOP = 5
)

func askFix(q *Questions) *procedure.Procedure {
	if q.Options.Sheet == nil || !q.Facts.Sky.EngineOn.Is() && !q.Facts.Line.Sentences.Is() {
		return nil
	}
	since := q.Now.Sub(q.Since)
	enough := q.Facts.Fix.Valid.Times >= steadyFixes
	long := !q.Asked(Network) || !q.Facts.Network.Registered.Is() || q.Now.Sub(q.Facts.Network.FoundAt) >= watchFor
	if since >= fixFor || enough && long {
		if _, ok := q.Options.Sheet.Duty(sheet.PositionRead); ok && q.Done["read"] == 0 {
			q.Done["read"]++
			return ask("position", duty(sheet.PositionRead))
		}
		return nil
	}
	return q.listen()
}

func judgeFix(f *Facts) Judgement {
	x := &f.Fix
	watched := f.Sky.Last.Sub(f.Sky.First)
	switch {
	case x.Valid.Is():
		return judgeValid(f)
	case !x.Void.Is():
		return notShown("no position was told")
	case f.Walk != nil && f.Walk.Asked[Fix]:
		return f.is(verdict.Broken, fmt.Sprintf("no valid position in %s", rulebook.Span(max(watched, 0))), show{x.Void.Last, "void"})
	case f.Times() && watched >= 60*time.Second || x.Void.Times >= 60:
		return f.is(verdict.Broken, fmt.Sprintf("not one of %s is valid", plural(x.Void.Times, "position", "positions")), show{x.Void.First, "void"}, show{x.Void.Last, "still void"})
	}
	return f.is(verdict.NotShown, fmt.Sprintf("%s told, none valid; too short a look to say more", plural(x.Void.Times, "position", "positions")), show{x.Void.Last, "void"})
}

func judgeValid(f *Facts) Judgement {
	x := &f.Fix
	says := plural(x.Valid.Times, "valid position", "valid positions")
	if x.Void.Is() {
		says += fmt.Sprintf(", %d void", x.Void.Times)
	}
	switch {
	case f.Times() && f.Sky.EngineOn.Is() && x.FirstAt > f.Sky.OnAt:
		says += fmt.Sprintf(", the first %s after the engine started", rulebook.Span(x.FirstAt.Sub(f.Sky.OnAt)))
	case f.Times() && x.Void.Is() && x.Void.First.Record < x.Valid.First.Record:
		says += fmt.Sprintf(", the first after %s", rulebook.Span(x.FirstAt.Sub(f.Sky.First)))
	}
	if h, ok := x.LastHDOP.Get(); ok {
		says += fmt.Sprintf(", HDOP %.1f", h)
	}
	best, known := x.BestHDOP.Get()
	switch {
	case known && best > poorHDOP:
		return f.is(verdict.Weak, says+": too poor to rely on", show{x.Valid.Last, "valid"})
	case x.Void.Last.Record > x.Valid.Last.Record && f.Times() && x.Void.Last.At.Sub(x.Valid.Last.At) > 30*time.Second:
		return f.is(verdict.Weak, says+"; then lost", show{x.Valid.Last, "the last valid one"}, show{x.Void.Last, "void"})
	}
	return f.is(verdict.Holds, says, show{x.Valid.First, "the first valid one"})
}
