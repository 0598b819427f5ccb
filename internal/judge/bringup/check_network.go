package bringup

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/script/procedure"
)

// network: the module is let in, stays in, and hears it well enough.
var network = &Check{Link: Network, Title: "Network", Needs: []string{Supply, Card}, Ask: askNetwork, Verdict: judgeNetwork}

// Levels of +CSQ (27.007 8.5). 10 is -93 dBm, what jobs at the bench call usable; 4 is
// -105 dBm, below the -102 dBm at which 45.005 6.2 still demands reception of a small
// handset (clause from memory).
const (
	usableLevel   = 10
	hopelessLevel = 4
)

// How long to look. A first search may take minutes; three is what most controllers
// that give up allow (common practice, no source).
const (
	searchFor  = 180 * time.Second
	deniedFor  = 20 * time.Second // a refusal that stands this long is one
	pollEvery  = 2 * time.Second
	pollAtMost = 8 * time.Second
)

func askNetwork(q *Questions) *procedure.Procedure {
	n := &q.Facts.Network
	since := q.Now.Sub(q.Since)
	switch {
	case n.Now && q.Done["operator"] == 0:
		q.Done["operator"]++
		return ask("operator", try("AT+COPS?"), try("AT+CSQ"))
	case n.Now && n.Levels > 0, since >= searchFor:
		return nil
	case n.Now && q.Done["level"] >= 5:
		return nil
	case n.Now:
		q.Done["level"]++
		return ask("level", procedure.Step{Name: "wait", PauseMS: 2000}, try("AT+CSQ"))
	case n.Denied.Is() && q.Now.Sub(n.Denied.First.At) >= deniedFor:
		return nil
	case q.Facts.Module.Restarted >= 3:
		return nil
	}
	if radio, ok := q.Facts.Module.Radio.Get(); ok && (radio == 0 || radio == 4) && q.Round > 0 {
		return nil
	}
	steps := []procedure.Step{try("AT+CSQ"), try("AT+CREG?")}
	for _, other := range []string{"AT+CEREG?", "AT+CGREG?"} {
		if !q.Unsupported(other) {
			steps = append(steps, try(other))
		}
	}
	if q.Round%3 == 2 {
		steps = append(steps, try("AT+CPIN?"))
	}
	if q.Round > 0 {
		pause := min(pollEvery*time.Duration(q.Round), pollAtMost)
		steps = append([]procedure.Step{{Name: "wait", PauseMS: int(pause.Milliseconds())}}, steps...)
	}
	return ask("registration", steps...)
}

func judgeNetwork(f *Facts) Judgement {
	n := &f.Network
	if radio, ok := f.Module.Radio.Get(); ok && (radio == 0 || radio == 4) && !n.Now {
		return f.is(verdict.Broken, fmt.Sprintf("the radio is switched off (+CFUN: %d), so it looks for no network", radio), show{f.Module.RadioAt, "radio off"})
	}
	switch {
	case !n.Asked.Is() && n.Levels+n.NoLevels == 0:
		if f.Texts.Accepted.Is() {
			return f.is(verdict.Holds, "a text was accepted, which needs a network", show{f.Texts.Accepted.First, "accepted"})
		}
		return notShown("nobody asked for it (AT+CREG?, AT+CSQ)")
	case n.Denied.Is() && !n.Registered.Is():
		return f.is(verdict.Broken, "the network refuses the module"+causeSays(n), show{n.Denied.First, "registration denied, 27.007 7.2"}, show{n.LevelAt, levelSays(n)})
	case n.Lost >= 2:
		return f.is(verdict.Broken, fmt.Sprintf("registered, and lost it %s%s", times(n.Lost), comma(levelSays(n))), show{n.LostAt, "lost"}, show{n.Registered.First, "registered"}, show{n.Weak, "the weakest level"})
	case n.Lost == 1 && !n.Now:
		return f.is(verdict.Broken, "registered, lost it, and has not found it again"+comma(levelSays(n)), show{n.LostAt, "lost"}, show{n.Registered.First, "registered"})
	case n.Asked.Is() && !n.Registered.Is():
		return judgeSearch(f)
	}
	return judgeLevel(f)
}

