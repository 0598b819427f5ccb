package bringup

import (
	"fmt"
	"strings"

	"firstfix/internal/judge/verdict"
	"firstfix/internal/script/procedure"
)

// module: it answers, says who it is, and goes on answering.
var module = &Check{Link: Module, Title: "Module", Needs: []string{Line}, Ask: askModule, Verdict: judgeModule}

func askModule(q *Questions) *procedure.Procedure {
	if q.Round > 0 {
		return nil
	}
	return ask("identity",
		try("ATI"), try("AT+CGMI"), try("AT+CGMM"), try("AT+CGMR"),
		// Error numbers make every later answer tell more: 27.007 9.1. The old level comes back at the end.
		try("AT+CMEE?"), try("AT+CMEE=1"),
		try("AT+CFUN?"))
}

// hung is how many commands without answer in a row, after good ones, make a module
// that stopped. One is a slow command, two may be chance (our estimate).
const hung = 3

func judgeModule(f *Facts) Judgement {
	l, m := &f.Line, &f.Module
	if !l.Answered.Is() {
		if l.Sentences.Is() && f.Counts.Exchanges == 0 {
			return notShown("only sentences were recorded; nobody asked it anything")
		}
		return notShown("no answer came from it")
	}
	name := ""
	if len(m.Identity) > 0 {
		name = strings.Join(m.Identity, ", ")
	}
	switch radio, known := m.Radio.Get(); {
	case l.Streak >= hung:
		return f.is(verdict.Broken, fmt.Sprintf("it answered %s, then left the last %d commands without answer", times(l.Answered.Times), l.Streak),
			show{l.StreakFrom, "no answer from here on"}, show{l.Answered.Last, "the last answer"})
	case m.PowerDown.Is() && m.PowerDown.Last.Record > l.Answered.Last.Record:
		return f.is(verdict.Broken, "it switched itself off", show{m.PowerDown.Last, "switching off"})
	case known && (radio == 0 || radio == 4):
		return f.is(verdict.Weak, fmt.Sprintf("its radio is switched off (+CFUN: %d)", radio), show{m.RadioAt, "radio off"})
	case m.Restarted > 0:
		return f.is(verdict.Holds, list("it answers", name, fmt.Sprintf("but started anew %s by itself: see the supply", times(m.Restarted))),
			show{l.Answered.First, "the first answer"})
	}
	return f.is(verdict.Holds, list("it answers", name), show{m.IdentityAt, "its name"}, show{l.Answered.First, "the first answer"})
}
