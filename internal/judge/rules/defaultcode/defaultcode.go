// Package defaultcode reports a device that obeys a code that everybody tries first.
package defaultcode

import (
	"slices"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "defaultcode",
	Title:    "a command with a code that everybody tries first is obeyed",
	Severity: finding.Warning,
	Cites:    []string{"ETSI EN 303 645, 5.1 (no universal default passwords; from memory)", "3GPP TS 23.040, 9.2.3.7 (the sender is not proved; from memory)"},
	Doc: `
The device obeys texts that carry 0000, 1234 or 123456. Numbers of devices are handed out in rows, so whoever finds one finds the others, and
the same code opens them all. The sender's number is no proof either: it can be forged. Give each device a code of its own, and let nothing
dangerous be done by text.`,
	Silent: `
The answer says that the code was wrong; no answer within a minute; the digits stand alone or inside a longer number; a
text of the device's own that comes back.`,
	Remedy: `Give every unit its own code of eight signs or more, lock it after five wrong ones, and confirm each command to the owner.`,
	Watch:  watch,
}

const answers = 60 * time.Second // see the rule textloop

// codes are those that people try first: common practice, no source.
var codes = []string{"0000", "1111", "1234", "4321", "9999", "00000", "12345", "000000", "111111", "123456", "666666", "888888", "12345678", "password", "admin"}

// refusals are words of an answer that did not obey.
var refusals = []string{"wrong", "denied", "invalid", "bad", "refused", "error", "unknown", "not allowed"}

func watch(p *rulebook.Pass) {
	var in *witness.Message
	own, said := "", false // own: the last text that left; one that comes back is a test
	p.OnMessage(func(m *witness.Message) {
		if !m.Out {
			in = nil
			if m.Body == own {
				return
			}
			words := strings.FieldsFunc(strings.ToLower(m.Body), func(r rune) bool { return strings.ContainsRune(" ,;:#*=\r\n\t", r) })
			if len(words) < 2 || len(words) > 8 || m.Party == "" {
				return
			}
			for _, w := range words {
				if slices.Contains(codes, w) {
					in = m
				}
			}
			return
		}
		text := in
		in, own = nil, m.Body
		if text == nil || said || !sms.SameNumber(text.Party, m.Party) || p.TimesKnown() && m.Line.Began.Sub(text.Line.At) > answers {
			return
		}
		answer := strings.ToLower(m.Body)
		for _, r := range refusals {
			if strings.Contains(answer, r) {
				return
			}
		}
		said = true
		p.Report("a text with one of the codes that everybody tries first was obeyed", p.See(text.Head, "the text"), p.See(m.Head, "the answer"))
	})
}
