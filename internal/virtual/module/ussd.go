package module

import (
	"fmt"
	"time"

	"firstfix/internal/wire/at"
)

// Service codes: 27.007 clause 7.15.

// ussdTakes is how long the network thinks; our estimate.
const ussdTakes = 3 * time.Second

// maxUSSD bounds what waits for an answer.
const maxUSSD = 5

// serviceCodes are what the invented network answers.
var serviceCodes = []struct{ code, answer string }{
	{"*100#", "Moorfunk: your balance is 12.40. Valid until 31.12."},
	{"*101#", "Moorfunk: 83 of 100 texts left this month."},
}

func runServiceCode(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info(fmt.Sprintf("+CUSD: %d", m.settings.cusd))
		return ok
	}
	n, fits := number(c, 0, 0)
	if !fits || n > 2 {
		return cme(50)
	}
	typed, quoted := text(c, 1)
	switch {
	case n == 2: // cancel the session
		m.ussd = nil
		m.cancel(timerUSSD)
		return ok
	case !quoted:
		m.settings.cusd = n
		return ok
	case m.settings.cfun != 1 || !m.circuit():
		return cme(30)
	case len(m.ussd) >= maxUSSD:
		return cme(3)
	}
	m.settings.cusd = n
	code, fits := m.fromTerminal(typed)
	if !fits {
		return cme(50)
	}
	if !m.transmit(transmitMessage) {
		return m.comeBack(noAnswerAfter) // the restart comes first
	}
	m.ussd = append(m.ussd, code)
	m.after(timerUSSD, around(m.luck, ussdTakes))
	return ok
}

// ussdDue brings the network's answer to the oldest code.
func (m *Module) ussdDue() {
	if len(m.ussd) == 0 {
		return
	}
	code := m.ussd[0]
	m.ussd = m.ussd[1:]
	if len(m.ussd) > 0 {
		m.after(timerUSSD, around(m.luck, ussdTakes))
	}
	if m.power != running || !m.circuit() || m.settings.cusd == 0 {
		return
	}
	for _, s := range serviceCodes {
		if s.code == code {
			m.unsolicited(fmt.Sprintf(`+CUSD: 0,"%s",15`, m.toTerminal(s.answer)))
			return
		}
	}
	m.unsolicited("+CUSD: 4") // 27.007 clause 7.15: operation not supported
}
