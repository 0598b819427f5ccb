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
		numeric, known := m.knows(name, format)
		switch {
		case !known && mode == 4:
			mode = 0 // 27.007 clause 7.3: it then chooses itself
		case !known:
			return cme(30)
		default:
			m.choose(numeric)
		}
	case 0:
		m.choose("")
	}
	m.settings.copsMode = min(mode, 1)
	m.exec.manual = mode == 4
	m.unstick()
	if !m.registered() && !m.radio.searching {
		m.search()
	}
	m.exec.deadline = m.now.Add(registerWithin)
	return m.comeBack(m.jitter(takesLeave))
}

// choose notes the operator chosen by hand. Another one than that at hand is
// left for it: the module has to register anew.
func (m *Module) choose(numeric string) {
	c := m.conditions()
	home := ""
	if len(c.Operators) > 0 {
		home = c.Operators[0].Numeric
	}
	elsewhere := numeric != "" && numeric != home || numeric == "" && m.radio.refused
	m.radio.manual = numeric
	if elsewhere && (m.registered() || m.radio.refused) {
		m.packetGone()
		m.radio.refused = false
		m.radio.stat = statOff
		m.search()
	}
}

// operatorChosen is asked again until the network has answered.
func (m *Module) operatorChosen() reply {
	switch {
	case m.settings.copsMode == 2, m.registered():
		return ok
	case m.radio.stat == statDenied && m.exec.manual && m.radio.refused:
		// +COPS=4: the one chosen refuses, so the module chooses itself.
		m.exec.manual, m.settings.copsMode = false, 0
		m.choose("")
		return m.comeBack(m.exec.deadline.Sub(m.now))
	case m.radio.stat == statDenied:
		return cme(32)
	case m.now >= m.exec.deadline:
		return cme(30)
	}
	return m.comeBack(m.exec.deadline.Sub(m.now))
}

// knows finds a network of this place by a name.
func (m *Module) knows(name string, format int) (numeric string, known bool) {
	c := m.conditions()
	if c.Coverage.Registration == "none" {
		return "", false
	}
	for _, o := range c.Operators {
		if name == [3]string{o.Long, o.Short, o.Numeric}[format] {
			return o.Numeric, true
		}
	}
	return "", false
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
