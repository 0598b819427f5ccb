// Package settingnocode reports a text that switches something without any code in it.
package settingnocode

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
	Name:     "settingnocode",
	Title:    "a text switches something, and no code stands in it",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 23.040, 9.2.3.7 (the sender is not proved; from memory)", "common practice, no source (a code for whatever changes something)"},
	Doc: `
The text is one to three plain words, something was switched or set by it, and the answer says so. Perhaps the number is on a list, but a
sender's number can be forged, and nothing else was asked for. A question may be answered to a number of a list; what changes
something needs a code that is good once (docs/formats/remote-commands.md).`,
	Silent: `
The answer does not say that it was done, or refuses; the text holds anything that may be a code; longer texts, which people write.`,
	Remedy: `Ask for a code that is good once with every text that changes something, and let no text switch what could hurt somebody.`,
	Watch:  watch,
}

const (
	answers  = 60 * time.Second // see the rule textloop
	mostSaid = 3                // words of a command
	codeSize = 4                // a word with figures from this length on may be a code; so may a long one of letters
	longWord = 10
)

// verbs are words of texts that change something, answers those of an answer that says so: our choice.
var (
	verbs   = []string{"on", "off", "reset", "restart", "reboot", "unlock", "lock", "open", "close", "start", "stop", "arm", "disarm", "interval", "set", "factory", "erase", "clear"}
	done    = []string{"ok", "done", "on", "off", "set", "reset", "restarting", "unlocked", "locked", "opened", "closed", "started", "stopped", "armed", "disarmed", "cleared"}
	refused = []string{"not", "no", "wrong", "denied", "refused", "error", "unknown", "invalid", "failed", "cannot"}
)

func watch(p *rulebook.Pass) {
	var text *witness.Message
	p.OnMessage(func(m *witness.Message) {
		asked := text
		text = nil
		if !m.Out {
			if switches(m.Body) && m.Party != "" && !sms.ReadNumber(m.Party).Name {
				text = m
			}
			return
		}
		if asked == nil || !sms.SameNumber(asked.Party, m.Party) || p.TimesKnown() && m.Line.Began.Sub(asked.Line.At) > answers {
			return
		}
		if words := wordsOf(m.Body); holds(words, done) && !holds(words, refused) {
			p.Report(p.Quote(strings.TrimSpace(asked.Body))+" was obeyed, and no code stands in it", p.See(asked.Head, "the text"), p.See(m.Head, "the answer"))
		}
	})
}

func wordsOf(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(" ,;:=.!\r\n\t", r) })
}

func holds(words, any []string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(any, w) })
}

// switches says that a text is a bare command: a few words, one of them a verb, none a code.
func switches(text string) bool {
	words := wordsOf(text)
	if len(words) == 0 || len(words) > mostSaid || !holds(words, verbs) {
		return false
	}
	return !slices.ContainsFunc(words, func(w string) bool {
		figures := strings.ContainsAny(w, "0123456789#*")
		return figures && len(w) >= codeSize || len(w) >= longWord
	})
}
