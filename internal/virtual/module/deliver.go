package module

import (
	"fmt"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/sms"
)

// Arriving texts, reports and broadcasts: the routing of 27.005 clause 3.4.1.

// maxBuffered bounds the reports that +CNMI holds back; modules keep few. When
// it is full the oldest goes (27.005 clause 3.4.1 <mode> 0).
const maxBuffered = 10

// acknowledgeWithin is how long a text on the line waits for +CNMA: common
// practice, no source.
const acknowledgeWithin = 15 * time.Second

// redeliverAfter is when the service centre tries again what was refused; our
// choice. The standard leaves it to the service centre.
const redeliverAfter = 30 * time.Second

// deliverDue brings what has arrived to the module.
func (m *Module) deliverDue() {
	n := &m.network
	if n.ackBy > 0 && m.now >= n.ackBy {
		// 27.005 clause 3.4.4: without an acknowledgement direct delivery ends, and
		// the network hears that the text was not taken.
		m.settings.cnmi[1], m.settings.cnmi[3] = 0, 0
		m.refuseUnsure()
	}
	kept := n.flights[:0]
	flying := n.flights
	n.flights = nil
	for _, f := range flying {
		if f.at > m.now {
			kept = append(kept, f)
			continue
		}
		if !m.deliver(f.text) {
			f.at = when.Never
			kept = append(kept, f)
		}
	}
	n.flights = append(kept, n.flights...)
	m.schedule()
}

// refuseUnsure gives the text that was not acknowledged back to the service centre.
func (m *Module) refuseUnsure() {
	n := &m.network
	for _, f := range n.unsure {
		n.flights = append(n.flights, flight{at: m.now.Add(redeliverAfter), text: f.text})
	}
	n.unsure, n.ackBy = n.unsure[:0], 0
	m.retryDeliveries()
}

// deliver hands one text, report or broadcast to the module. False: it cannot
// take it now, and the network keeps it.
func (m *Module) deliver(t message) bool {
	if m.power != running {
		return t.page != nil // a broadcast waits for nobody
	}
	if t.page != nil {
		m.deliverBroadcast(t)
		return true
	}
	if !m.reachable() || m.network.ackBy > 0 && m.needsAck(&t) {
		return false
	}
	if t.report != nil {
		m.deliverReport(t)
		return true
	}
	mt, class := m.settings.cnmi[1], sms.ReadDCS(t.dcs).Class.Or(-1)
	switch {
	// <mt> 2 sends all but class 2 to the line, 3 class 3 only.
	case mt == 2 && class != 2, mt == 3 && class == 3:
		m.tell(m.direct(&t))
		m.awaitAck(t)
		m.happened("text-arrived")
		return true
	// Class 0 is shown at once and not kept (23.038 clause 4); there is nobody to show it to.
	case class == 0:
		m.happened("text-arrived")
		return true
	}
	where := m.settings.memory[2]
	if class == 2 {
		where = memoryCard
	}
	if m.storeReply(where) != ok {
		return false
	}
	i := m.store[where].add(t)
	if i < 0 {
		return false // the service centre keeps it: 23.040 clause 9.2.3.22, memory full
	}
	if mt > 0 {
		m.tell(fmt.Sprintf(`+CMTI: "%s",%d`, memoryWords[where], i+1))
	}
	m.indicateSoon()
	m.happened("text-arrived")
	return true
}

// needsAck says whether a text would go to the line while another one there is
// not acknowledged: it has to wait (27.005 clause 3.4.4).
func (m *Module) needsAck(t *message) bool {
	if m.settings.csms != 1 {
		return false
	}
	if t.report != nil {
		return m.settings.cnmi[3] == 1
	}
	return m.settings.cnmi[1] >= 2
}

// awaitAck notes that a text on the line wants to be acknowledged: +CSMS=1.
func (m *Module) awaitAck(t message) {
	if m.settings.csms != 1 {
		return
	}
	m.network.unsure = append(m.network.unsure[:0], flight{text: t})
	m.network.ackBy = m.now.Add(acknowledgeWithin)
	m.schedule()
}

// direct writes a text that goes to the line instead of the store.
func (m *Module) direct(t *message) string {
	if m.settings.cmgf == 0 {
		pdu, length := m.pdu(t)
		return fmt.Sprintf("+CMT: ,%d\r\n%s", length, pdu)
	}
	line := fmt.Sprintf(`+CMT: "%s",,"%s"`, m.toTerminal(t.peer), t.stamp.TextMode())
	if m.settings.csdh == 1 {
		line += fmt.Sprintf(`,%d,%d,%d,%d,"%s",%d,%d`, sms.TypeOfNumber(t.peer), t.fo, t.pid, t.dcs, m.toTerminal(m.settings.centre), m.settings.centreType, t.units())
	}
	return line + "\r\n" + m.body(t)
}

// deliverReport hands on a status report: 27.005 clause 3.4.1 <ds>.
func (m *Module) deliverReport(t message) {
	made := *t.report
	made.done = sms.StampOf(m.networkTime())
	t.report = &made
	switch m.settings.cnmi[3] {
	case 1:
		if m.settings.cmgf == 1 {
			m.tell("+CDS: " + m.reportText(&t))
		} else {
			pdu, length := m.pdu(&t)
			m.tell(fmt.Sprintf("+CDS: %d\r\n%s", length, pdu))
		}
		m.awaitAck(t)
	case 2:
		if i := m.store[memoryReports].add(t); i >= 0 {
			m.tell(fmt.Sprintf(`+CDSI: "SR",%d`, i+1))
		}
	}
}

// reportText is a status report in text mode: 27.005 clause 3.4.1, +CDS.
func (m *Module) reportText(t *message) string {
	r := t.report
	return fmt.Sprintf(`%d,%d,"%s",%d,"%s","%s",%d`, t.firstOctet(), r.reference, m.toTerminal(t.peer), sms.TypeOfNumber(t.peer), r.left.TextMode(), r.done.TextMode(), r.status)
}

// tell writes an unsolicited line of texts, as +CNMI <mode> says: 0 keeps it;
// 1 drops and 2 keeps it while data has the line; otherwise it goes out.
func (m *Module) tell(line string) {
	mode := m.settings.cnmi[0]
	switch {
	case mode == 0, mode == 2 && m.data.online:
		n := &m.network
		if len(n.buffered) >= maxBuffered {
			n.buffered = append(n.buffered[:0], n.buffered[1:]...)
		}
		n.buffered = append(n.buffered, line)
	case mode == 1 && m.data.online:
	default:
		m.unsolicited(line)
	}
}

// untell lets out what <mode> held back, or drops it when <bfr> says so.
func (m *Module) untell(drop bool) {
	held := m.network.buffered
	m.network.buffered = nil
	for _, line := range held {
		if !drop {
			m.unsolicited(line)
		}
	}
}
