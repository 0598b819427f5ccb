package module

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/wire/at"
)

// Sending and setting up texts: 27.005 chapters 3 and 4.

func runCharset(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info(`+CSCS: "` + m.settings.cscs + `"`)
		return ok
	}
	name, _ := text(c, 0)
	switch name = strings.ToUpper(name); name {
	case "GSM", "IRA", "UCS2", "HEX":
		m.settings.cscs = name
		return ok
	}
	return cme(50)
}

func runService(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info(fmt.Sprintf("+CSMS: %d,1,1,0", m.settings.csms))
		return ok
	}
	v, fits := number(c, 0, 0)
	if !fits || v > 1 {
		return cms(302)
	}
	m.settings.csms = v
	m.info("+CSMS: 1,1,0")
	return ok
}

func runCentre(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info(fmt.Sprintf(`+CSCA: "%s",%d`, m.toTerminal(m.settings.centre), m.settings.centreType))
		return ok
	}
	typed, quoted := text(c, 0)
	n, fits := m.fromTerminal(typed)
	kind, fits2 := number(c, 1, numberType(n))
	if !quoted || !fits || !fits2 || n != "" && !isNumber(n) {
		return cms(305)
	}
	m.settings.centre, m.settings.centreType = n, kind
	return ok
}

// isNumber says that a text can be a telephone number: digits, with "+" in
// front for an international one; at most 20 (23.040 clause 9.1.2.5).
func isNumber(n string) bool {
	digits := strings.TrimPrefix(n, "+")
	ok := len(digits) > 0 && len(digits) <= 20
	for i := range len(digits) {
		ok = ok && digits[i] >= '0' && digits[i] <= '9'
	}
	return ok
}

func runTextParameters(m *Module, c *at.Command) reply {
	p := m.settings.csmp
	switch c.Form {
	case at.Test:
		return ok
	case at.Read:
		m.info(fmt.Sprintf("+CSMP: %d,%d,%d,%d", p[0], p[1], p[2], p[3]))
		return ok
	}
	if len(c.Params) > len(p) {
		return cms(302)
	}
	for i := range p {
		v, fits := number(c, i, p[i]) // what is left out keeps its value
		if !fits || v > 255 {
			return cms(305)
		}
		p[i] = v
	}
	m.settings.csmp = p
	return ok
}

func runSaveTexts(m *Module, c *at.Command) reply {
	if profile, fits := number(c, 0, 0); !fits || profile != 0 {
		return cms(302)
	}
	m.saved.csmp, m.saved.centre, m.saved.centreType = m.settings.csmp, m.settings.centre, m.settings.centreType
	return ok
}

func runRestoreTexts(m *Module, c *at.Command) reply {
	if profile, fits := number(c, 0, 0); !fits || profile != 0 {
		return cms(302)
	}
	m.settings.csmp = m.saved.csmp
	if m.settings.centre, m.settings.centreType = m.saved.centre, m.saved.centreType; m.saved.centre == "" {
		m.takeCentre()
	}
	return ok
}

func runIndications(m *Module, c *at.Command) reply {
	p := m.settings.cnmi
	if c.Form == at.Read {
		m.info(fmt.Sprintf("+CNMI: %d,%d,%d,%d,%d", p[0], p[1], p[2], p[3], p[4]))
		return ok
	}
	limits := [5]int{3, 3, 0, 1, 1}
	for i := range p {
		v, fits := number(c, i, 0) // 27.005 clause 3.4.1: the defaults are 0
		if !fits || v > limits[i] || len(c.Params) > len(p) {
			return cms(303)
		}
		p[i] = v
	}
	m.settings.cnmi = p
	if p[0] != 0 {
		held := m.network.buffered
		m.network.buffered = nil
		for _, line := range held {
			if p[4] == 0 { // <bfr> 0: they are shown now
				m.unsolicited(line)
			}
		}
	}
	return ok
}

func runAcknowledge(m *Module, _ *at.Command) reply {
	if m.settings.csms != 1 || m.network.ackBy == 0 {
		return cms(340)
	}
	m.network.ackBy = 0
	m.schedule()
	return ok
}

// outgoing is the text that a send or write command is working on.
type outgoing struct {
	to     string
	length int
	text   message
	fails  bool // decided when it went on air

	ownCentre bool // the PDU names a service centre
}

