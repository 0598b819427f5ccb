package module

import (
	"fmt"

	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
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
	case words != "SIM PIN":
		return cme(16) // the code of a lock is nobody's here: every one is wrong
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

// runTries: 27.007 clause 8.65, how often each code may still be tried.
func runTries(m *Module, c *at.Command) reply {
	only, _ := text(c, 0)
	for _, r := range []struct {
		code        string
		left, usual int
	}{{"SIM PIN", m.card.tries, 3}, {"SIM PUK", m.card.pukTries, 10}} {
		if only == "" || only == r.code {
			m.info(fmt.Sprintf("+CPINR: %s,%d,%d", r.code, r.left, r.usual))
		}
	}
	return ok
}

// runPassword changes the PIN: +CPWD="SC","old","new", 27.007 clause 7.5.
func runPassword(m *Module, c *at.Command) reply {
	facility, _ := text(c, 0)
	old, _ := text(c, 1)
	fresh, _ := text(c, 2)
	if facility != "SC" || !isPIN(fresh) {
		return cme(50)
	}
	if m.card.pin == "" {
		return cme(3) // 27.007 clause 7.5: the PIN has to be on
	}
	if r := m.tryPIN(old); r != ok {
		return r
	}
	m.card.pin = fresh
	return ok
}

// numberType is the type of address, 27.005 clause 3.1.
func numberType(n string) int {
	if n == "" {
		return 129
	}
	return sms.TypeOfNumber(n)
}
