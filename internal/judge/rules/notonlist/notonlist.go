// Package notonlist reports a device that looks a sender up, does not find him, and obeys.
package notonlist

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "notonlist",
	Title:    "a sender was looked up, not found, and obeyed",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.12 (+CPBR), 8.13 (+CPBF)", "common practice, no source (only numbers of a list are obeyed)"},
	Doc: `
Between a text and its answer the controller read the phone book, as devices do that keep there who may ask. The sender's number was not
among the entries, and the answer left all the same. Mostly only the last digits are compared, or the result of the comparison is not
looked at. Whoever learns the number of the device learns where it is.`,
	Silent: `
The phone book was not read between text and answer: a list in the controller cannot be seen. It was empty or could not be read. The
answer refuses. The number stands there without its country code.`,
	Remedy: `Compare whole numbers with their country code, and let a text of an unknown number pass without any answer.`,
	Watch:  watch,
}

const answers = 60 * time.Second // see the rule textloop

// refusals are words of an answer that did not obey.
var refusals = []string{"not allowed", "not done", "denied", "refused", "not on", "unknown", "wrong", "no right"}

func watch(p *rulebook.Pass) {
	var text *witness.Message
	var looked dialogue.Line // the last entry
	entries, found := 0, false
	for _, name := range [...]string{"+CPBR", "+CPBF"} {
		p.OnInfo(name, func(x *dialogue.Exchange, l dialogue.Line, a at.Answer) {
			if text == nil || len(a.Params) < 2 || x.AskedAt < text.Line.At {
				return
			}
			entries++
			looked = l
			found = found || sms.SameNumber(rulebook.Text(a.Params, 1), text.Party)
		})
	}
	p.OnMessage(func(m *witness.Message) {
		asked := text
		text = nil
		if !m.Out {
			entries, found = 0, false
			if m.Party != "" && !sms.ReadNumber(m.Party).Name {
				text = m
			}
			return
		}
		if asked == nil || entries == 0 || found || !sms.SameNumber(asked.Party, m.Party) || p.TimesKnown() && m.Line.Began.Sub(asked.Line.At) > answers {
			return
		}
		answer := strings.ToLower(m.Body)
		for _, r := range refusals {
			if strings.Contains(answer, r) {
				return
			}
		}
		who := "the one number that was looked up is not its sender's"
		if entries > 1 {
			who = fmt.Sprintf("none of the %d numbers that were looked up is its sender's", entries)
		}
		p.Report("a text was obeyed though "+who, p.See(m.Head, "the answer"), p.See(asked.Head, "its sender"), p.See(looked, "the list"))
	})
}
