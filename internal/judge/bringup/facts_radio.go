package bringup

import (
	"time"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/maybe"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// CardState is what the module said about its card.
type CardState string

// The states of a card: 27.007 8.3 and the errors of 9.2 and 27.005 3.2.5.
const (
	CardReady   CardState = "ready"
	CardPIN     CardState = "PIN wanted"
	CardPUK     CardState = "PUK wanted"
	CardLocked  CardState = "other lock"
	CardMissing CardState = "missing"
	CardFailed  CardState = "failure"
	CardBusy    CardState = "busy"
	CardWrong   CardState = "wrong password"
)

// CardFacts are what the module said about its card.
type CardFacts struct {
	Last      CardState // "" when nothing was said
	LastAt    dialogue.Line
	Ready     Seen
	PIN       Seen
	PUK       Seen
	Lock      Seen
	Missing   Seen // errors 10 and 310
	Failed    Seen // errors 13 and 313
	Wrong     Seen // error 16
	Lost      int  // changes from ready to missing, failure or PIN without a restart in between
	LostAt    dialogue.Line
	Back      int // and back to ready
	TriesLeft maybe.Value[int]
	Number    string // +CNUM
	Changes   int
	settled   bool // the card had its time to become ready, or was ready once
	started   when.Instant
}

// cardPatience is how long a card may need after a start: common practice waits 20 to 30 s.
const cardPatience = 30 * time.Second

// cardCodes says what an error of any command tells about the card. 27.007 9.2; 27.005 3.2.5.
var cardCodes = []struct {
	kind  at.ResultKind
	code  int
	state CardState
}{
	{at.CMEError, 10, CardMissing}, {at.CMEError, 11, CardPIN}, {at.CMEError, 12, CardPUK},
	{at.CMEError, 13, CardFailed}, {at.CMEError, 14, CardBusy}, {at.CMEError, 15, CardFailed}, {at.CMEError, 16, CardWrong},
	{at.CMSError, 310, CardMissing}, {at.CMSError, 311, CardPIN}, {at.CMSError, 313, CardFailed},
	{at.CMSError, 314, CardBusy}, {at.CMSError, 315, CardFailed}, {at.CMSError, 316, CardPUK},
}

// cardWords says what +CPIN tells. 27.007 8.3.
var cardWords = map[string]CardState{
	"READY": CardReady, "SIM PIN": CardPIN, "SIM PUK": CardPUK, "NOT INSERTED": CardMissing,
	"NOT READY": CardBusy, // not of the standard: common practice, no source
}

func (f *Facts) watchCard(p *rulebook.Pass) {
	p.OnRestart(func(r witness.Restart) {
		f.Card.started, f.Card.settled = r.At, false
		f.Card.Last = ""
	})
	word := func(l dialogue.Line, a at.Answer) {
		text := rulebook.Text(a.Params, 0)
		state, ok := cardWords[text]
		if !ok && text != "" {
			state = CardLocked
		}
		if state != "" {
			f.card(state, l)
		}
	}
	p.OnInfo("+CPIN", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) { word(l, a) })
	p.OnReport("+CPIN", func(l, _ dialogue.Line, a at.Answer) { word(l, a) })
	p.OnAnswered(func(x *dialogue.Exchange) {
		if !x.Result.Failed() {
			return
		}
		for _, c := range cardCodes {
			if x.Result.Kind == c.kind && rulebook.Code(x.Result) == c.code {
				f.card(c.state, x.Final)
			}
		}
	})
	// 27.007 8.65: +CPINR: <code>,<retries>,<default retries>.
	p.OnInfo("+CPINR", func(_ *dialogue.Exchange, _ dialogue.Line, a at.Answer) {
		if n, ok := rulebook.Int(a.Params, 1); ok && rulebook.Text(a.Params, 0) == "SIM PIN" {
			f.Card.TriesLeft = maybe.Known(n)
		}
	})
	// 27.007 7.1: +CNUM: [<alpha>],<number>,<type>.
	p.OnInfo("+CNUM", func(_ *dialogue.Exchange, _ dialogue.Line, a at.Answer) {
		if n := rulebook.Text(a.Params, 1); n != "" && f.Card.Number == "" {
			f.Card.Number = n
		}
	})
}

// card takes in one word about the card.
func (f *Facts) card(state CardState, l dialogue.Line) {
	c := &f.Card
	if state == CardReady || f.Times() && l.At.Sub(c.started) >= cardPatience {
		c.settled = true
	}
	before := c.Last
	if before != state {
		c.Changes++
	}
	lost := state == CardMissing || state == CardFailed || state == CardPIN
	switch {
	case before == CardReady && lost:
		c.Lost++
		c.LostAt = l
	case c.Lost > 0 && before != CardReady && state == CardReady:
		c.Back++
	}
	if state != CardBusy && state != CardWrong {
		c.Last, c.LastAt = state, l
	}
	switch state {
	case CardReady:
		c.Ready.see(l)
	case CardPIN:
		c.PIN.see(l)
	case CardPUK:
		c.PUK.see(l)
	case CardLocked:
		c.Lock.see(l)
	case CardMissing:
		c.Missing.see(l)
	case CardFailed:
		c.Failed.see(l)
	case CardWrong:
		c.Wrong.see(l)
	}
}

