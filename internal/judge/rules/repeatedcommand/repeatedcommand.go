// Package repeatedcommand reports a received text that is obeyed twice.
package repeatedcommand

import (
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "repeatedcommand",
	Title:    "the same text is obeyed twice",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.11 (service-centre time stamp)", "common practice, no source (delete before acting)"},
	Doc: `
The device reads its store at every start, finds a text that it answered yesterday and answers it again. With WHERE that costs a text;
with a command that switches something it is dangerous. The sender's number and the stamp of the service centre together are unlike those
of any other text: remember the last one, or delete the text before acting on it.`,
	Silent: `
A person who asks again: the stamp is another one. Reading a text again without answering it. Texts that are handed
over as they come (+CMT) and not kept.`,
	Remedy: `Delete a text before acting on it, or remember sender and stamp of the last one in memory that survives a restart.`,
	Watch:  watch,
}

const (
	answers  = 60 * time.Second // an answer comes within it; see the rule textloop
	kept     = 16
	thenWait = 10 // commands, where times are not known
)

type obeyed struct {
	party, raw string
	stamp      time.Time
	line       dialogue.Line
	answered   bool
}

func watch(p *rulebook.Pass) {
	var texts [kept]obeyed
	next, latest := 0, -1
	again := false
	p.OnMessage(func(m *witness.Message) {
		if !m.Out {
			stamp, ok := m.Stamp.Get()
			latest = -1
			if !ok || m.Party == "" || m.X == nil {
				return // handed over, not read from the store
			}
			for i := range texts {
				if t := &texts[i]; t.raw == m.Raw && t.party == m.Party && t.stamp.Equal(stamp) {
					latest, again = i, t.answered && m.Head.Record != t.line.Record
					if !t.answered {
						t.line = m.Head
					}
					return
				}
			}
			latest, again = next, false
			texts[next] = obeyed{m.Party, m.Raw, stamp, m.Head, false}
			next = (next + 1) % kept
			return
		}
		if latest < 0 || !sms.SameNumber(texts[latest].party, m.Party) {
			return
		}
		t := &texts[latest]
		if p.TimesKnown() && m.Line.Began.Sub(t.line.At) > answers && !again {
			return
		}
		if again {
			p.Report("a text stamped "+t.stamp.UTC().Format("2006-01-02 15:04:05")+" UTC was answered before and is answered again", p.See(m.Head, "answered again"), p.See(t.line, "the text, when it was answered first"))
		}
		t.answered = true
		latest, again = -1, false
	})
}