// runSend: 27.005 clauses 3.5.1 and 4.3.
func runSend(m *Module, c *at.Command) reply {
	switch m.exec.phase {
	case 0:
		return m.address(c, true)
	case 1:
		t, r := m.typed()
		if r != ok {
			return r
		}
		m.exec.send.text = t
		return m.onAir()
	}
	return m.sent("+CMGS")
}

// address reads what stands behind +CMGS= or +CMGW=: a number in text mode, a
// length in PDU mode.
func (m *Module) address(c *at.Command, needed bool) reply {
	if m.settings.cmgf == 0 {
		const longestTPDU = 176 // 23.040: 164 octets and an address
		n, fits := number(c, 0, 0)
		if !fits || n < 8 || n > longestTPDU {
			return cms(304)
		}
		m.exec.send.length = n
		return reply{kind: replyText}
	}
	to, quoted := text(c, 0)
	if to == "" && !needed {
		return reply{kind: replyText}
	}
	n, fits := m.fromTerminal(to)
	if kind, typeFits := number(c, 1, 129); fits && typeFits && kind == 145 && !strings.HasPrefix(n, "+") {
		n = "+" + n
	}
	if !quoted || !fits || !isNumber(n) {
		return cms(305)
	}
	m.exec.send.to = n
	return reply{kind: replyText}
}

// typed makes a message of what was typed at the prompt.
func (m *Module) typed() (message, reply) {
	if m.entry.tooLong {
		return message{}, cms(305)
	}
	if m.settings.cmgf == 0 {
		t, ownCentre, r := fromPDU(m.entry.text, m.exec.send.length)
		m.exec.send.ownCentre = ownCentre
		return t, r
	}
	return m.compose(m.exec.send.to, m.entry.text)
}

// How a text fails that the network does not answer; our estimate of a usual
// module's patience is less than the 35 to 45 s of 3GPP TS 24.011 clause 10.1.
const noAnswerAfter = 25 * time.Second

// onAir transmits the text of the running command.
func (m *Module) onAir() reply {
	switch {
	case m.settings.cfun != 1 || !m.registered():
		return cms(331)
	case m.settings.centre == "" && !m.exec.send.ownCentre:
		return cms(330)
	}
	if !m.transmit(transmitMessage) {
		return m.comeBack(noAnswerAfter) // the restart comes first
	}
	if m.life.SignalDBm(m.now) < weakBelowDBm && m.air.Float64() < 0.5 {
		m.exec.send.fails = true
		return m.comeBack(m.jitter(noAnswerAfter))
	}
	return m.comeBack(m.jitter(takesSend))
}

// sent ends a command whose text was on air.
func (m *Module) sent(name string) reply {
	if m.exec.send.fails || !m.registered() {
		m.radio.lastError = "the service centre did not answer"
		return cms(332)
	}
	reference, r := m.accept(m.exec.send.text)
	if r == ok {
		m.info(fmt.Sprintf("%s: %d", name, reference))
	}
	return r
}

// runSendStored: 27.005 clauses 3.5.2 and 4.7.
func runSendStored(m *Module, c *at.Command) reply {
	index, fits := number(c, 0, 0)
	p, inRange := m.store[m.settings.memory[1]].at(index)
	switch {
	case !fits || !inRange || !p.used || p.incoming:
		return cms(321)
	case m.exec.phase > 0:
		r := m.sent("+CMSS")
		if r == ok {
			p.status = 3
		}
		return r
	}
	m.exec.send.text = p.message
	if to, quoted := text(c, 1); quoted {
		n, fits := m.fromTerminal(to)
		if !fits || !isNumber(n) {
			return cms(305)
		}
		m.exec.send.text.peer = n
	}
	if m.exec.send.text.peer == "" {
		return cms(305)
	}
	return m.onAir()
}

// runWrite: 27.005 clauses 3.5.3 and 4.4.
func runWrite(m *Module, c *at.Command) reply {
	if m.exec.phase == 0 {
		return m.address(c, false)
	}
	t, r := m.typed()
	if r != ok {
		return r
	}
	where := m.settings.memory[1]
	i := m.store[where].add(t)
	if i < 0 {
		return cms(322)
	}
	m.info(fmt.Sprintf("+CMGW: %d", i+1))
	return ok
}
