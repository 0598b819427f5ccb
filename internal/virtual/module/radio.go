package module

import (
	"fmt"
	"math"
	"time"

	"firstfix/internal/when"
)

// radio is the module's place in the network.
type radio struct {
	stat      int // 27.007 clause 7.2
	searching bool
	since     when.Instant // when the search began
	cause     int          // of the last refusal
	lastError string       // for +CEER
	stuck     bool         // it lost the network and does not look for it
	shownArea string       // area and cell as last reported
	shownCell string
	manual    string // numeric name of the operator chosen by hand; "": the card's own
	refused   bool   // the operator chosen by hand does not take this card
}

// The values of <stat> that occur here: 27.007 clause 7.2.
const (
	statOff       = 0 // not registered, not searching
	statHome      = 1
	statSearching = 2
	statDenied    = 3
	statUnknown   = 4
	statRoaming   = 5
	statEmergency = 8 // emergency calls only; of LTE
)

// Levels that decide what works; our estimates. A 2G handset must work down to
// -102 dBm (3GPP TS 45.005 clause 6.2, reference sensitivity; from memory) and
// usually does some decibels below.
const (
	losesBelowDBm = -111.0 // nothing is heard reliably
	weakBelowDBm  = -104.0 // some attempts fail
)

// Times of the search; our estimates.
const (
	retryAfter = 12 * time.Second // from one failed attempt to the next
	checkAfter = 10 * time.Second // while registered with a weak signal
	noticeLoss = 2 * time.Second  // from the loss of the network to the report
)

func (m *Module) registered() bool {
	return m.radio.stat == statHome || m.radio.stat == statRoaming
}

// circuit says that the module is registered for texts and calls.
func (m *Module) circuit() bool {
	return m.power == running && m.registered() && m.conditions().Coverage.Circuit == "same"
}

// reachable says that texts can be delivered.
func (m *Module) reachable() bool { return m.circuit() && m.cardReady() }

// mayRegister says that the module wants to be in a network.
func (m *Module) mayRegister() bool {
	return m.power == running && m.settings.cfun == 1 && m.settings.copsMode != 2 && m.cardReady()
}

// look brings registration in line with the conditions after anything changed.
func (m *Module) look() {
	if m.power != running {
		return
	}
	r, coverage := &m.radio, &m.conditions().Coverage
	switch {
	case !m.mayRegister():
		m.cancel(timerRadio)
		r.searching, r.stuck, r.refused = false, false, false
		m.packetGone()
		m.setStat(statOff)
	case r.stuck, r.refused:
	case m.registered():
		if coverage.Registration != answerOf(r.stat) {
			m.after(timerRadio, around(m.air, noticeLoss))
		} else if m.due[timerRadio] == when.Never {
			m.watch()
		}
	case r.stat == statDenied && coverage.Registration == "denied":
	case !r.searching:
		m.search()
	}
}

// answerOf is the coverage that goes with a registration.
func answerOf(stat int) string {
	if stat == statRoaming {
		return "roaming"
	}
	return "home"
}

// search starts looking for a network.
func (m *Module) search() {
	m.radio.searching, m.radio.since = true, m.now
	m.setStat(statSearching)
	m.after(timerRadio, around(m.air, time.Duration(m.conditions().Coverage.RegisterAfterS*float64(time.Second))))
}

// watch looks after a registration: only a weak one needs it.
func (m *Module) watch() {
	if m.life.SignalDBm(m.now) < weakBelowDBm+4 {
		m.after(timerRadio, around(m.air, checkAfter))
	} else {
		m.cancel(timerRadio)
	}
}

// radioStep is an attempt to register, or a look at the registration there is.
func (m *Module) radioStep() {
	if !m.mayRegister() {
		return
	}
	if m.registered() {
		m.checkRegistration()
		return
	}
	coverage, signal := m.conditions().Coverage, m.life.SignalDBm(m.now)
	switch {
	case coverage.Registration == "none" || signal < losesBelowDBm:
		m.radio.lastError = "no network found"
		m.after(timerRadio, around(m.air, retryAfter))
		return
	case coverage.Registration == "limited":
		// It stays where only emergency calls would go, and looks again later.
		m.radio.lastError = "only emergency calls are allowed here"
		m.setStat(map[bool]int{true: statEmergency, false: statOff}[coverage.Access == "lte"])
		m.after(timerRadio, around(m.air, 5*retryAfter))
		return
	case !m.transmit(transmitRegistration):
		return
	case signal < weakBelowDBm && m.air.Float64() < 0.5:
		m.radio.lastError = "the network did not answer"
		m.after(timerRadio, around(m.air, retryAfter))
		return
	case coverage.Registration == "denied":
		m.radio.searching, m.radio.cause = false, coverage.DeniedCause
		m.radio.lastError = fmt.Sprintf("registration denied, cause %d", coverage.DeniedCause)
		m.setStat(statDenied)
		return
	case m.foreign():
		// A network that is not the card's own refuses it: 24.008 cause 11.
		m.radio.searching, m.radio.cause, m.radio.refused = false, 11, true
		m.radio.lastError = "registration denied, cause 11"
		m.setStat(statDenied)
		return
	}
	m.radio.searching = false
	m.radio.shownArea, m.radio.shownCell = coverage.AreaCode, coverage.CellID
	if coverage.Registration == "roaming" {
		m.setStat(statRoaming)
	} else {
		m.setStat(statHome)
	}
	m.clockFromNetwork()
	m.watch()
	m.retryDeliveries()
	m.happened("registered")
	m.indicateSoon()
}

