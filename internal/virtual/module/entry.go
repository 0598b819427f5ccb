package module

// maxTextBytes bounds what is typed at the prompt: a PDU of 176 octets in hex,
// and a text of 160 characters in UCS2 hex, both fit.
const maxTextBytes = 1024

// entry is the text that is typed after the prompt: 27.005 clauses 3.5.1, 4.3.
type entry struct {
	open    bool
	text    []byte
	tooLong bool
}

// The bytes that end an entry.
const (
	sends   = 0x1A
	cancels = 0x1B
)

const prompt = "\r\n> " // 27.005 clause 3.5.1: these four characters

func (m *Module) openEntry() {
	m.entry = entry{open: true, text: m.entry.text[:0]}
	m.out = append(m.out, prompt...)
}

func (m *Module) textByte(c byte) {
	if m.settings.echo {
		m.out = append(m.out, c)
	}
	e := &m.entry
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
