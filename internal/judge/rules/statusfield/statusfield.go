// Package statusfield reports a controller that waits for a registration it already has.
package statusfield

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "statusfield",
	Title:    "waits for a registration that it already has",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 7.2 (+CREG: <n>,<stat>)", "3GPP TS 27.007, 10.1.20 (+CGREG), 10.1.22 (+CEREG)"},
	Doc: `
The answer to AT+CREG? is "+CREG: <n>,<stat>": the first number is the reporting mode, the second is
the status. Status 1 means registered at home, 5 registered while roaming; both are good (6 and 7 are
good for texts alone). A program that compares the whole answer with "0,1" waits for ever on a foreign
network, or as soon as the mode is not 0. And there are three places to ask: +CREG for circuits, +CGREG
and +CEREG for packets on 2G/3G and LTE; an LTE module may register in one of them only.`,
	Silent: `
The questions are more than 6 s apart, or fewer than ten: that is watching, not waiting. Anything but the
card, the signal, the clock and the registration was asked since the module registered: the program went
on. The answer "0,1", which every program knows.`,
	Remedy:    `Read the second number of the answer, take 1 and 5 as registered, and ask +CREG, +CGREG and +CEREG.`,
	Watch:     watch,
	OneDevice: true,
}

const (
	waits = 10              // questions in a row that look like waiting; our estimate
	pause = 6 * time.Second // between two of them; our estimate
)

// asides are questions a program may put while it waits.
var asides = map[string]bool{"+CREG": true, "+CGREG": true, "+CEREG": true, "+C5GREG": true, "+CSQ": true, "+CESQ": true, "+CPIN": true, "+COPS": true, "+CBC": true, "+CCLK": true}

func watch(p *rulebook.Pass) {
	var first, last *dialogue.Exchange // questions for the registration, since it is there
	var good witness.Registration
	count, said := 0, false
	p.OnAsked(func(x *dialogue.Exchange) {
		for i := range x.Parsed.Commands {
			c := &x.Parsed.Commands[i]
			if c.Form == at.Read || c.Name == "+CSQ" || c.Name == "+CESQ" {
				if asides[c.Name] {
					continue
				}
			}
			count, said = 0, false // it went on to something else
			return
		}
		if len(x.Parsed.Commands) > 0 && last != nil && p.TimesKnown() && x.AskedAt.Sub(last.DoneAt) > pause {
			count = 0
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if said || !asksRegistration(x) {
			return
		}
		r, ok := p.Known().Registered()
		if !ok || r.Line.Record > x.Command.Record || x.Is(r.Command) && r.Stat == 1 && modeIsZero(r) {
			count = 0 // it has just come, or it is what every program knows
			return
		}
		if count == 0 {
			first, good = x, r
		}
		count++
		last = x
		if count < waits {
			return
		}
		said = true
		p.Report(fmt.Sprintf("%s asked %d times more though the module is registered: %s", rulebook.LineName(x), count, why(x, good)),
			p.See(first.Command, "asked again, and so on"), p.See(good.Line, fmt.Sprintf("%s: %d is registered", good.Command, good.Stat)), p.See(last.Command, "still asking"))
	})
}

func modeIsZero(r witness.Registration) bool {
	a, _ := at.ParseAnswer(r.Line.Text)
	return r.Asked && rulebook.Text(a.Params, 0) == "0"
}

func why(x *dialogue.Exchange, good witness.Registration) string {
	switch {
	case !x.Is(good.Command):
		return fmt.Sprintf("%s says %d, another domain than the one asked", good.Command, good.Stat)
	case good.Stat == 5:
		return good.Command + " says 5, which is registered too (roaming)"
	case good.Stat == 1:
		return good.Command + " says 1; is the first number of the answer, the mode, taken for the status?"
	}
	return fmt.Sprintf("%s says %d", good.Command, good.Stat)
}

func asksRegistration(x *dialogue.Exchange) bool {
	for _, name := range [...]string{"+CREG", "+CGREG", "+CEREG", "+C5GREG"} {
		if c, ok := x.Parsed.Find(name); ok && c.Form == at.Read {
			return true
		}
	}
	return false
}
