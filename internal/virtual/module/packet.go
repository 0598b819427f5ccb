package module

import (
	"fmt"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// contexts is how many packet contexts there are; most modules have a few.
const contexts = 3

// packet is the packet domain, 27.007 chapter 10.
type packet struct {
	attached bool
	contexts [contexts]context
}

// context is one packet context.
type context struct {
	defined  bool
	active   bool
	since    when.Instant
	name     string // access point
	kind     string // "IP"
	auth     int    // +CGAUTH: 0 none, 1 PAP, 2 CHAP
	user     string
	password string
}

func runContext(m *Module, c *at.Command) reply {
	p := &m.packet
	if c.Form == at.Read {
		for i := range contexts {
			if x := &p.contexts[i]; x.defined {
				m.info(fmt.Sprintf(`+CGDCONT: %d,"%s","%s","%s",0,0`, i+1, x.kind, m.toTerminal(x.name), m.given(i)))
			}
		}
		return ok
	}
	id, fits := number(c, 0, 0)
	kind, _ := text(c, 1)
	name, _ := text(c, 2)
	if !fits || id < 1 || id > contexts || len(name) > 100 {
		return cme(50)
	}
	if len(c.Params) == 1 {
		p.contexts[id-1] = context{}
		return ok
	}
	if kind == "" {
		kind = "IP"
	}
	if kind != "IP" && kind != "IPV6" && kind != "IPV4V6" {
		return cme(50)
	}
	x := &p.contexts[id-1]
	x.defined, x.kind, x.name = true, kind, name
	return ok
}

// given is the address that the network gave; from a block kept for documents (RFC 5737).
func (m *Module) given(i int) string {
	if !m.packet.contexts[i].active || m.conditions().Packet.NoAddress {
		return "0.0.0.0"
	}
	return fmt.Sprintf("192.0.2.%d", 10+i)
}

// packetDomain says that the module is registered for packet data.
func (m *Module) packetDomain() bool { return m.settings.cfun == 1 && m.registered() }

// attach tries to attach. False: it was refused.
func (m *Module) attach() bool {
	c := m.conditions()
	if !m.packetDomain() || c.Packet.Attach != "accepted" || !c.Card.Contract.Data {
		m.radio.lastError = fmt.Sprintf("packet service refused, cause %d", c.Packet.Cause)
		m.packet.attached = false
		return false
	}
	m.packet.attached = true
	return true
}

// activate tries to activate a context. False: it was refused.
func (m *Module) activate(i int) bool {
	c := m.conditions()
	x := &m.packet.contexts[i]
	if c.Packet.Activate != "accepted" {
		m.radio.lastError = fmt.Sprintf("packet context refused, cause %d", c.Packet.Cause)
		return false
	}
	if !x.active {
		x.active, x.since = true, m.now
		m.happened("context-active")
		m.event(fmt.Sprintf("ME PDN ACT %d", i+1))
		m.contextsWatch()
	}
	return true
}

// deactivate ends a context.
func (m *Module) deactivate(i int, event string) {
	if x := &m.packet.contexts[i]; x.active {
		x.active = false
		if m.data.open && m.data.cid == i+1 {
			m.dropData()
		}
		m.event(fmt.Sprintf("%s %d", event, i+1))
	}
}

// detach loses the packet domain with all its contexts.
func (m *Module) detach() {
	if !m.packet.attached {
		return
	}
	for i := range contexts {
		m.deactivate(i, "NW PDN DEACT")
	}
	m.packet.attached = false
	m.event("NW DETACH")
}

// contextsWatch sets the timer to the next context that the network ends.
func (m *Module) contextsWatch() {
	m.cancel(timerPacket)
	drops := m.conditions().Packet.DropsAfterS
	for i := range contexts {
		if x := &m.packet.contexts[i]; x.active && drops > 0 {
			m.due[timerPacket] = min(m.due[timerPacket], max(x.since.Add(time.Duration(drops*float64(time.Second))), m.now))
		}
	}
}

// contextEnds ends the contexts whose time is over.
func (m *Module) contextEnds() {
	drops := time.Duration(m.conditions().Packet.DropsAfterS * float64(time.Second))
	for i := range contexts {
		if x := &m.packet.contexts[i]; x.active && drops > 0 && m.now.Sub(x.since) >= drops {
			m.deactivate(i, "NW PDN DEACT")
		}
	}
	m.contextsWatch()
}

// event tells of packet events: +CGEREP, 27.007 clause 10.1.19.
func (m *Module) event(words string) {
	if m.settings.cgerep[0] > 0 && m.power == running {
		m.unsolicited("+CGEV: " + words)
	}
}

func runAttach(m *Module, c *at.Command) reply {
	p := &m.packet
	if c.Form == at.Read {
		m.info("+CGATT: " + bit(p.attached))
		return ok
	}
	v, fits := number(c, 0, 1)
	if !fits || v > 1 {
		return cme(50)
	}
	switch {
	case m.exec.phase > 0 && v == 0:
		for i := range contexts {
			m.deactivate(i, "ME PDN DEACT")
		}
		p.attached = false
		return ok
	case m.exec.phase > 0:
		if !m.packetDomain() {
			return cme(30)
		}
		if !m.attach() {
			return cme(m.conditions().Packet.Cause)
		}
		return ok
	case !m.packetDomain():
		return cme(30)
	case p.attached == (v == 1):
		return ok
	}
	m.transmit(transmitAttach)
	return m.comeBack(m.jitter(takesAttach))
}

func runActivate(m *Module, c *at.Command) reply {
	p := &m.packet
	if c.Form == at.Read {
		for i := range contexts {
			if p.contexts[i].defined {
				m.info(fmt.Sprintf("+CGACT: %d,%s", i+1, bit(p.contexts[i].active)))
			}
		}
		return ok
	}
	v, fits := number(c, 0, 1)
	id, fits2 := number(c, 1, 1)
	if !fits || !fits2 || v > 1 || id < 1 || id > contexts {
		return cme(50)
	}
	x := &p.contexts[id-1]
	switch {
	case m.exec.phase > 0 && v == 0:
		m.deactivate(id-1, "ME PDN DEACT")
		return ok
	case m.exec.phase > 0:
		if !p.attached {
			return cme(30)
		}
		if !m.activate(id - 1) {
			return cme(m.conditions().Packet.Cause)
		}
		return ok
	case !x.defined:
		return cme(143) // unknown context
	case v == 1 && !p.attached:
		return cme(3)
	case x.active == (v == 1):
		return ok
	}
	m.transmit(transmitAttach)
	return m.comeBack(m.jitter(takesContext))
}

func runAddress(m *Module, c *at.Command) reply {
	only, fits := number(c, 0, 0)
	if !fits || only > contexts {
		return cme(50)
	}
	for i := range contexts {
		if m.packet.contexts[i].defined && (only == 0 || only == i+1) {
			m.info(fmt.Sprintf(`+CGPADDR: %d,"%s"`, i+1, m.given(i)))
		}
	}
	return ok
}

// runContextFacts: 27.007 clause 10.1.23. The name servers are out of a block
// kept for documents (RFC 5737).
func runContextFacts(m *Module, c *at.Command) reply {
	only, fits := number(c, 0, 0)
	if !fits || only > contexts {
		return cme(50)
	}
	for i := range contexts {
		if x := &m.packet.contexts[i]; x.active && (only == 0 || only == i+1) {
			m.info(fmt.Sprintf(`+CGCONTRDP: %d,5,"%s","%s.255.255.255.0","192.0.2.1","192.0.2.53","192.0.2.54"`, i+1, m.toTerminal(x.name), m.given(i)))
		}
	}
	return ok
}

// runAuth: 27.007 clause 10.1.31.
func runAuth(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		for i := range contexts {
			if x := &m.packet.contexts[i]; x.defined {
				m.info(fmt.Sprintf(`+CGAUTH: %d,%d,"%s"`, i+1, x.auth, m.toTerminal(x.user))) // the password stays inside
			}
		}
		return ok
	}
	id, fits := number(c, 0, 0)
	auth, fits2 := number(c, 1, 0)
	user, _ := text(c, 2)
	password, _ := text(c, 3)
	if !fits || !fits2 || id < 1 || id > contexts || auth > 2 || len(user) > 64 || len(password) > 64 {
		return cme(50)
	}
	x := &m.packet.contexts[id-1]
	x.auth, x.user, x.password = auth, user, password
	if auth == 0 {
		x.user, x.password = "", ""
	}
	return ok
}

// runEventReports: 27.007 clause 10.1.19.
func runEventReports(m *Module, c *at.Command) reply {
	p := m.settings.cgerep
	if c.Form == at.Read {
		m.info(fmt.Sprintf("+CGEREP: %d,%d", p[0], p[1]))
		return ok
	}
	for i, most := range []int{2, 1} {
		v, fits := number(c, i, 0)
		if !fits || v > most {
			return cme(50)
		}
		p[i] = v
	}
	m.settings.cgerep = p
	return ok
}
