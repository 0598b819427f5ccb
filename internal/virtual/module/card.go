package module

import (
	"time"

	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
)

// card is the SIM card as the module knows it. What is written on the card
// survives a restart; whether its PIN was given does not.
type card struct {
	open     bool   // the PIN was given, or none is asked
	read     bool   // the card was looked at before
	planted  string // the PIN as the world had it then
	pin      string
	tries    int
	pukTries int
	readyAt  when.Instant // before it the card is busy with itself
}

// readCard looks at the card at the start of the module.
func (m *Module) readCard() {
	c := &m.conditions().Card
	k := &m.card
	k.readyAt = m.now.Add(time.Duration(c.BusyS * float64(time.Second)))
	if c.BusyS > 0 {
		m.due[timerCard] = k.readyAt
	}
	if !k.read || k.planted != c.PIN {
		k.read, k.planted = true, c.PIN
		k.pin, k.tries, k.pukTries = c.PIN, c.TriesLeft, c.PUKTriesLeft
	}
	k.open = k.pin == ""
	if m.settings.centre == "" && c.Present {
		m.takeCentre()
	}
	m.addOldTexts()
}

// takeCentre reads the service centre's number off the card.
func (m *Module) takeCentre() {
	n := m.conditions().ServiceCentre.Number
	m.settings.centre, m.settings.centreType = n, numberType(n)
}

// touching says that the card is there and its springs touch.
func touching(c *world.Card) bool { return c.Present && c.Contact }

// cardChanged notices that the card went or came back.
func (m *Module) cardChanged() {
	if !touching(&m.conditions().Card) {
		m.card.open = false
		return
	}
	if m.card.pin == "" {
		m.card.open = true
	}
}

// cardState is what +CPIN? says, or why it cannot.
func (m *Module) cardState() (words string, problem reply) {
	c := &m.conditions().Card
	switch {
	case !c.Present:
		return "", cme(10) // no card
	case !c.Contact:
		return "", cme(13) // card fault
	case m.now < m.card.readyAt:
		return "", cme(14) // busy
	case m.card.pukTries == 0:
		return "", cme(13) // blocked for good
	case m.card.tries == 0:
		return "SIM PUK", ok
	case !m.card.open:
		return "SIM PIN", ok
	case c.Lock == "network":
		return "PH-NET PIN", ok
	case c.Lock == "device":
		return "PH-SIM PIN", ok
	}
	return "READY", ok
}

// cardReply says why a command that needs the card cannot be run; ok when it can.
func (m *Module) cardReply(texts bool) reply {
	words, problem := m.cardState()
	code := problem.code
	if words == "READY" {
		return ok
	}
	for _, r := range cardCodes {
		if r.words == words && words != "" || r.cme == code {
			if texts {
				return cms(r.cms)
			}
			return cme(r.cme)
		}
	}
	return problem
}

// cardCodes are the errors that go with the states of the card: 27.007 clause
// 9.2.1 and 27.005 clause 3.2.5. For texts there is no error of a network lock:
// the nearest is 302, not allowed.
var cardCodes = []struct {
	words    string
	cme, cms int
}{
	{"", 10, 310},
	{"", 13, 313},
	{"", 14, 314},
	{"SIM PIN", 11, 311},
	{"SIM PUK", 12, 316},
	{"PH-SIM PIN", 5, 312},
	{"PH-NET PIN", 40, 302},
}

// cardReady says that the card can be worked with.
func (m *Module) cardReady() bool {
	words, _ := m.cardState()
	return words == "READY"
}

// tryPIN gives the card a PIN. Three wrong ones lock it (27.007 clause 8.3).
func (m *Module) tryPIN(pin string) reply {
	if pin != m.card.pin {
		if m.card.tries--; m.card.tries <= 0 {
			m.card.tries = 0
			return cme(12)
		}
		return cme(16)
	}
	m.card.tries, m.card.open = 3, true
	m.look()
	return ok
}

// tryPUK unlocks the card and gives it a new PIN. Ten wrong ones end it.
func (m *Module) tryPUK(puk, newPIN string) reply {
	if puk != m.conditions().Card.PUK {
		m.card.pukTries = max(m.card.pukTries-1, 0)
		return cme(16)
	}
	if !isPIN(newPIN) {
		return cme(50)
	}
	m.card.pin, m.card.tries, m.card.pukTries, m.card.open = newPIN, 3, 10, true
	m.look()
	return ok
}

func isPIN(s string) bool {
	ok := len(s) >= 4 && len(s) <= 8
	for i := range len(s) {
		ok = ok && s[i] >= '0' && s[i] <= '9'
	}
	return ok
}
