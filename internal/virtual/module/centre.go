package module

import (
	"time"

	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/sms"
)

// network is the service centre and what is on its way to this module.
type network struct {
	flights   []flight
	reference byte
	sent      []Sent
	lost      int            // texts that the service centre took and lost
	hour      []when.Instant // when texts were taken within the last hour, where that is limited
	buffered  []string       // reports that +CNMI holds back
	unsure    []flight       // handed to the line, not acknowledged yet: at most one
	ackBy     when.Instant
	broadcast int // serial numbers given out
	joined    byte
}

// flight is a text, a report or a broadcast on its way. One that could not be
// delivered waits without a time until the module can take it.
type flight struct {
	at   when.Instant
	text message
}

// maxFlights bounds what the service centre keeps for one card.
const maxFlights = 200

// maxSent bounds the memory of texts that left; the oldest go first.
const maxSent = 1000

// Sent is a text that left the module, as its recipient sees it.
type Sent struct {
	At    when.Instant
	To    string
	DCS   byte
	Shown string // "" for one that shows nothing
}

// Sent lists the texts that left the module, oldest first, at most a thousand.
func (m *Module) Sent() []Sent { return m.network.sent }

// refuses says why the network does not take a text; ok when it does.
func (m *Module) refuses() reply {
	c := m.conditions()
	n, s := &m.network, &c.ServiceCentre
	if !c.Card.Contract.Texts {
		return cms(50) // 3GPP TS 24.011 annex E-2: requested facility not subscribed
	}
	if s.RefusesPercent > 0 && m.luck.Float64()*100 < s.RefusesPercent {
		return cms(s.RefusesCause)
	}
	if len(n.flights) >= maxFlights {
		return cms(42) // congestion, 24.011 E-2
	}
	if s.MostAnHour > 0 {
		recent := n.hour[:0]
		for _, t := range n.hour {
			if m.now.Sub(t) < time.Hour {
				recent = append(recent, t)
			}
		}
		if n.hour = recent; len(recent) >= s.MostAnHour {
			return cms(28) // 24.011 E-2: the subscriber is not known, as prepaid platforms say it
		}
		n.hour = append(n.hour, m.now)
	}
	return ok
}

// accept takes a text from the module: it goes to its recipient, and back when
// the recipient is this very card.
func (m *Module) accept(t message) (reference byte, r reply) {
	if r := m.refuses(); r != ok {
		m.radio.lastError = "the service centre refused the text"
		return 0, r
	}
	n := &m.network
	reference = n.reference
	n.reference++
	if len(n.sent) >= maxSent {
		n.sent = append(n.sent[:0], n.sent[1:]...)
	}
	n.sent = append(n.sent, Sent{At: m.now, To: t.peer, DCS: t.dcs, Shown: t.shown()})
	c := m.conditions()
	left := sms.StampOf(m.networkTime())
	delay := around(m.air, time.Duration(c.ServiceCentre.DelayS*float64(time.Second)))
	if c.ServiceCentre.Shuffles {
		delay = time.Duration(2 * m.luck.Float64() * c.ServiceCentre.DelayS * float64(time.Second)).Round(time.Microsecond)
	}
	arrives := true
	if p := c.ServiceCentre.LosesPercent; p > 0 && m.luck.Float64()*100 < p {
		arrives = false
		n.lost++
	}
	if arrives && sms.SameNumber(t.peer, c.Card.Number) {
		back := t
		back.incoming, back.status, back.peer, back.stamp = true, statusUnread, c.Card.Number, left
		back.fo = 4 | t.fo&0xC0 // DELIVER, nothing more waits: 23.040 clause 9.2.2.1
		m.fly(back, delay)
		if p := c.ServiceCentre.DoublesPercent; p > 0 && m.luck.Float64()*100 < p {
			m.fly(back, delay+2*time.Second+time.Duration(m.luck.IntN(4000))*time.Millisecond)
		}
	}
	if status, reported := reportStatus[c.ServiceCentre.Report]; t.fo&0x20 != 0 && reported { // a status report was asked for
		m.fly(message{incoming: true, peer: t.peer, report: &report{reference: reference, status: status, left: left}}, delay+time.Second)
	}
	m.schedule()
	m.happened("text-sent")
	return reference, ok
}

