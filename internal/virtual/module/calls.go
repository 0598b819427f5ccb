package module

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Calls: V.250 clause 6.3; 27.007 clauses 6.5, 6.11, 7.6, 7.7, 7.18. There is at
// most one at a time; nobody speaks in it.

// call is the one call there may be.
type call struct {
	state    callState
	incoming bool
	number   string
	rings    int
	until    when.Instant // when the other side gives up, or hangs up
	answer   when.Instant // when the other side answers
}

// callState is <stat> of +CLCC, 27.007 clause 7.18, one more: 0 is no call.
type callState uint8

const (
	noCall callState = iota
	callActive
	callHeld
	callDialling
	callAlerting
	callRinging
)

// Times of calls. Rings come every five seconds, as in most networks; the
// others are our choice.
const (
	ringEvery    = 5 * time.Second
	alertsAfter  = 2 * time.Second
	answersAfter = 7 * time.Second
	hangsUpAfter = 60 * time.Second
)

// callComes begins an incoming call, when the network can reach the module.
func (m *Module) callComes(a world.Arrival) {
	if !m.voice() || m.call.state != noCall {
		return
	}
	m.call = call{state: callRinging, incoming: true, number: a.From, until: m.now.Add(time.Duration(a.ForS * float64(time.Second)))}
	m.happened("call")
	m.ring()
	m.indicateSoon()
}

// voice says that calls are possible: a network with circuits that has taken the module.
func (m *Module) voice() bool { return m.circuit() && m.conditions().Calls.Voice }

// ring says that somebody calls, and who.
func (m *Module) ring() {
	k := &m.call
	k.rings++
	if m.settings.crc == 1 {
		m.unsolicited("+CRING: VOICE") // 27.007 clause 6.11
	} else {
		m.unsolicitedResult(replyRing)
	}
	if m.settings.clip == 1 {
		switch m.conditions().Calls.Caller {
		case "shown":
			m.unsolicited(fmt.Sprintf(`+CLIP: "%s",%d,,,,0`, m.toTerminal(k.number), numberType(k.number)))
		case "withheld":
			m.unsolicited(`+CLIP: "",128,,,,1`) // 27.007 clause 7.6: withheld by the caller
		}
	}
	if s0 := m.settings.s[0]; s0 > 0 && k.rings >= s0 { // V.250 6.3.8
		m.after(timerCall, time.Second)
		return
	}
	m.due[timerCall] = min(m.now.Add(ringEvery), k.until)
}

// callStep does what is due in a call.
func (m *Module) callStep() {
	k := &m.call
	switch {
	case k.state == noCall:
		return
	case !m.voice():
		m.callEnds(k.state == callActive)
	case k.state == callRinging && m.now >= k.until:
		m.callEnds(false)
	case k.state == callRinging && m.settings.s[0] > 0 && k.rings >= m.settings.s[0]:
		m.pickUp()
	case k.state == callRinging:
		m.ring()
	case k.state == callDialling:
		k.state = callAlerting
		m.due[timerCall] = k.answer
	case k.state == callAlerting:
		k.state = callActive
		k.until = m.now.Add(hangsUpAfter)
		m.due[timerCall] = k.until
	default:
		m.callEnds(true)
	}
	m.indicateSoon()
}

// pickUp makes a ringing call an active one.
func (m *Module) pickUp() {
	m.transmit(transmitMessage)
	m.call.state = callActive
	m.call.until = m.now.Add(hangsUpAfter)
	m.due[timerCall] = m.call.until
}

// callEnds forgets the call; told says that the controller hears of it.
func (m *Module) callEnds(told bool) {
	m.call = call{}
	m.cancel(timerCall)
	if told {
		m.unsolicitedResult(replyNoCarrier)
	}
	m.indicateSoon()
}

// unsolicitedResult writes a result code that belongs to no command.
func (m *Module) unsolicitedResult(kind replyKind) {
	if m.settings.quiet {
		return
	}
	code := resultCodes[kind]
	if !m.settings.numeric {
		m.unsolicited(code.words)
		return
	}
	m.pending = append(m.pending, code.digit, byte(m.settings.s[3]))
	m.flush()
}

// runDial: V.250 6.3.1 and 27.007 clause 6.2. A dial string with ";" is a call
// to talk; *99# is packet data; all else asks for a data call, which this
// network does not carry.
func runDial(m *Module, c *at.Command) reply {
	number := strings.Map(func(r rune) rune {
		if strings.ContainsRune("0123456789+*#", r) {
			return r
		}
		return -1
	}, c.Value)
	if strings.HasPrefix(number, "*99") {
		return m.dialData(number)
	}
	k := &m.call
	if m.exec.phase == 0 {
		if k.state != noCall || number == "" || !m.voice() {
			m.radio.lastError = "no call is possible"
			return reply{kind: replyNoCarrier}
		}
		if !m.transmit(transmitMessage) {
			return m.comeBack(noAnswerAfter) // the restart comes first
		}
		if !strings.HasSuffix(strings.TrimSpace(c.Text), ";") {
			return m.comeBack(m.jitter(takesSend))
		}
		m.happened("call")
		*k = call{state: callDialling, number: number, answer: m.now.Add(around(m.luck, answersAfter))}
		m.after(timerCall, alertsAfter)
		m.indicateSoon()
		return ok // 27.007 clause 6.2: with ";" the module stays in command state
	}
	m.radio.lastError = "this network carries no data calls"
	return reply{kind: replyNoCarrier}
}

// runAnswer: V.250 6.3.5.
func runAnswer(m *Module, _ *at.Command) reply {
	if m.call.state != callRinging {
		return reply{kind: replyNoCarrier}
	}
	if m.exec.phase == 0 {
		return m.comeBack(m.jitter(takesRadio) + 400*time.Millisecond)
	}
	m.pickUp()
	return ok
}

// runHangUp: V.250 6.3.6, and +CHUP of 27.007 clause 6.5.
func runHangUp(m *Module, c *at.Command) reply {
	if c.Number > 0 {
		return failed
	}
	if m.data.open {
		m.hangUpData()
		return ok
	}
	if m.call.state != noCall {
		m.callEnds(false)
	}
	return ok
}

// runCalls: 27.007 clause 7.18.
func runCalls(m *Module, _ *at.Command) reply {
	k := &m.call
	if k.state != noCall {
		m.info(fmt.Sprintf(`+CLCC: 1,%s,%d,0,0,"%s",%d`, bit(k.incoming), int(k.state)-1, m.toTerminal(k.number), numberType(k.number)))
	}
	return ok
}

func runCallerNumber(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info(fmt.Sprintf("+CLIP: %d,1", m.settings.clip))
		return ok
	}
	v, fits := number(c, 0, 0)
	if !fits || v > 1 {
		return cme(50)
	}
	m.settings.clip = v
	return ok
}

func runOwnNumberShown(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info(fmt.Sprintf("+CLIR: %d,4", m.settings.clir)) // 4: allowed by default, 27.007 clause 7.7
		return ok
	}
	v, fits := number(c, 0, 0)
	if !fits || v > 2 {
		return cme(50)
	}
	m.settings.clir = v
	return ok
}
