package module

import (
	"time"

	"firstfix/internal/when"
)

// maxTextBytes bounds what is typed at the prompt: a PDU of 176 octets in hex,
// and a text of 160 characters in UCS2 hex, both fit.
const maxTextBytes = 1024

// entry is the text that is typed after the prompt: 27.005 clauses 3.5.1, 4.3.
type entry struct {
	open      bool
	text      []byte
	tooLong   bool
	deafUntil when.Instant // bytes before it are dropped: the manners of some modules
}

// The bytes that end an entry.
const (
	sends   = 0x1A
	cancels = 0x1B
)

const prompt = "\r\n> " // 27.005 clause 3.5.1: these four characters

// prompt asks for a text, now or later.
func (m *Module) prompt() {
	if s := m.conditions().Timing.PromptS; s > 0 {
		m.after(timerPrompt, time.Duration(s*float64(time.Second)))
		return
	}
	m.openEntry()
}

func (m *Module) openEntry() {
	c := m.conditions()
	m.entry = entry{open: true, text: m.entry.text[:0]}
	if c.Timing.PromptDeafMS > 0 {
		m.entry.deafUntil = m.now.Add(time.Duration(c.Timing.PromptDeafMS * float64(time.Millisecond)))
	}
	if !c.Module.PromptLost {
		m.out = append(m.out, prompt...)
	}
}

func (m *Module) textByte(c byte) {
	e := &m.entry
	if m.now < e.deafUntil && c != sends && c != cancels {
		return
	}
	if m.echoes() {
		m.out = append(m.out, c)
	}
	switch {
	case c == sends:
		e.open = false
		m.after(timerExec, m.jitter(takesRadio))
	case c == cancels:
		e.open = false
		m.finish(ok)
	case int(c) == m.settings.s[5]:
		e.text = e.text[:max(len(e.text)-1, 0)]
	case len(e.text) >= maxTextBytes:
		e.tooLong = true
	case c == '\r':
		if m.settings.cmgf == 1 {
			e.text = append(e.text, c)
			m.out = append(m.out, prompt...)
		}
	default:
		e.text = append(e.text, c)
	}
}
