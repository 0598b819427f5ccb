package bringup

import (
	"fmt"

	"firstfix/internal/judge/verdict"
	"firstfix/internal/script/procedure"
)

// simcard: the card is there, stays there, and asks for nothing more.
var simcard = &Check{Link: Card, Title: "Card", Needs: []string{Supply, Module}, Ask: askSimcard, Verdict: judgeSimcard}

// cardTries: a card may need 20 s after a start (common practice, no source).
const cardTries = 6

func askSimcard(q *Questions) *procedure.Procedure {
	c := &q.Facts.Card
	switch {
	case c.Last == CardReady && q.Round > 0:
		return nil
	case c.Last == CardPIN && q.Round > 0:
		return askPIN(q)
	case (c.Last == CardPUK || c.Last == CardLocked) && q.Round > 0, q.Round >= cardTries:
		return nil
	case q.Round == 0:
		return ask("card", try("AT+CPIN?"))
	}
	step := try("AT+CPIN?")
	return ask("card-again", procedure.Step{Name: "wait", PauseMS: 3000}, step)
}

// askPIN gives the PIN, if the person gave one for this run and the card is known to have
// two tries left or was not asked yet. procedure guards the same again.
func askPIN(q *Questions) *procedure.Procedure {
	left, known := q.Facts.Card.TriesLeft.Get()
	switch {
	case q.Done["tries"] == 0:
		q.Done["tries"]++
		return ask("tries-left", try("AT+CPINR")) // 27.007 8.65; many modules do not know it
	case q.Options.PIN == "" || q.Done["pin"] > 0 || known && left < 2:
		return nil
	}
	q.Done["pin"]++
	return ask("pin", procedure.Step{Name: "PIN", Send: `AT+CPIN="{pin}"`, MaxWaitMS: 10_000, PauseMS: 2000, On: goOn},
		procedure.Step{Name: "card", Send: "AT+CPIN?", Until: &procedure.Until{Answer: "+CPIN", Param: 1, OneOf: []string{"READY"}}, Tries: 4, BackoffMS: 1000, On: goOn})
}

func judgeSimcard(f *Facts) Judgement {
	c := &f.Card
	switch {
	case c.PUK.Is() && c.Last == CardPUK:
		return f.is(verdict.Broken, "the card is blocked and wants its PUK", show{c.PUK.Last, "PUK wanted"}, show{c.Wrong.First, "a wrong PIN before"})
	case c.Last == CardPIN && c.Lost == 0:
		says := "the card wants its PIN"
		if left, ok := c.TriesLeft.Get(); ok {
			says += fmt.Sprintf(", with %s left", plural(left, "try", "tries"))
		}
		return f.is(verdict.Broken, says, show{c.PIN.Last, "PIN wanted"}, show{c.Wrong.First, "a wrong PIN"})
	case c.Lost > 0:
		return f.is(verdict.Broken, fmt.Sprintf("the card was ready and went away, %s", times(c.Lost)),
			show{c.LostAt, "gone"}, show{c.Ready.First, "it was there"})
	case c.Last == CardMissing:
		return f.is(verdict.Broken, "the module finds no card", show{c.Missing.First, "no card, 27.007 9.2"})
	case c.Last == CardFailed:
		return f.is(verdict.Broken, "the module cannot read the card", show{c.Failed.First, "card failure, 27.007 9.2"})
	case c.Last == CardLocked:
		return f.is(verdict.Broken, "the card or the module is locked to something else", show{c.Lock.Last, "which lock, 27.007 8.3"})
	case c.Last == CardReady && (c.Missing.Is() || c.Failed.Is()):
		return f.is(verdict.Holds, "ready, after it was not at first", show{c.Ready.First, "ready"}, show{c.Missing.First, "not yet"}, show{c.Failed.First, "not yet"})
	case c.Last == "" && c.Ready.Is():
		return f.is(verdict.Holds, "ready, before the module started anew", show{c.Ready.First, "ready"})
	case c.Last == CardReady:
		return f.is(verdict.Holds, "ready", show{c.Ready.First, "ready"})
	case f.Network.Registered.Is():
		return f.is(verdict.Holds, "the module registered, which needs a card", show{f.Network.Registered.First, "registered"})
	case f.Texts.Accepted.Is():
		return f.is(verdict.Holds, "a text was accepted, which needs a card", show{f.Texts.Accepted.First, "accepted"})
	}
	return notShown("nobody asked for it (AT+CPIN?)")
}