// judgeSearch: it was asked, and never registered.
func judgeSearch(f *Facts) Judgement {
	n := &f.Network
	watched := n.Asked.Last.At.Sub(n.First)
	says := fmt.Sprintf("not registered in %s of asking", rulebook.Span(watched))
	if !f.Times() || watched < time.Second {
		says = fmt.Sprintf("not registered, asked %s", times(n.Asked.Times))
	}
	state := verdict.Broken
	// A look of a few seconds may just have come too early.
	if n.Asked.Times < 3 || f.Times() && watched < 20*time.Second && f.Walk == nil {
		state, says = verdict.NotShown, says+": too short a look to say more"
	}
	return f.is(state, says+comma(levelSays(n)), show{n.Asked.Last, "the last word"}, show{n.LevelAt, levelSays(n)})
}

// judgeLevel: it is registered, or nobody asked. Then the level decides.
func judgeLevel(f *Facts) Judgement {
	n := &f.Network
	where := "registered"
	if n.Roaming {
		where = "registered, roaming"
	}
	if n.Operator != "" {
		where += " with " + n.Operator
	}
	if n.Asked.Is() && f.Times() && n.FoundAt > n.First {
		where += " after " + rulebook.Span(n.FoundAt.Sub(n.First))
	}
	best, known := n.Best.Get()
	switch {
	case !n.Asked.Is() && !known:
		return f.is(verdict.Weak, "the module hears no network (+CSQ: 99)", show{n.LevelAt, "level not known"})
	case !n.Asked.Is() && best < usableLevel:
		return f.is(verdict.Weak, levelSays(n), show{n.LevelAt, "weak"})
	case !n.Asked.Is():
		return f.is(verdict.NotShown, levelSays(n)+"; nobody asked whether it is registered", show{n.LevelAt, "the level"})
	case known && best <= hopelessLevel:
		return f.is(verdict.Broken, where+", but at "+levelSays(n)+" nothing is sure", show{n.BestAt, "the best level"}, show{n.Registered.First, "registered"})
	case known && best < usableLevel:
		return f.is(verdict.Weak, where+", but only "+levelSays(n), show{n.BestAt, "the best level"}, show{n.Registered.First, "registered"})
	case n.Lost == 1:
		return f.is(verdict.Weak, where+", lost once in between"+comma(levelSays(n)), show{n.LostAt, "lost"}, show{n.Registered.Last, "registered again"})
	}
	return f.is(verdict.Holds, where+comma(levelSays(n)), show{n.Registered.First, "registered"}, show{n.LevelAt, "the level"})
}

// levelSays puts the levels into words: "-93 dBm (+CSQ 10)".
func levelSays(n *NetworkFacts) string {
	best, known := n.Best.Get()
	if !known {
		if n.NoLevels > 0 {
			return "no level (+CSQ 99)"
		}
		return ""
	}
	worst := n.Worst.Or(best)
	if worst == best {
		return fmt.Sprintf("%d dBm (+CSQ %d)", dBm(best), best)
	}
	return fmt.Sprintf("%d to %d dBm (+CSQ %d to %d)", dBm(worst), dBm(best), worst, best)
}

func comma(s string) string {
	if s == "" {
		return ""
	}
	return ", " + s
}

// rejectCauses are those of 24.008 10.5.3.6 and Annex G that a person can act on.
var rejectCauses = []struct {
	code    int
	means   string
	account bool // it speaks of the subscription or the device, not of the place
}{
	{2, "subscriber not known to the operator", true},
	{3, "subscriber or device not accepted", true},
	{6, "device not accepted", true},
	{7, "packet service not allowed for this subscription", true},
	{8, "no service allowed for this subscription", true},
	{11, "this network is not allowed", false},
	{12, "this area is not allowed", false},
	{13, "roaming is not allowed here", false},
	{14, "no packet service in this network", false},
	{15, "no suitable cell here", false},
	{17, "fault of the network", false},
	{22, "the network is crowded", false},
}

func causeSays(n *NetworkFacts) string {
	code, ok := n.Cause.Get()
	if !ok {
		return ""
	}
	for _, c := range rejectCauses {
		if c.code == code {
			return fmt.Sprintf(": cause %d, %s", code, c.means)
		}
	}
	return fmt.Sprintf(": cause %d", code)
}

// accountCause says whether the refusal speaks of the subscription; false, false when no cause was told.
func (n *NetworkFacts) accountCause() (yes, known bool) {
	code, ok := n.Cause.Get()
	if !ok {
		return false, false
	}
	for _, c := range rejectCauses {
		if c.code == code {
			return c.account, true
		}
	}
	return false, false
}

func quoteShort(s string) string { return strconv.Quote(short(s)) }

func short(s string) string {
	if len(s) > 60 {
		return strings.ToValidUTF8(s[:60], "") + "…"
	}
	return s
}
