package bringup

import (
	"strings"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/maybe"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// TextFacts are what was shown about short messages.
type TextFacts struct {
	Centre     maybe.Value[string] // +CSCA; known and "" when the card has none
	CentreAt   dialogue.Line
	Mode       maybe.Value[int] // +CMGF
	InText     bool             // it was in text mode at some time
	Coding     maybe.Value[int] // +CSMP, the fourth value
	FirstOctet maybe.Value[int]
	CodingAt   dialogue.Line
	Alphabet   string // +CSCS
	AlphabetAt dialogue.Line
	Used       maybe.Value[int] // of the store where texts arrive
	Total      maybe.Value[int]
	StoreAt    dialogue.Line
	Reports    maybe.Value[int] // +CNMI, mt
	ReportsAt  dialogue.Line

	Sends      int
	Accepted   Seen
	Refused    Seen // sent and answered with an error
	NoPrompt   Seen // asked to send and answered with an error before any prompt
	NoWord     Seen // sent and never answered
	Unreadable Seen // went out so that no one can read it
	Problem    string
	// What Problem repeats of a text, so that reports can hide it.
	problemQuotes string
	Arrived       Seen
	Own           Seen   // one of our own that came back
	OwnPlace      string // its index in the store
	OwnChanged    Seen   // it came back with another body
	OwnReads      string
	Echoes        int // texts that went back to where they came from, or to ourselves
	Signalled     Seen
	reference     dialogue.Line // a +CMGS that stood outside its exchange
	sent          []string      // the last bodies
}

const maxBodies = 16 // bodies kept to recognise our own

func (f *Facts) watchTexts(p *rulebook.Pass) {
	t := &f.Texts
	f.watchTextSettings(p)
	p.OnMessage(func(m *witness.Message) {
		f.Counts.Messages++
		if m.Out {
			t.Sends++
			if m.Problem != "" {
				t.Unreadable.see(m.Line)
				t.Problem, t.problemQuotes = m.Problem, m.Effect.Quotes
			}
			if len(t.sent) == maxBodies {
				t.sent = append(t.sent[:0], t.sent[1:]...)
			}
			t.sent = append(t.sent, m.Body, m.Raw)
			return
		}
		t.Arrived.see(m.Line)
		f.own(m)
	})
	for _, name := range []string{"+CMGS", "+CMSS"} {
		p.OnResult(name, func(x *dialogue.Exchange, c *at.Command) {
			switch {
			case c.Form != at.Set || x.TextEnd == 0x1b:
			case x.Result.Kind == at.OK && f.hasReference(x, name):
				t.Accepted.see(x.Final)
			case x.Result.Failed() && x.Prompt.IsZero() && name == "+CMGS":
				t.NoPrompt.see(x.Final)
			case x.Result.Failed():
				t.Refused.see(x.Final)
			case x.TextEnd == 0x1a:
				t.NoWord.see(x.Text)
			}
		})
	}
	p.OnReport("+CMGS", func(l, _ dialogue.Line, _ at.Answer) { t.reference = l })
	p.OnReport("+CMTI", func(l, _ dialogue.Line, _ at.Answer) { t.Signalled.see(l) })
}

// hasReference says that a text was given its reference: only "+CMGS: <mr>" and then OK
// mean that the service centre took it (27.005 3.5.1). An OK alone belongs to something else.
func (f *Facts) hasReference(x *dialogue.Exchange, name string) bool {
	for _, l := range x.Info {
		if got, _ := at.AnswerName(l.Text); got == name {
			return true
		}
	}
	// It may have been taken for a line said unasked, where much is said at once.
	r := f.Texts.reference
	return !r.IsZero() && r.Record > x.Command.Record && r.Record <= x.Final.Record
}

// own sees whether a text that arrived is one that was sent from here.
func (f *Facts) own(m *witness.Message) {
	t := &f.Texts
	own := sameNumber(m.Party, f.Card.Number) || f.Walk != nil && sameNumber(m.Party, f.Walk.Number)
	if !own || len(t.sent) == 0 {
		return
	}
	for _, body := range t.sent {
		if body != "" && body == m.Body {
			t.Own.see(m.Line)
			// 27.005 3.4.2: +CMGL: <index>,…
			if a, ok := at.ParseAnswer(m.Head.Text); ok && a.Name == "+CMGL" {
				t.OwnPlace = rulebook.Text(a.Params, 0)
			}
			return
		}
	}
	t.OwnChanged.see(m.Line)
	t.OwnReads = m.Body
}

// sameNumber compares two numbers that may be written with and without country code.
func sameNumber(a, b string) bool {
	a, b = digitsOf(a), digitsOf(b)
	if len(a) > len(b) {
		a, b = b, a
	}
	return len(a) >= 7 && strings.HasSuffix(b, a) // shorter ones are service numbers
}

func digitsOf(s string) string {
	return strings.TrimLeft(strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, s), "0")
}

