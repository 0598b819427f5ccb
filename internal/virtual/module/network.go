package module

import (
	"fmt"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/sms"
)

// network is the service centre and what is on its way to this module.
type network struct {
	flights   []flight
	reference byte
	sent      []Sent
	buffered  []string // reports that +CNMI mode 0 holds back
	ackBy     when.Instant
}

// flight is a text or a report on its way. One that could not be delivered
// waits without a time until the module can take it.
type flight struct {
	at       when.Instant
	isReport bool
	text     message
	fo       byte // of a report
	mr       byte
	left     sms.Stamp // when the service centre had it
}

// maxFlights bounds what the service centre keeps for one card.
const maxFlights = 200

// maxSent bounds the memory of texts that left; the oldest go first.
const maxSent = 1000

// maxBuffered bounds the reports that +CNMI mode 0 holds back; modules keep few.
const maxBuffered = 10

// Sent is a text that left the module, as its recipient sees it.
type Sent struct {
	At    when.Instant
	To    string
	DCS   byte
	Shown string // "" for one that shows nothing
}

// Sent lists the texts that left the module, oldest first, at most a thousand.
func (m *Module) Sent() []Sent { return m.network.sent }

// accept takes a text from the module: it goes to its recipient, and back when
// the recipient is this very card.
func (m *Module) accept(t message) (reference byte, r reply) {
	n := &m.network
	if len(n.flights) >= maxFlights {
		return 0, cms(42) // congestion, 24.011 E-2
	}
	reference = n.reference
	n.reference++
	if len(n.sent) >= maxSent {
		n.sent = append(n.sent[:0], n.sent[1:]...)
	}
	n.sent = append(n.sent, Sent{At: m.now, To: t.peer, DCS: t.dcs, Shown: t.shown()})
	c := m.conditions()
	left := sms.StampOf(m.networkTime())
	delay := around(m.air, time.Duration(c.ServiceCentre.DelayS*float64(time.Second)))
	if sms.SameNumber(t.peer, c.Card.Number) {
		back := t
		back.incoming, back.status, back.peer, back.stamp = true, 0, c.Card.Number, left
		back.fo = 4 | t.fo&0xC0 // DELIVER, nothing more waits: 23.040 clause 9.2.2.1
		n.flights = append(n.flights, flight{at: m.now.Add(delay), text: back})
	}
	if t.fo&0x20 != 0 { // a status report was asked for
		n.flights = append(n.flights, flight{at: m.now.Add(delay + time.Second), isReport: true, text: message{peer: t.peer}, fo: 6, mr: reference, left: left})
	}
	m.schedule()
	return reference, ok
}

// networkTime is the service centre's local time.
func (m *Module) networkTime() time.Time {
	zone := m.conditions().Coverage.ZoneQuarterHours
	return m.life.UTC(m.now).In(time.FixedZone("", zone*15*60))
}

// schedule sets the timer to the next flight that has a time.
func (m *Module) schedule() {
	next := when.Never
	for i := range m.network.flights {
		next = min(next, m.network.flights[i].at)
	}
	if m.network.ackBy > 0 {
		next = min(next, m.network.ackBy)
	}
	m.due[timerNetwork] = next
}

// retryDeliveries lets what waits try again soon.
func (m *Module) retryDeliveries() {
	for i := range m.network.flights {
		if f := &m.network.flights[i]; f.at == when.Never {
			f.at = m.now.Add(around(m.air, 2*time.Second))
		}
	}
	m.schedule()
}

// deliverDue brings what has arrived to the module.
func (m *Module) deliverDue() {
	n := &m.network
	if n.ackBy > 0 && m.now >= n.ackBy {
		// 27.005 clause 3.4.4: without an acknowledgement direct delivery ends.
		n.ackBy = 0
		m.settings.cnmi[1], m.settings.cnmi[3] = 0, 0
	}
	kept := n.flights[:0]
	for _, f := range n.flights {
		if f.at <= m.now && !m.deliver(f) {
			f.at = when.Never
		}
		if f.at > m.now {
			kept = append(kept, f)
		}
	}
	n.flights = kept
	m.schedule()
}

