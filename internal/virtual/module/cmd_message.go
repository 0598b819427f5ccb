package module

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
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
		m.info(fmt.Sprintf("+CSMS: %d,1,1,1", m.settings.csms))
		return ok
	}
	v, fits := number(c, 0, 0)
	if !fits || v > 1 {
		return cms(302)
	}
	m.settings.csms = v
	if n := &m.network; v == 0 && n.ackBy > 0 {
		n.unsure, n.ackBy = n.unsure[:0], 0 // nothing has to be acknowledged any more
		m.retryDeliveries()
	}
	m.info("+CSMS: 1,1,1")
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
	for i := range m.saved {
		p := &m.saved[i]
		p.csmp, p.cscb, p.centre, p.centreType = m.settings.csmp, m.settings.cscb, m.settings.centre, m.settings.centreType
	}
	return ok
}

func runRestoreTexts(m *Module, c *at.Command) reply {
	if profile, fits := number(c, 0, 0); !fits || profile != 0 {
		return cms(302)
	}
	saved := &m.saved[0]
	m.settings.csmp, m.settings.cscb = saved.csmp, saved.cscb
	if m.settings.centre, m.settings.centreType = saved.centre, saved.centreType; saved.centre == "" {
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
	limits := [5]int{3, 3, 3, 2, 1}
	for i := range p {
		v, fits := number(c, i, 0) // 27.005 clause 3.4.1: the defaults are 0
		if !fits || v > limits[i] || len(c.Params) > len(p) {
			return cms(303)
		}
		p[i] = v
	}
	m.settings.cnmi = p
	if p[0] != 0 {
		m.untell(p[4] == 1) // <bfr> 1: they are cleared, 0: shown now
	}
	return ok
}

// runAcknowledge: 27.005 clauses 3.4.4 and 4.6. In PDU mode <n> 1 is yes and 2
// no; a length above 0 asks for a report to the service centre.
func runAcknowledge(m *Module, c *at.Command) reply {
	n, fits := number(c, 0, 0)
	length, fits2 := number(c, 1, 0)
	net := &m.network
	switch {
	case m.settings.csms != 1 || net.ackBy == 0:
		return cms(340) // no +CNMA acknowledgement expected
	case m.settings.cmgf == 1 && len(c.Params) > 0, !fits, !fits2, n > 2, len(c.Params) > 2:
		return cms(302)
	case length > 0 && m.exec.phase == 0:
		m.exec.send.length = length
		return reply{kind: replyText}
	case length > 0:
		p, err := sms.DecodeTPDU(strings.TrimSpace(string(m.entry.text)), sms.ToNetwork)
		if err != nil || p.TPDUOctets != length || p.Kind != sms.KindDeliverReport {
			return cms(304)
		}
	}
	if n == 2 {
		m.refuseUnsure()
		return ok
	}
	net.unsure, net.ackBy = net.unsure[:0], 0
	m.retryDeliveries() // what had to wait for this
	return ok
}

// runKeepLink: 27.005 clause 3.5.6. It is kept: one text costs one link here.
func runKeepLink(m *Module, c *at.Command) reply {
	return runNumber(0, 2, func(s *settings) *int { return &s.cmms })(m, c)
}

// runOrder sends a COMMAND to the service centre: 27.005 clauses 3.5.5 and 4.5.
func runOrder(m *Module, c *at.Command) reply {
	o := &m.exec.send.order
	if m.exec.phase == 0 {
		if m.settings.cmgf == 0 {
			n, fits := number(c, 0, 0)
			if !fits || n < 8 || n > longestTPDU {
				return cms(304)
			}
			m.exec.send.length = n
			return reply{kind: replyText}
		}
		fo, fits1 := number(c, 0, 0)
		kind, fits2 := number(c, 1, 0)
		mn, fits3 := number(c, 3, 0)
		to, quoted := text(c, 4)
		n, fits4 := m.fromTerminal(to)
		if !fits1 || !fits2 || !fits3 || !fits4 || fo > 255 || kind > 255 || mn > 255 || fo&3 != 2 || quoted && !isNumber(n) {
			return cms(305)
		}
		*o = order{byte(fo), byte(kind), byte(mn), n}
		return reply{kind: replyText}
	}
	if m.exec.phase == 1 {
		if m.settings.cmgf == 0 {
			p, err := sms.Decode(strings.TrimSpace(string(m.entry.text)), sms.ToNetwork)
			if err != nil || p.TPDUOctets != m.exec.send.length || p.Kind != sms.KindCommand {
				return cms(304)
			}
			*o = order{p.First.Octet, byte(p.Order), p.Number, p.Address.String()}
			m.exec.send.ownCentre = !p.SMSC.IsZero()
		}
		return m.onAir()
	}
	if m.exec.send.fails || !m.circuit() {
		return cms(332)
	}
	reference, r := m.order(o.kind, o.number, o.fo, o.to)
	if r == ok {
		m.info(fmt.Sprintf("+CMGC: %d", reference))
	}
	return r
}

// order is a COMMAND that is being sent: 23.040 clause 9.2.2.4.
type order struct {
	fo, kind, number byte
	to               string
}

const longestTPDU = 176 // 23.040: 164 octets and an address

// outgoing is the text that a send or write command is working on.
type outgoing struct {
	to     string
	length int
	text   message
	fails  bool // decided when it went on air

	ownCentre bool // the PDU names a service centre
	order     order
	status    int // of a text that is written to the store
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
	case m.settings.cfun != 1 || !m.circuit():
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
	if m.exec.send.fails || !m.circuit() {
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
	case m.storeReply(m.settings.memory[1]) != ok:
		return cms(320)
	case !fits || !inRange || !p.used || p.incoming:
		return cms(321)
	case m.exec.phase > 0:
		r := m.sent("+CMSS")
		if r == ok {
			p.status = statusSent
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
	e := &m.exec.send
	if m.exec.phase == 0 {
		status, fits := m.statusGiven(c)
		if !fits {
			return cms(305)
		}
		r := m.address(c, false)
		e.status = status
		return r
	}
	t, r := m.written()
	if r != ok {
		return r
	}
	where := m.settings.memory[1]
	if r := m.storeReply(where); r != ok {
		return r
	}
	i := m.store[where].add(t)
	if i < 0 {
		return cms(322)
	}
	m.info(fmt.Sprintf("+CMGW: %d", i+1))
	m.indicateSoon()
	return ok
}

// statusGiven reads <stat> of +CMGW: words in text mode, a number in PDU mode.
func (m *Module) statusGiven(c *at.Command) (status int, fits bool) {
	if m.settings.cmgf == 0 {
		n, fits := number(c, 1, statusUnsent)
		return n, fits && n < statusAll
	}
	word, quoted := text(c, 2)
	if !quoted {
		return statusUnsent, len(c.Params) < 3
	}
	n := slices.Index(statusWords[:statusAll], word)
	return n, n >= 0
}

// written makes a message of what was typed for the store. A received status
// makes it a received text.
func (m *Module) written() (t message, r reply) {
	e := &m.exec.send
	arrived := e.status <= statusRead
	if m.settings.cmgf == 0 && arrived {
		return arrivedPDU(m.entry.text, e.length, e.status)
	}
	if t, r = m.typed(); r != ok {
		return t, r
	}
	if t.status = e.status; arrived {
		t.incoming, t.fo, t.stamp = true, 4|t.fo&0x40, sms.StampOf(m.networkTime())
	}
	return t, ok
}
