// Package bitflips reports single characters that change on the line.
package bitflips

import (
	"fmt"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "bitflips",
	Title:    "single characters of the answers are wrong",
	Severity: finding.Warning,
	Cites:    []string{"common practice, no source (a serial port made in software)", "V.250, 5.7.1 (results are spelled OK, ERROR)"},
	Doc: `
Most of an answer is right and one character is not: +CRE& for +CREG, O+ for OK. A wrong speed spoils every character,
this spoils a few: a port that is made in software misses its moment when another interrupt runs, the two clocks differ
by a few percent, or noise gets in. It grows with the speed. A program that looks for OK never finds it.`,
	Silent: `
One wrong character in a whole recording; the text of a message; sentences, whose sums other rules count.`,
	Remedy: `Use a hardware port for the module, or 9600 bit/s on one made in software; compare the clocks (each must be within 2 %).`,
	Watch:  watch,
}

const enough = 2

func watch(p *rulebook.Pass) {
	count := 0
	var first dialogue.Line
	var meant string
	flip := func(l dialogue.Line, want string) {
		if count++; count == 1 {
			first, meant = l, want
		}
		if count == enough {
			p.Report(fmt.Sprintf("%q came, and %q was meant; before it %q for %q", l.Text, want, first.Text, meant), p.See(l, "one character is wrong"), p.See(first, "the first of them"))
		}
	}
	look := func(l dialogue.Line, x *dialogue.Exchange) {
		if want, ok := nearResult(l.Text); ok {
			flip(l, want)
			return
		}
		if x == nil {
			return
		}
		for i := range x.Parsed.Commands {
			name := x.Parsed.Commands[i].Name
			if len(name) > 3 && len(l.Text) > len(name)+1 && oneOff(l.Text[:len(name)+1], name+":") {
				flip(l, name+l.Text[len(name):])
				return
			}
		}
	}
	var last *dialogue.Exchange
	p.OnAsked(func(x *dialogue.Exchange) { last = x })
	p.OnUnsolicited(func(l, body dialogue.Line, a at.Answer) {
		if body.IsZero() && a.Name == "" {
			look(l, last)
		}
	})
	p.OnGarbled(func(l dialogue.Line) { look(l, last) })
	p.OnAnswered(func(x *dialogue.Exchange) {
		if x.Is("+CMGR") || x.Is("+CMGL") {
			return
		}
		for _, l := range x.Info {
			if n, _ := at.AnswerName(l.Text); n == "" || !x.Is(n) {
				look(l, x)
			}
		}
	})
}

// nearResult finds a result code that differs in one character; of OK only one
// that makes no word.
func nearResult(t string) (string, bool) {
	if len(t) == 2 && oneOff(t, "OK") && !word(t) {
		return "OK", true
	}
	return "ERROR", oneOff(t, "ERROR")
}

func oneOff(a, b string) bool {
	n := 0
	for i := range len(a) {
		if len(a) != len(b) {
			return false
		}
		if a[i] != b[i] {
			n++
		}
	}
	return n == 1
}

func word(t string) bool {
	for i := range len(t) {
		if c := t[i] | 0x20; (c < 'a' || c > 'z') && (t[i] < '0' || t[i] > '9') {
			return false
		}
	}
	return true
}