// foreign says that an operator was chosen by hand that does not take this card.
func (m *Module) foreign() bool {
	c := m.conditions()
	return m.settings.copsMode == 1 && m.radio.manual != "" && len(c.Operators) > 0 && m.radio.manual != c.Operators[0].Numeric
}

// getStuck loses the network without a word and does not look for it.
func (m *Module) getStuck() {
	m.cancel(timerRadio)
	m.radio.stuck, m.radio.searching = true, false
	m.radio.stat = statOff // nothing is reported: that is the fault
	m.packetGone()
}

// unstick lets a module look for networks again.
func (m *Module) unstick() { m.radio.stuck, m.radio.refused = false, false }

// packetGone forgets the packet domain with the network.
func (m *Module) packetGone() {
	if m.packet.attached {
		m.detach()
	}
}

// cellChanged reports a change of area or cell to who asked for it (n of 2 or more).
func (m *Module) cellChanged() {
	c, r := &m.conditions().Coverage, &m.radio
	if !m.registered() || r.shownArea == c.AreaCode && r.shownCell == c.CellID {
		return
	}
	r.shownArea, r.shownCell = c.AreaCode, c.CellID
	for _, d := range domains {
		if n := *d.n(&m.settings); n >= 2 && (m.stat(d) == statHome || m.stat(d) == statRoaming) {
			m.unsolicited(d.name + ": " + m.registration(d, n))
		}
	}
}

// checkRegistration gives up a registration whose network has gone or can
// hardly be heard.
func (m *Module) checkRegistration() {
	signal := m.life.SignalDBm(m.now)
	gone := m.conditions().Coverage.Registration != answerOf(m.radio.stat)
	weak := signal < losesBelowDBm || signal < weakBelowDBm && m.air.Float64() < 0.25
	if !gone && !weak {
		m.watch()
		return
	}
	m.radio.lastError = "the network was lost"
	m.packetGone()
	m.search()
	m.indicateSoon()
}

// setStat changes the registration and reports it where that was asked for.
func (m *Module) setStat(stat int) {
	if m.radio.stat == stat {
		return
	}
	m.radio.stat = stat
	for _, d := range domains {
		if n := *d.n(&m.settings); n > 0 {
			m.unsolicited(d.name + ": " + m.registration(d, n))
		}
	}
	if m.exec.deadline > 0 {
		m.after(timerExec, 0) // +COPS waits for this
	}
}

// domain is one of the three registrations that 27.007 knows besides 5G's.
type domain struct {
	name string
	n    func(*settings) *int
	lte  bool // the domain of LTE
	data bool // the packet domain of 2G

	circuit bool // texts and calls
}

var domains = []domain{
	{"+CREG", func(s *settings) *int { return &s.creg }, false, false, true},
	{"+CGREG", func(s *settings) *int { return &s.cgreg }, false, true, false},
	{"+CEREG", func(s *settings) *int { return &s.cereg }, true, false, false},
}

// stat is the registration in one domain: in 2G there is no LTE, in LTE no 2G
// packet domain.
func (m *Module) stat(d domain) int {
	lte := m.conditions().Coverage.Access == "lte"
	switch {
	case d.lte && !lte, d.data && lte:
		if m.radio.stat == statOff {
			return statOff
		}
		return statUnknown
	case d.circuit && m.registered():
		switch m.conditions().Coverage.Circuit {
		case "denied":
			return statDenied
		case "none":
			return statOff
		}
	}
	return m.radio.stat
}

// registration writes <stat> and what goes with it at level n: 27.007 clause 7.2.
func (m *Module) registration(d domain, n int) string {
	stat, c := m.stat(d), &m.conditions().Coverage
	line := fmt.Sprint(stat)
	if n >= 2 && (stat == statHome || stat == statRoaming) {
		line += fmt.Sprintf(`,"%s","%s",%d`, c.AreaCode, c.CellID, m.access())
	}
	if n >= 3 && stat == statDenied {
		cause := m.radio.cause
		if cause == 0 {
			cause = c.DeniedCause // refused in this domain alone
		}
		line += fmt.Sprintf(`,"%s","%s",%d,0,%d`, c.AreaCode, c.CellID, m.access(), cause)
	}
	return line
}

// access is <AcT>, 27.007 clause 7.2.
func (m *Module) access() int {
	if m.conditions().Coverage.Access == "lte" {
		return 7
	}
	return 0
}

// rssi is <rssi> of 27.007 clause 8.5: -113 + 2n dBm, 99 when nothing is heard.
func (m *Module) rssi() int {
	if m.settings.cfun != 1 {
		return 99
	}
	signal := m.life.SignalDBm(m.now)
	if signal < -115 {
		return 99
	}
	return min(max(int(math.Round((signal+113)/2)), 0), 31)
}
