package module

import (
	"fmt"
	"math"
	"strings"
	"time"

	"firstfix/internal/wire/at"
)

// The network: 27.007 chapters 7 and 8.

func runRegistration(m *Module, c *at.Command) reply {
	for _, d := range domains {
		if d.name != c.Name {
			continue
		}
		n := d.n(&m.settings)
		if c.Form == at.Read {
			m.info(fmt.Sprintf("%s: %d,%s", d.name, *n, m.registration(d, *n)))
			return ok
		}
		v, fits := number(c, 0, 0)
		if !fits || v > 3 || len(c.Params) > 1 {
			return cme(50)
		}
		*n = v
	}
	return ok
}

func runSignal(m *Module, _ *at.Command) reply {
	ber := 99
	if m.registered() {
		ber = 0
	}
	m.info(fmt.Sprintf("+CSQ: %d,%d", m.rssi(), ber))
	return ok
}

// runExtendedSignal answers the fields of the network at hand; the others are
// not known (27.007 clause 8.69).
func runExtendedSignal(m *Module, _ *at.Command) reply {
	signal := m.life.SignalDBm(m.now)
	rxlev, rsrp, rsrq := 99, 255, 255
	if m.settings.cfun == 1 && signal >= -115 {
		if m.access() == 7 {
			rsrp = min(max(int(math.Floor(signal-25+141)), 0), 97) // a level over 50 blocks, about 25 dB below the sum; our estimate
			rsrq = 20
		} else {
			rxlev = min(max(int(math.Floor(signal+111)), 0), 63)
		}
	}
	ber := 99
	if rxlev != 99 && m.registered() {
		ber = 0
	}
	m.info(fmt.Sprintf("+CESQ: %d,%d,255,255,%d,%d", rxlev, ber, rsrq, rsrp))
	return ok
}

// runLastError: 27.007 clause 6.10, the report of the last failure in words.
func runLastError(m *Module, _ *at.Command) reply {
	words := m.radio.lastError
	if words == "" {
		words = "no failure"
	}
	m.info("+CEER: " + words)
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

// registerWithin is how long +COPS waits for the network; our choice.
const registerWithin = 60 * time.Second

// runOperator: 27.007 clause 7.3.
func runOperator(m *Module, c *at.Command) reply {
	switch {
	case c.Form == at.Read:
		m.info("+COPS: " + m.operator())
		return ok
	case c.Form == at.Test:
		return m.searchNetworks()
	case m.exec.phase > 0:
		return m.operatorChosen()
	}
	mode, fits := number(c, 0, 0)
	format, fits2 := number(c, 1, m.settings.copsFormat)
	if !fits || !fits2 || mode > 4 || format > 2 {
		return cme(50)
	}
	if r := m.cardReply(false); r != ok && mode != 3 {
		return r
	}
	if m.settings.cfun != 1 && mode != 3 {
		return cme(3)
	}
	switch mode {
	case 2:
		m.settings.copsMode = 2
		if m.registered() {
			m.transmit(transmitRegistration)
		}
		m.look()
		return m.comeBack(m.jitter(takesLeave))
	case 3:
		m.settings.copsFormat = format
		return ok
	case 1, 4:
		name, _ := text(c, 2)
		if !m.knows(name, format) {
			return cme(30)
		}
	}
	m.settings.copsMode = min(mode, 1)
	if !m.registered() && !m.radio.searching {
		m.search()
	}
	m.exec.deadline = m.now.Add(registerWithin)
	return m.comeBack(m.jitter(takesLeave))
}

// operatorChosen is asked again until the network has answered.
func (m *Module) operatorChosen() reply {
	switch {
	case m.settings.copsMode == 2, m.registered():
		return ok
	case m.radio.stat == statDenied:
		return cme(32)
	case m.now >= m.exec.deadline:
		return cme(30)
	}
	return m.comeBack(m.exec.deadline.Sub(m.now))
}

// knows says whether the place has a network that the card may use under that name.
func (m *Module) knows(name string, format int) bool {
	c := m.conditions()
	if len(c.Operators) == 0 || c.Coverage.Registration == "none" {
		return false
	}
	o := c.Operators[0]
	return name == [3]string{o.Long, o.Short, o.Numeric}[format]
}

func (m *Module) operator() string {
	c := m.conditions()
	if !m.registered() || len(c.Operators) == 0 {
		return fmt.Sprint(m.settings.copsMode)
	}
	o := c.Operators[0]
	name := [3]string{o.Long, o.Short, o.Numeric}[m.settings.copsFormat]
	if m.settings.copsFormat < 2 {
		name = m.toTerminal(name)
	}
	return fmt.Sprintf(`%d,%d,"%s",%d`, m.settings.copsMode, m.settings.copsFormat, name, m.access())
}

// searchNetworks takes its time, and may be aborted meanwhile.
func (m *Module) searchNetworks() reply {
	if m.exec.phase == 0 {
		if m.settings.cfun != 1 {
			return cme(3)
		}
		return m.comeBack(m.jitter(takesSearch))
	}
	if m.life.SignalDBm(m.now) < losesBelowDBm {
		return cme(30)
	}
	c := m.conditions()
	var list []string
	for i, o := range c.Operators {
		stat := 3 // forbidden
		switch {
		case i == 0 && m.registered():
			stat = 2
		case i == 0 && c.Coverage.Registration != "denied" && c.Coverage.Registration != "none":
			stat = 1
		}
		list = append(list, fmt.Sprintf(`(%d,"%s","%s","%s",%d)`, stat, m.toTerminal(o.Long), m.toTerminal(o.Short), o.Numeric, m.access()))
	}
	m.info("+COPS: " + strings.Join(append(list, ",(0-4),(0-2)"), ","))
	return ok
}
