package module

import (
	"firstfix/internal/when"
)

// flow is what happens to the module's output on its way to the wire: held back
// while the controller has said so (+IFC, V.250 clause 6.2.12), and how much of
// it is still being sent.
type flow struct {
	stopped bool         // XOFF came, and no XON since
	mark    int          // what stands behind this in out is held back
	held    []byte       // what was said since, in earlier calls
	free    when.Instant // when the wire will have carried all that was said
}

// The characters of software flow control.
const (
	xon  = 0x11
	xoff = 0x13
)

// maxHeldBytes bounds what waits for XON: a minute at 9600 baud.
const maxHeldBytes = 64 << 10

// begin takes the slice that this call of Feed or Tick appends to.
func (m *Module) begin(out []byte) {
	m.out = out
	m.flow.mark = len(out)
}

// done hands over what may leave now.
func (m *Module) done() []byte {
	out := m.out
	m.out = nil
	if f := &m.flow; f.stopped {
		f.held = append(f.held, out[f.mark:]...)
		f.held = f.held[:min(len(f.held), maxHeldBytes)]
		out = out[:f.mark]
	}
	return out
}

// flowByte takes the two characters of software flow control out of what
// arrives, when +IFC says that the controller uses them.
func (m *Module) flowByte(c byte) bool {
	f := &m.flow
	switch {
	case m.settings.ifc[0] != 1 || c != xon && c != xoff:
		return false
	case c == xoff && !f.stopped:
		f.stopped, f.mark = true, len(m.out)
	case c == xon && f.stopped:
		rest := append([]byte(nil), m.out[f.mark:]...)
		m.out = append(append(m.out[:f.mark], f.held...), rest...)
		f.stopped, f.held = false, f.held[:0]
	}
	return true
}

// account notes that the wire is busy with what was said since "said".
func (m *Module) account(said int) {
	if n := len(m.out) - said; n > 0 && m.baud > 0 {
		m.flow.free = max(m.flow.free, m.now) + when.Instant(n)*(10*when.Second)/when.Instant(m.baud)
	}
}

// backlogBytes is how much of what was said the wire has not carried yet.
func (m *Module) backlogBytes() int {
	if m.baud <= 0 || m.flow.free <= m.now {
		return 0
	}
	return int((m.flow.free - m.now) * when.Instant(m.baud) / (10 * when.Second))
}
