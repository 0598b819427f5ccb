package module

import (
	"time"
)

// maxLineBytes bounds a command line. V.250 clause 5.2.1 asks for 40
// characters at least; longer ones than this are answered with ERROR.
const maxLineBytes = 512

// reader finds command lines in the bytes that arrive: V.250 clause 5.2.
type reader struct {
	state readerState
	line  []byte // the body, without AT
	last  string // the body that A/ repeats

	tooLong bool
}

type readerState uint8

const (
	idle   readerState = iota
	afterA             // an A has come
	inside             // AT has come

)

// reset forgets a line that was begun.
func (r *reader) reset() { r.state, r.line, r.tooLong = idle, r.line[:0], false }

// typing says that a command line has begun: unsolicited lines wait for its end.
func (r *reader) typing() bool { return r.state == inside }

// The times of V.250 clauses 5.5 and 5.6.1.
const (
	staleAfter      = 30 * time.Second       // an unfinished line is forgotten
	abortNotBefore  = 125 * time.Millisecond // bytes this soon after the line do not abort it
	wakeTakes       = 40 * time.Millisecond  // bytes that come meanwhile are lost; our choice
	speedTakesAfter = 20 * time.Millisecond  // after the result that goes out at the old speed; our choice
)

// receive takes one byte from the line.
func (m *Module) receive(c byte) {
	if m.power != running || m.untrained(c) || m.slept() {
		return
	}
	said := len(m.out)
	m.lastByte = m.now
	switch {
	case m.flowByte(c):
	case m.data.online:
		m.dataByte(c)
	case m.entry.open:
		m.textByte(c)
	case m.exec.busy:
		m.byteWhileBusy()
	default:
		m.commandByte(c)
	}
	m.flush()
	m.account(said)
}

// untrained says that the byte came while the module was still looking for the
// speed (+IPR=0, V.250 clause 6.2.10): so many lines pass, and it says nothing.
func (m *Module) untrained(c byte) bool {
	if m.training > 0 {
		if c == '\r' {
			m.training--
		}
		return true
	}
	m.unheard = false
	return false
}

// slept says that the byte that just came only woke the module, or came while
// it was waking.
func (m *Module) slept() bool {
	if m.now < m.wakeAt {
		return true
	}
	if !m.Asleep() {
		return false
	}
	m.lastByte, m.wakeAt = m.now, m.now.Add(wakeTakes)
	return true
}

// Asleep says whether the module sleeps: that is allowed, and nothing was heard
// for a while.
func (m *Module) Asleep() bool {
	sleepAfter := time.Duration(m.conditions().Module.SleepAfterS * float64(time.Second))
	return m.power == running && m.settings.sleep && !m.exec.busy && !m.entry.open && !m.data.online && m.now.Sub(m.lastByte) >= sleepAfter
}

// byteWhileBusy aborts a command that may be aborted. Otherwise the byte is
// lost: V.250 does not say that a module keeps what comes before the result.
func (m *Module) byteWhileBusy() {
	if m.exec.abortable && m.now.Sub(m.exec.began) >= abortNotBefore {
		m.abort()
	}
}

// commandByte takes one byte in command state. The end character is tested
// before the editing character, both before anything else (V.250 5.2.2).
func (m *Module) commandByte(raw byte) {
	if m.echoes() {
		m.out = append(m.out, raw)
	}
	c := raw & 0x7f // V.250 5.1: the eighth bit is ignored
	r := &m.reader
	switch r.state {
	case idle, afterA:
		m.prefixByte(c)
	case inside:
		switch {
		case int(c) == m.settings.s[3]:
			m.endLine()
		case int(c) == m.settings.s[5]:
			r.line = r.line[:max(len(r.line)-1, 0)]
		case c < ' ':
		case len(r.line) >= maxLineBytes:
			r.tooLong = true
		default:
			r.line = append(r.line, c)
			m.after(timerStale, staleAfter)
		}
	}
}

// prefixByte looks for AT, at or A/ (V.250 5.2.1). Whatever else comes is dropped.
func (m *Module) prefixByte(c byte) {
	r := &m.reader
	switch {
	case r.state == afterA && (c == 'T' || c == 't'):
		r.reset()
		r.state = inside
		m.after(timerStale, staleAfter)
	case r.state == afterA && c == '/':
		r.reset()
		m.runBody(r.last)
	case c == 'A' || c == 'a':
		r.state = afterA
	default:
		r.state = idle
	}
}

// endLine runs the line that has just ended.
func (m *Module) endLine() {
	r := &m.reader
	body, tooLong := string(r.line), r.tooLong
	r.reset()
	m.cancel(timerStale)
	if tooLong {
		m.result(failed)
		return
	}
	r.last = body
	m.runBody(body)
}

// echoes says whether what is typed is repeated (V.250 6.2.4).
func (m *Module) echoes() bool { return m.settings.echo || m.conditions().Module.EchoStays }

// unsolicited writes a line that nobody asked for. While a command line is
// being typed or a text entered it waits.
func (m *Module) unsolicited(text string) {
	m.pending = m.appendInfo(m.pending, text)
	if len(m.pending) > maxPendingBytes {
		// The oldest lines are lost; the controller has been typing for too long.
		m.pending = append(m.pending[:0], m.pending[len(m.pending)-maxPendingBytes:]...)
	}
	m.flush()
}

// maxPendingBytes bounds what is held back: some ten sets of sentences.
const maxPendingBytes = 8192

// flush lets out what was held back, when it disturbs nobody; with bad manners
// at once, and into the middle of the next answer while a command runs.
func (m *Module) flush() {
	if len(m.pending) == 0 {
		return
	}
	rude := m.power == running && m.conditions().Module.BreaksIn
	switch {
	case m.unheard:
		m.pending = m.pending[:0] // it does not know at which speed to speak
		return
	case m.data.online:
		return // 27.005 clause 3.4.1 <mode>: what the line is reserved for comes first
	case rude && m.exec.busy && !m.entry.open:
		m.breaking = append(m.breaking, m.pending...)
		m.breaking = m.breaking[:min(len(m.breaking), maxPendingBytes)]
		m.pending = m.pending[:0]
		return
	case (m.entry.open || m.reader.typing()) && !rude:
		return
	}
	m.out = append(m.out, m.pending...)
	m.pending = m.pending[:0]
}