// NetworkFacts are what the module said about the network.
type NetworkFacts struct {
	Asked      Seen // words about registration
	Registered Seen
	Roaming    bool
	Command    string       // that said so last
	First      when.Instant // of the first word
	FoundAt    when.Instant // of the first registered one
	Denied     Seen
	Cause      maybe.Value[int]
	Searching  Seen
	Idle       Seen // 0: not searching
	Lost       int  // changes from registered to anything else, without a restart in between
	LostAt     dialogue.Line
	Now        bool // registered in some domain, by the last words
	Circuit    Seen // words of +CREG that say registered, and
	NoCircuit  Seen // those that do not
	Packet     Seen // words of +CGREG and +CEREG that say registered

	Levels       int // +CSQ answers with a level
	NoLevels     int // with 99
	LevelNow     maybe.Value[int]
	Best, Worst  maybe.Value[int] // +CSQ
	BestAt, Weak dialogue.Line
	LevelAt      dialogue.Line

	Operator   string // +COPS
	OperatorAt dialogue.Line
	Mode       maybe.Value[int] // +COPS: 0 automatic, 1 manual, 2 off
	Found      maybe.Value[int] // networks in the answer of +COPS=?
	FoundLine  dialogue.Line
}

func (f *Facts) watchNetwork(p *rulebook.Pass) {
	n := &f.Network
	registered := map[string]bool{}
	p.OnRestart(func(witness.Restart) { clear(registered); n.Now = false })
	p.OnRegistration(func(r *witness.Registration) {
		if !n.Asked.Is() {
			n.First = r.Line.At
		}
		n.Asked.see(r.Line)
		switch {
		case r.Command != "+CREG" && r.Registered():
			n.Packet.see(r.Line)
		case r.Command == "+CREG" && r.Registered():
			n.Circuit.see(r.Line)
		case r.Command == "+CREG":
			n.NoCircuit.see(r.Line)
		}
		if registered[r.Command] && !r.Registered() {
			n.Lost++
			n.LostAt = r.Line
			clear(registered) // what other domains said before is stale
		}
		registered[r.Command] = r.Registered()
		n.Now = false
		for _, yes := range registered { // only whether any: order does not matter
			n.Now = n.Now || yes
		}
		switch {
		case r.Registered():
			if !n.Registered.Is() {
				n.FoundAt = r.Line.At
			}
			n.Registered.see(r.Line)
			n.Command = r.Command
			n.Roaming = r.Stat == 5 || r.Stat == 7 || r.Stat == 10
		case r.Stat == 3:
			n.Denied.see(r.Line)
			if cause, ok := r.Cause.Get(); ok {
				n.Cause = maybe.Known(cause)
			}
		case r.Stat == 2:
			n.Searching.see(r.Line)
		case r.Stat == 0:
			n.Idle.see(r.Line)
		}
	})
	f.watchCalls(p)
	p.OnInfo("+CSQ", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) { f.level(l, a) })
	p.OnInfo("+COPS", func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) { f.operator(x, l, a) })
}

// level reads +CSQ: <rssi>,<ber>; dBm = -113 + 2 n, 99 not known (27.007 8.5).
func (f *Facts) level(l dialogue.Line, a at.Answer) {
	n := &f.Network
	rssi, ok := rulebook.Int(a.Params, 0)
	switch {
	case !ok || rssi < 0 || (rssi > 31 && rssi != 99):
		return
	case rssi == 99:
		n.NoLevels++
		n.LevelNow, n.LevelAt = maybe.Value[int]{}, l
		return
	}
	n.Levels++
	n.LevelNow, n.LevelAt = maybe.Known(rssi), l
	if best, known := n.Best.Get(); !known || rssi > best {
		n.Best, n.BestAt = maybe.Known(rssi), l
	}
	if worst, known := n.Worst.Get(); !known || rssi < worst {
		n.Worst, n.Weak = maybe.Known(rssi), l
	}
}

// operator reads +COPS: <mode>[,<format>,<oper>] and the list of +COPS=? (27.007 7.3).
func (f *Facts) operator(x *dialogue.Exchange, l dialogue.Line, a at.Answer) {
	n := &f.Network
	c, _ := x.Parsed.Find("+COPS")
	if c.Form == at.Test {
		count := 0
		for _, p := range a.Params {
			if len(p.Text) > 0 && p.Text[0] == '(' {
				count++
			}
		}
		// The list ends with two empty groups of modes and formats: ",,(0,1,…),(0,1,2)".
		n.Found, n.FoundLine = maybe.Known(max(count-2, 0)), l
		return
	}
	if mode, ok := rulebook.Int(a.Params, 0); ok {
		n.Mode, n.OperatorAt = maybe.Known(mode), l
	}
	if name := rulebook.Text(a.Params, 2); name != "" {
		n.Operator, n.OperatorAt = name, l
	}
}

// dBm turns a +CSQ level into dBm, 27.007 8.5.
func dBm(level int) int { return 2*level - 113 }

// CallFacts are what was seen of calls that came in.
type CallFacts struct {
	Rings Seen // RING lines
	Shown Seen // +CLIP lines with a number, 27.007 7.11
}

func (f *Facts) watchCalls(p *rulebook.Pass) {
	p.OnUnsolicited(func(l, _ dialogue.Line, _ at.Answer) {
		if l.Text == "RING" {
			f.Calls.Rings.see(l)
		}
	})
	p.OnReport("+CLIP", func(l, _ dialogue.Line, a at.Answer) {
		if rulebook.Text(a.Params, 0) != "" {
			f.Calls.Shown.see(l)
		}
	})
}