// deliver hands one text or report to the module. False: it cannot take it now.
func (m *Module) deliver(f flight) bool {
	if m.power != running || !m.registered() {
		return false
	}
	if f.isReport {
		m.deliverReport(f)
		return true
	}
	mt, class := m.settings.cnmi[1], sms.ReadDCS(f.text.dcs).Class.Or(-1)
	// 27.005 clause 3.4.1 <mt>: 2 sends all but class 2 to the line, 3 class 3 only.
	if mt == 2 && class != 2 || mt == 3 && class == 3 {
		m.indicate(m.direct(&f.text))
		if m.settings.csms == 1 {
			const acknowledgeWithin = 15 * time.Second // common practice, no source
			m.network.ackBy = m.now.Add(acknowledgeWithin)
		}
		return true
	}
	where := m.settings.memory[2]
	i := m.store[where].add(f.text)
	if i < 0 {
		return false // the service centre keeps it: 23.040 clause 9.2.3.22, memory full
	}
	if mt > 0 {
		m.indicate(fmt.Sprintf(`+CMTI: "%s",%d`, memoryWords[where], i+1))
	}
	return true
}

// direct writes a text that goes to the line instead of the store.
func (m *Module) direct(t *message) string {
	if m.settings.cmgf == 0 {
		pdu, length := m.pdu(t)
		return fmt.Sprintf("+CMT: ,%d\r\n%s", length, pdu)
	}
	line := fmt.Sprintf(`+CMT: "%s",,"%s"`, m.toTerminal(t.peer), t.stamp.TextMode())
	if m.settings.csdh == 1 {
		line += fmt.Sprintf(`,%d,%d,%d,%d,"%s",%d,%d`, numberType(t.peer), t.fo, t.pid, t.dcs, m.toTerminal(m.settings.centre), m.settings.centreType, t.units())
	}
	return line + "\r\n" + m.body(t)
}

// deliverReport hands on a status report: 27.005 clause 3.4.1 <ds>.
func (m *Module) deliverReport(f flight) {
	if m.settings.cnmi[3] != 1 {
		return // nobody asked to see it
	}
	now := sms.StampOf(m.networkTime())
	if m.settings.cmgf == 1 {
		m.indicate(fmt.Sprintf(`+CDS: %d,%d,"%s",%d,"%s","%s",0`, f.fo, f.mr, m.toTerminal(f.text.peer), numberType(f.text.peer), f.left.TextMode(), now.TextMode()))
		return
	}
	pdu := statusReport(f, now)
	m.indicate(fmt.Sprintf("+CDS: %d\r\n00%s", len(pdu)/2, pdu))
}

// statusReport writes a STATUS-REPORT that says "delivered", 23.040 clause
// 9.2.2.3. Its address is spelt by a SUBMIT to the same number.
func statusReport(f flight, now sms.Stamp) string {
	probe, _, err := sms.Submit{To: sms.NewAddress(f.text.peer)}.Encode()
	if err != nil {
		return ""
	}
	p, err := sms.Decode(probe, sms.ToNetwork)
	if err != nil {
		return ""
	}
	at, length := p.At(sms.PartAddress)
	return fmt.Sprintf("%02X%02X%s%X%X00", f.fo, f.mr, probe[2*at:2*(at+length)], f.left[:], now[:])
}

// indicate writes an unsolicited line, or keeps it while +CNMI mode is 0.
func (m *Module) indicate(line string) {
	if m.settings.cnmi[0] != 0 {
		m.unsolicited(line)
		return
	}
	if n := &m.network; len(n.buffered) < maxBuffered {
		n.buffered = append(n.buffered, line)
	}
}
