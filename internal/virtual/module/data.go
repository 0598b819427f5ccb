package module

import (
	"strconv"
	"strings"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Packet data on the line: V.250 clauses 6.3.7 and 6.4, 27.007 clauses 10.1.12
// and 10.2.1. What stands at the other end is a [Peer], given from outside.

// Peer is the far end of a data connection: a machine like the module. The
// module hands it what the controller sends and sends on what it says.
type Peer interface {
	Feed(now when.Instant, b []byte, out []byte) []byte
	Tick(now when.Instant, out []byte) []byte
	Deadline() (at when.Instant, why string)
	// Closed says that the far end has ended the connection.
	Closed() bool
}

// Session is a data connection that begins.
type Session struct {
	Context     int    // its number, from 1
	AccessPoint string // as +CGDCONT has it; "" when none was defined
	Kind        string // "IP", "IPV6", "IPV4V6"
	Address     string // what the network gave the module
	User        string // +CGAUTH
	Password    string
	Began       when.Instant
}

// Network gives the module something to talk to over packet data. Without it
// every data call ends in NO CARRIER.
func (m *Module) Network(open func(Session) Peer) { m.data.dial = open }

// data is the data connection.
type data struct {
	dial   func(Session) Peer
	peer   Peer
	open   bool // there is a connection
	online bool // and the line belongs to it
	cid    int

	last when.Instant // the last byte from the controller
	plus int          // of +++ that have come
	held []byte       // what the peer said while the line was in command state
	one  [1]byte
}

// The escape: a pause, +++, a pause (common practice of modems, no source).
const (
	escapeGuard = time.Second
	escapeCount = 3
)

// maxPeerBytes bounds what is kept from the peer in command state.
const maxPeerBytes = 8192

// dialData is ATD*99#, ATD*99***<cid># of 27.007 clause 10.2.1.
func (m *Module) dialData(number string) reply {
	cid := 1
	if parts := strings.Split(strings.TrimSuffix(number, "#"), "*"); len(parts) >= 5 {
		if n, err := strconv.Atoi(parts[4]); err == nil {
			cid = n
		}
	}
	return m.openData(cid)
}

// runData: +CGDATA="PPP",<cid>.
func runData(m *Module, c *at.Command) reply {
	protocol, _ := text(c, 0)
	cid, fits := number(c, 1, 1)
	if !fits || protocol != "" && protocol != "PPP" {
		return cme(50)
	}
	return m.openData(cid)
}

// openData attaches, activates the context and connects, as far as that is
// wanted.
func (m *Module) openData(cid int) reply {
	noCarrier := reply{kind: replyNoCarrier}
	if cid < 1 || cid > contexts || m.data.open {
		return noCarrier
	}
	p := &m.packet
	switch m.exec.phase {
	case 0:
		if !m.packetDomain() {
			m.radio.lastError = "no packet service"
			return noCarrier
		}
		m.transmit(transmitAttach)
		wait := takesContext
		if !p.attached {
			wait += takesAttach
		}
		return m.comeBack(m.jitter(wait))
	default:
		if !m.attach() || !m.activate(cid-1) || m.data.dial == nil {
			return noCarrier
		}
	}
	c := &p.contexts[cid-1]
	m.data.peer = m.data.dial(Session{Context: cid, AccessPoint: c.name, Kind: c.kind, Address: m.given(cid - 1), User: c.user, Password: c.password, Began: m.now})
	if m.data.peer == nil {
		return noCarrier
	}
	m.data.cid = cid
	return reply{kind: replyConnect, code: cid}
}

// connected gives the line to the data connection.
func (m *Module) connected(int) {
	m.finish(reply{kind: replyConnect})
	d := &m.data
	d.open, d.online, d.plus, d.last = true, true, 0, m.now
	m.out = append(m.out, d.held...)
	d.held = d.held[:0]
	m.peerDeadline()
}

// dataByte passes one byte to the peer and watches for the escape.
func (m *Module) dataByte(c byte) {
	d := &m.data
	paused := m.now.Sub(d.last) >= escapeGuard
	switch {
	case c == '+' && (paused || d.plus > 0) && d.plus < escapeCount:
		if paused {
			d.plus = 0
		}
		if d.plus++; d.plus == escapeCount {
			m.after(timerEscape, escapeGuard)
		}
	default:
		d.plus = 0
		m.cancel(timerEscape)
	}
	d.last = m.now
	d.one[0] = c
	m.out = d.peer.Feed(m.now, d.one[:], m.out)
	m.peerDeadline()
}

// escaped: +++ stood alone between two pauses. The connection stays.
func (m *Module) escaped() {
	if d := &m.data; d.online {
		d.online, d.plus = false, 0
		m.result(ok)
		m.untell(false)
		m.flush()
	}
}

// runOnline: V.250 6.3.7, back to the connection.
func runOnline(m *Module, c *at.Command) reply {
	if c.Number > 0 || !m.data.open {
		return reply{kind: replyNoCarrier}
	}
	return reply{kind: replyConnect, code: m.data.cid}
}

// dataDue lets the peer do what is due.
func (m *Module) dataDue() {
	d := &m.data
	if !d.open {
		return
	}
	said := d.peer.Tick(m.now, nil)
	if d.online {
		m.out = append(m.out, said...)
	} else {
		d.held = append(d.held, said...)
		d.held = d.held[:min(len(d.held), maxPeerBytes)]
	}
	m.peerDeadline()
}

// peerDeadline sets the timer to what the peer wants, or ends the connection
// that the peer has closed.
func (m *Module) peerDeadline() {
	d := &m.data
	if d.peer.Closed() {
		m.dropData()
		return
	}
	m.due[timerData], _ = d.peer.Deadline()
	m.due[timerData] = max(m.due[timerData], m.now)
}

// dropData ends the connection from outside, and says so.
func (m *Module) dropData() {
	if !m.data.open {
		return
	}
	m.endData()
	m.unsolicitedResult(replyNoCarrier)
	m.untell(false)
	m.flush()
}

// hangUpData ends the connection because the controller wants it.
func (m *Module) hangUpData() {
	m.packet.contexts[m.data.cid-1].active = false
	m.endData()
}

// endData forgets the connection.
func (m *Module) endData() {
	m.data = data{dial: m.data.dial, held: m.data.held[:0]}
	m.cancel(timerData)
	m.cancel(timerEscape)
}
