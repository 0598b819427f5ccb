// Package answersanyone reports a device that obeys whoever writes to it.
package answersanyone

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "answersanyone",
	Title:    "the same command is obeyed from several numbers, without a code",
	Severity: finding.Note,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.7 (the sender is not proved; from memory)", "common practice, no source (a list of numbers and a code)"},
	Doc: `
Three different numbers sent the same command, with no code in it, and each was obeyed. Perhaps all three are on a list. If there is no list,
anybody who has the number can ask where the trailer is, and numbers of devices are easily guessed. Where a person travels with it, that
is their whereabouts.`,
	Silent: `
Fewer than three numbers; a code, or anything else with four digits, in the text; the answers refuse.`,
	Remedy: `Keep a list of numbers that may ask, compare them in full with their country code, and ask for a code where more than a position is at stake.`,
	Watch:  watch,
}

const (
	answers = 60 * time.Second // see the rule textloop
	parties = 3
	words   = 8 // different commands watched
)

type command struct {
	text    string
	parties []string
	first   dialogue.Line
}

func watch(p *rulebook.Pass) {
	var in *witness.Message
	var seen []*command
	p.OnMessage(func(m *witness.Message) {
		if !m.Out {
			in = nil
			if m.Party != "" && len(m.Body) > 0 && len(m.Body) <= 24 && !fourDigits(m.Body) && !sms.ReadNumber(m.Party).Name {
				in = m
			}
			return
		}
		text := in
		in = nil
		if text == nil || !sms.SameNumber(text.Party, m.Party) || p.TimesKnown() && m.Line.Began.Sub(text.Line.At) > answers {
			return
		}
		for _, refusal := range [...]string{"denied", "not allowed", "unknown", "wrong"} {
			if strings.Contains(strings.ToLower(m.Body), refusal) {
				return
			}
		}
		word := strings.ToUpper(strings.TrimSpace(text.Body))
		i := slices.IndexFunc(seen, func(c *command) bool { return c.text == word })
		if i < 0 {
			if len(seen) == words {
				return
			}
			i = len(seen)
			seen = append(seen, &command{text: word, first: text.Head})
		}
		c := seen[i]
		if slices.Contains(c.parties, text.Party) || len(c.parties) >= parties {
			return
		}
		if c.parties = append(c.parties, text.Party); len(c.parties) == parties {
			p.Report(fmt.Sprintf("%d numbers sent the same command without a code, and each was obeyed", parties), p.See(text.Head, "the third number"), p.See(c.first, "the first"), p.See(m.Head, "obeyed"))
		}
	})
}

func fourDigits(t string) bool {
	n := 0
	for i := range len(t) {
		if t[i] >= '0' && t[i] <= '9' {
			n++
		}
	}
	return n >= 4
}