func (f *Facts) watchTextSettings(p *rulebook.Pass) {
	t := &f.Texts
	p.OnInfo("+CSCA", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		t.Centre, t.CentreAt = maybe.Known(rulebook.Text(a.Params, 0)), l
	})
	set := func(name string, f func(x *dialogue.Exchange, c *at.Command)) {
		p.OnResult(name, func(x *dialogue.Exchange, c *at.Command) {
			if c.Form == at.Set && x.Result.Kind == at.OK {
				f(x, c)
			}
		})
	}
	set("+CSCA", func(x *dialogue.Exchange, c *at.Command) {
		t.Centre, t.CentreAt = maybe.Known(rulebook.Text(c.Params, 0)), x.Command
	})
	mode := func(l dialogue.Line, params []at.Param) {
		if n, ok := rulebook.Int(params, 0); ok {
			t.Mode = maybe.Known(n)
			t.InText = t.InText || n == 1
		}
	}
	p.OnInfo("+CMGF", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) { mode(l, a.Params) })
	set("+CMGF", func(x *dialogue.Exchange, c *at.Command) { mode(x.Command, c.Params) })
	coding := func(l dialogue.Line, params []at.Param) {
		if n, ok := rulebook.Int(params, 0); ok {
			t.FirstOctet = maybe.Known(n)
		}
		if n, ok := rulebook.Int(params, 3); ok {
			t.Coding, t.CodingAt = maybe.Known(n), l
		}
	}
	p.OnInfo("+CSMP", func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) { coding(l, a.Params) })
	set("+CSMP", func(x *dialogue.Exchange, c *at.Command) { coding(x.Command, c.Params) })
	alphabet := func(l dialogue.Line, params []at.Param) {
		if s := rulebook.Text(params, 0); s != "" && !strings.HasPrefix(s, "(") {
			t.Alphabet, t.AlphabetAt = s, l
		}
	}
	p.OnInfo("+CSCS", func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) { alphabet(l, a.Params) })
	set("+CSCS", func(x *dialogue.Exchange, c *at.Command) { alphabet(x.Command, c.Params) })
	p.OnInfo("+CNMI", func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) {
		if n, ok := rulebook.Int(a.Params, 1); ok {
			t.Reports, t.ReportsAt = maybe.Known(n), l
		}
	})
	set("+CNMI", func(x *dialogue.Exchange, c *at.Command) {
		if n, ok := rulebook.Int(c.Params, 1); ok {
			t.Reports, t.ReportsAt = maybe.Known(n), x.Command
		}
	})
	p.OnInfo("+CPMS", func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) { f.store(l, a) })
}

// store reads +CPMS: the read answer has a name before each pair of figures, the
// answer to a set has only the figures; the third pair is where texts arrive (27.005 3.2.2).
func (f *Facts) store(l dialogue.Line, a at.Answer) {
	var figures []int
	for i := range a.Params {
		if n, ok := rulebook.Int(a.Params, i); ok {
			figures = append(figures, n)
		}
	}
	if len(figures) < 2 {
		return
	}
	last := len(figures) - len(figures)%2 - 2
	t := &f.Texts
	t.Used, t.Total, t.StoreAt = maybe.Known(figures[last]), maybe.Known(figures[last+1]), l
}

// Full says that the store where texts arrive is known to be full.
func (t *TextFacts) Full() bool {
	used, ok := t.Used.Get()
	total, ok2 := t.Total.Get()
	return ok && ok2 && total > 0 && used >= total
}

// Plain says whether plain letters sent in text mode arrive as plain letters: the coding
// group is the 7-bit alphabet (23.038 4). Not known when +CSMP was never seen.
func (t *TextFacts) Plain() (plain, known bool) {
	dcs, ok := t.Coding.Get()
	if !ok {
		return false, false
	}
	switch {
	case dcs&0xc0 == 0x00, dcs&0xc0 == 0x40: // general groups, with and without deletion
		return dcs&0x0c == 0x00, true
	case dcs&0xf0 == 0xf0: // coding and class
		return dcs&0x04 == 0x00, true
	case dcs&0xf0 == 0xe0: // waiting indication, UCS2
		return false, true
	}
	return true, true // C0 and D0: waiting indication, 7-bit; the rest is reserved and read as 7-bit
}
