package module

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Indicators: 27.007 clauses 8.9 and 8.10.

const indicatorCount = 7

// indicators are what +CIND tells, in this order.
var indicators = [indicatorCount]struct {
	name string
	most int
	read func(m *Module) int
}{
	{"battchg", 5, func(m *Module) int { return min(m.chargePercent()/20, 5) }},
	{"signal", 5, (*Module).bars},
	{"service", 1, func(m *Module) int { return truth(m.registered()) }},
	{"message", 1, func(m *Module) int { return truth(m.unread()) }},
	{"call", 1, func(m *Module) int { return truth(m.call.state != noCall) }},
	{"roam", 1, func(m *Module) int { return truth(m.radio.stat == statRoaming) }},
	{"smsfull", 1, func(m *Module) int {
		s := &m.store[m.settings.memory[2]]
		return truth(s.used() == len(s.places))
	}},
}

func truth(b bool) int {
	if b {
		return 1
	}
	return 0
}

// bars is the signal in six steps; our choice of steps.
func (m *Module) bars() int {
	rssi := m.rssi()
	if rssi == 99 {
		return 0
	}
	return min(rssi/5, 5)
}

func (m *Module) unread() bool {
	for _, s := range m.store[:memoryReports] {
		for i := range s.places {
			if p := &s.places[i]; p.used && p.status == statusUnread {
				return true
			}
		}
	}
	return false
}

func runIndicators(m *Module, c *at.Command) reply {
	var parts []string
	switch c.Form {
	case at.Test:
		for _, d := range indicators {
			parts = append(parts, fmt.Sprintf(`("%s",(0-%d))`, d.name, d.most))
		}
	case at.Set:
		return cme(3) // nothing here can be set from outside
	default:
		for _, d := range indicators {
			parts = append(parts, fmt.Sprint(d.read(m)))
		}
	}
	m.info("+CIND: " + strings.Join(parts, ","))
	return ok
}

// runEvents: +CMER. Only <mode> 0 and 3, and <ind> 0 and 1, are played.
func runEvents(m *Module, c *at.Command) reply {
	p := m.settings.cmer
	if c.Form == at.Read {
		m.info(fmt.Sprintf("+CMER: %d,%d,%d,%d,%d", p[0], p[1], p[2], p[3], p[4]))
		return ok
	}
	limits := [5]int{3, 0, 0, 2, 1}
	for i := range p {
		v, fits := number(c, i, p[i])
		if !fits || v > limits[i] || len(c.Params) > len(p) {
			return cme(50)
		}
		p[i] = v
	}
	m.settings.cmer = p
	for i, d := range indicators {
		m.shown[i] = d.read(m)
	}
	m.indicateSoon()
	return ok
}

// indicatorsEvery is how often the level is looked at while somebody wants to know.
const indicatorsEvery = 10 * time.Second

// indicateSoon looks at the indicators after what is going on now.
func (m *Module) indicateSoon() {
	if m.settings.cmer[0] != 0 && m.settings.cmer[3] != 0 && m.power == running {
		m.after(timerIndicators, 0)
	}
}

// indicate tells the indicators that have changed: +CIEV.
func (m *Module) indicate() {
	if m.settings.cmer[0] == 0 || m.settings.cmer[3] == 0 {
		return
	}
	for i, d := range indicators {
		if v := d.read(m); v != m.shown[i] {
			m.shown[i] = v
			m.unsolicited(fmt.Sprintf("+CIEV: %d,%d", i+1, v))
		}
	}
	if m.due[timerIndicators] == when.Never {
		m.after(timerIndicators, indicatorsEvery)
	}
}