// reportStatus is TP-ST: 23.040 clause 9.2.3.15. 0x46 is a validity period that
// has expired, 0x20 congestion while the service centre goes on trying.
var reportStatus = map[string]byte{"delivered": 0x00, "failed": 0x46, "trying": 0x20}

// report is what became of a text.
type report struct {
	reference byte
	status    byte
	left      sms.Stamp // when the service centre had it
	done      sms.Stamp // when the report was made
	command   bool      // it answers a COMMAND
}

// fly puts something on its way to the module.
func (m *Module) fly(t message, delay time.Duration) {
	m.network.flights = append(m.network.flights, flight{at: m.now.Add(delay), text: t})
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

// order does what a COMMAND asks the service centre for: 23.040 clause 9.2.3.19.
func (m *Module) order(kind, number, fo byte, to string) (reference byte, r reply) {
	if r := m.refuses(); r != ok {
		return 0, r
	}
	n := &m.network
	reference = n.reference
	n.reference++
	const deletes = 2
	// TP-ST, 23.040 clause 9.2.3.15 (from memory).
	const gone, waits, deleted = 0x49, 0x20, 0x47 // does not exist; still trying; deleted by its sender
	status := byte(gone)
	for i := range n.flights {
		f := &n.flights[i]
		if rep := f.text.report; rep == nil || rep.reference != number {
			continue
		}
		status = waits
		if kind == deletes {
			n.flights = append(n.flights[:i], n.flights[i+1:]...)
			status = deleted
			break
		}
	}
	if fo&0x20 != 0 {
		now := sms.StampOf(m.networkTime())
		m.fly(message{incoming: true, peer: to, report: &report{reference: reference, status: status, left: now, command: true}}, around(m.luck, time.Second))
	}
	m.schedule()
	return reference, ok
}

// arrivals takes in what comes from outside, and asks when more comes.
func (m *Module) arrivals() {
	due, next := m.life.Arrivals(m.arrived, m.now, nil)
	m.arrived = m.now
	m.due[timerArrival] = next
	for _, a := range due {
		switch a.Kind {
		case world.TextArrives:
			m.textComes(a)
		case world.CallArrives:
			m.callComes(a)
		case world.BroadcastArrives:
			m.broadcastComes(a)
		}
	}
	m.schedule()
}

// textComes puts a text from outside on its way, in as many parts as it takes.
func (m *Module) textComes(a world.Arrival) {
	n := &m.network
	n.joined++
	options := sms.Options{Reference: int(n.joined), ForceUCS2: a.Coding == "ucs2"}
	pieces, err := sms.Split(a.Text, options)
	if err != nil {
		return
	}
	stamp := sms.StampOf(m.networkTime().Add(-time.Duration(a.AgeS * float64(time.Second))))
	for i, p := range pieces {
		if len(n.flights) >= maxFlights {
			n.lost++
			continue
		}
		t := message{incoming: true, peer: a.From, fo: 4, dcs: p.DCS, stamp: stamp, header: p.Header}
		if len(p.Header) > 0 {
			t.fo |= 0x40 // a header begins the text: 23.040 clause 9.2.3.23
		}
		switch {
		case a.Coding == "data":
			t.dcs, t.octets = 4, []byte(p.Text)
		case p.DCS == 8:
			t.octets = toUCS2(p.Text)
		default:
			t.text = p.Text
		}
		if a.Flash {
			t.dcs |= 0x10 // class 0: 23.038 clause 4
		}
		n.flights = append(n.flights, flight{at: max(a.At, m.now) + when.Instant(i)*when.Second, text: t})
	}
}
