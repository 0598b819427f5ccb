package bringup

import (
	"fmt"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/script/procedure"
)

// supply: the voltage at the pins holds, also while the radio sends. A serial line
// shows it only from its effects, so this link is judged by what happens later.
var supply = &Check{Link: Supply, Title: "Supply", After: []string{Line, Module}, Ask: askSupply, Verdict: judgeSupply}

func askSupply(q *Questions) *procedure.Procedure {
	if q.Round > 0 {
		return nil
	}
	return ask("battery", try("AT+CBC"))
}

// headroomMV: aim for the data sheet's minimum plus 0.1 V (common practice, no source).
const headroomMV = 100

func judgeSupply(f *Facts) Judgement {
	s, m := &f.Supply, &f.Module
	if s.Undervoltage.Is() {
		return f.is(verdict.Broken, fmt.Sprintf("the module said %s that its supply is too low", times(s.Undervoltage.Times)),
			append([]show{{s.Undervoltage.First, "supply too low"}}, restarts(f)...)...)
	}
	if s.Overvoltage.Is() {
		return f.is(verdict.Broken, "the module said that its supply is too high", show{s.Overvoltage.First, "supply too high"})
	}
	switch {
	case m.AfterSend > 0:
		return f.is(verdict.Broken, fmt.Sprintf("the module started anew %s by itself, %s within 10 s of sending", times(m.Restarted), times(m.AfterSend)), restarts(f)...)
	case m.Restarted >= 2:
		return f.is(verdict.Broken, fmt.Sprintf("the module started anew %s by itself", times(m.Restarted)), restarts(f)...)
	case m.Restarted == 1:
		return f.is(verdict.Weak, "the module started anew once by itself", restarts(f)...)
	}
	lowest, measured := s.LowestMV.Get()
	if least, ok := f.leastMV(); ok && measured {
		switch {
		case lowest < least:
			return f.is(verdict.Broken, fmt.Sprintf("%.2f V at the pins, below the %.2f V the module needs", volts(lowest), volts(least)), show{s.Lowest, "the lowest reading"})
		case lowest < least+headroomMV:
			return f.is(verdict.Weak, fmt.Sprintf("%.2f V at the pins, less than 0.1 V above the %.2f V the module needs", volts(lowest), volts(least)), show{s.Lowest, "the lowest reading"})
		}
	}
	if status, ok := s.Status.Get(); ok && status == 3 {
		return f.is(verdict.Weak, "the module says its power has a fault (+CBC: 3)", show{s.Reading, "power fault, 27.007 8.4"})
	}
	if percent, ok := s.Percent.Get(); ok && percent > 0 && percent <= 10 {
		return f.is(verdict.Weak, fmt.Sprintf("the battery is at %d per cent", percent), show{s.Reading, "nearly empty"})
	}
	return supplyHolds(f)
}

// supplyHolds: only a module that sent and went on answering shows that its supply holds.
func supplyHolds(f *Facts) Judgement {
	s := &f.Supply
	reading := ""
	if mv, ok := s.LowestMV.Get(); ok {
		reading = fmt.Sprintf("%.2f V at the lowest", volts(mv))
	}
	sent := f.Module.Transmitted.Times
	switch {
	case sent > 0:
		return f.is(verdict.Holds, list(reading, fmt.Sprintf("no restart in %s the radio send", plural(sent, "command that makes", "commands that make"))),
			show{f.Module.Transmitted.Last, "sent, and went on answering"}, show{s.Lowest, "the lowest reading"})
	case f.Network.Registered.Is():
		return f.is(verdict.Holds, list(reading, "no restart while it registered"),
			show{f.Network.Registered.First, "registered, which makes the radio send"}, show{s.Lowest, "the lowest reading"})
	case reading != "":
		return f.is(verdict.NotShown, reading+" while idle; nothing made the radio send", show{s.Lowest, "the lowest reading"})
	}
	return notShown("nothing made the radio send, and no voltage was read; measure it at the module's pins")
}

// leastMV is the least voltage the module needs, by its sheet.
func (f *Facts) leastMV() (int, bool) {
	if f.sheet == nil {
		return 0, false
	}
	v, ok := f.sheet.Supply.MinV.Get()
	return int(v*1000 + 0.5), ok
}

func volts(mv int) float64 { return float64(mv) / 1000 }

// restarts shows the first restarts with the command before each.
func restarts(f *Facts) []show {
	var lines []show
	for _, r := range f.Module.Restarts {
		if len(lines) >= 4 {
			break
		}
		if r.After != nil {
			lines = append(lines, show{r.After.Command, "the command before it"})
		}
		note := "started anew: " + r.Why
		if f.Times() && r.After != nil {
			note += ", " + rulebook.Span(r.At.Sub(r.After.AskedAt)) + " later"
		}
		lines = append(lines, show{r.Line, note})
	}
	return lines
}
