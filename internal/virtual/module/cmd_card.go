package module

import (
	"fmt"

	"firstfix/internal/wire/at"
)

// The card: 27.007 clauses 5.6, 7.1, 7.4, 8.3.

func runPIN(m *Module, c *at.Command) reply {
	words, problem := m.cardState()
	switch {
	case c.Form == at.Test:
		return ok
	case problem != ok:
		return problem
	case c.Form == at.Read:
		m.info("+CPIN: " + words)
		return ok
	}
	first, _ := text(c, 0)
	second, _ := text(c, 1)
	switch {
	case words == "READY":
		return cme(3)
	case words == "SIM PUK" && len(c.Params) == 2:
		return m.tryPUK(first, second)
	case words == "SIM PUK":
		return cme(12)
	case !isPIN(first) || len(c.Params) != 1:
		return cme(50) // the card never sees it: no try is lost
	}
	return m.tryPIN(first)
}

func runSubscriber(m *Module, _ *at.Command) reply {
	m.info(m.conditions().Card.IMSI)
	return ok
}

func runOwnNumber(m *Module, _ *at.Command) reply {
	if n := m.conditions().Card.Number; n != "" {
		m.info(fmt.Sprintf(`+CNUM: "","%s",%d`, m.toTerminal(n), numberType(n)))
	}
	return ok
}

// runLock asks whether the PIN is on, and switches it: +CLCK="SC".
func runLock(m *Module, c *at.Command) reply {
	facility, _ := text(c, 0)
	mode, fits := number(c, 1, 2)
	password, _ := text(c, 2)
	if facility != "SC" || !fits || mode > 2 {
		return cme(50)
	}
	if mode == 2 {
		if _, problem := m.cardState(); problem != ok {
			return problem
		}
		m.info("+CLCK: " + bit(m.card.pin != ""))
		return ok
	}
	if r := m.cardReply(false); r != ok {
		return r
	}
	switch {
	case mode == 0 && m.card.pin == "", mode == 1 && m.card.pin != "":
		return ok
	case mode == 1 && !isPIN(password):
		return cme(50)
	case mode == 1:
		m.card.pin = password
		return ok
	}
	if r := m.tryPIN(password); r != ok {
		return r
	}
	m.card.pin = ""
	return ok
}

func numberType(n string) int {
	if len(n) > 0 && n[0] == '+' {
		return 145 // international, 27.005 clause 3.1
	}
	return 129
}
