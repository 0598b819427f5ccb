// Package restartbytext reports a text that restarts the device each time it is read.
package restartbytext

import (
	"slices"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "restartbytext",
	Title:    "a stored text restarts the device each time it is read",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.11 (service-centre time stamp)", "common practice, no source (delete before acting)"},
	Doc: `
Somebody asked for a restart by text. The device restarts before it has deleted the text, finds it again when it is back, and restarts, for
ever. The sender's number and the stamp of the service centre together are unlike those of any other text: it is the same one.`,
	Silent: `
A new text with the same words: its stamp is another. The text holds no word that asks for a restart, the restart comes
more than a minute after it was read, or the text has no stamp.`,
	Remedy: `Delete the text, and wait for OK, before carrying out what it asks for; refuse a text whose sender and stamp were obeyed before.`,
	Watch:  watch,
}

const (
	obeyed = 60 * time.Second // an action comes within it; as in the rule textloop
	kept   = 8                // texts that led to a restart
)

// asks are words that ask for a restart: our choice.
var asks = []string{"reset", "restart", "reboot", "reload", "factory"}

type cause struct {
	party, raw string
	stamp      time.Time
	head       dialogue.Line
	said       bool
}

func watch(p *rulebook.Pass) {
	if !p.TimesKnown() {
		return
	}
	var text *witness.Message
	var causes [kept]cause
	next := 0
	p.OnMessage(func(m *witness.Message) {
		if m.Out {
			return
		}
		text = nil
		words := strings.FieldsFunc(strings.ToLower(m.Body), func(r rune) bool { return r < '0' || r > '9' && r < 'a' || r > 'z' })
		if m.Stamp.IsKnown() && m.Party != "" && slices.ContainsFunc(words, func(w string) bool { return slices.Contains(asks, w) }) {
			text = m
		}
	})
	p.OnRestart(func(r witness.Restart) {
		m := text
		text = nil
		if m == nil || r.At.Sub(m.Line.At) > obeyed {
			return
		}
		stamp, _ := m.Stamp.Get()
		for i := range causes {
			c := &causes[i]
			if c.party != m.Party || c.raw != m.Raw || !c.stamp.Equal(stamp) {
				continue
			}
			if !c.said {
				c.said = true
				p.Report("the text "+p.Quote(m.Body)+" was read again after a restart, and the next restart began "+rulebook.Span(r.At.Sub(m.Line.At))+" later",
					p.See(r.Line, r.Why), p.See(m.Head, "read again"), p.See(c.head, "read the first time"))
			}
			return
		}
		causes[next] = cause{m.Party, m.Raw, stamp, m.Head, false}
		next = (next + 1) % kept
	})
}
