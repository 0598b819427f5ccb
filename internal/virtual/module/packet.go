package module

import (
	"fmt"

	"firstfix/internal/wire/at"
)

// contexts is how many packet contexts there are; most modules have a few.
const contexts = 3

// packet is the packet domain, 27.007 chapter 10: only as much as it takes to
// see an address. No data flows.
type packet struct {
	attached bool
	active   [contexts]bool
	defined  [contexts]bool
	name     [contexts]string // access point
	kind     [contexts]string // "IP"
}

func runContext(m *Module, c *at.Command) reply {
	p := &m.packet
	if c.Form == at.Read {
		for i := range contexts {
			if p.defined[i] {
				m.info(fmt.Sprintf(`+CGDCONT: %d,"%s","%s","%s",0,0`, i+1, p.kind[i], m.toTerminal(p.name[i]), p.address(i)))
			}
		}
		return ok
	}
	id, fits := number(c, 0, 0)
	kind, _ := text(c, 1)
	name, _ := text(c, 2)
	if !fits || id < 1 || id > contexts || len(name) > 100 {
		return cme(50)
	}
	if len(c.Params) == 1 {
		p.defined[id-1], p.active[id-1] = false, false
		return ok
	}
	if kind == "" {
		kind = "IP"
	}
	if kind != "IP" && kind != "IPV6" && kind != "IPV4V6" {
		return cme(50)
	}
	p.defined[id-1], p.kind[id-1], p.name[id-1] = true, kind, name
	return ok
}

// address is what the network would give; from a block kept for documents (RFC 5737).
func (p *packet) address(i int) string {
	if !p.active[i] {
		return "0.0.0.0"
	}
	return fmt.Sprintf("192.0.2.%d", 10+i)
}

func runAttach(m *Module, c *at.Command) reply {
	p := &m.packet
	if c.Form == at.Read {
		m.info("+CGATT: " + bit(p.attached))
		return ok
	}
	v, fits := number(c, 0, 1)
	if !fits || v > 1 {
		return cme(50)
	}
	switch {
	case m.exec.phase > 0:
		p.attached = v == 1 && m.registered()
		if !p.attached {
			p.active = [contexts]bool{}
		}
		if v == 1 && !p.attached {
			return cme(30)
		}
		return ok
	case !m.registered():
		return cme(30)
	case p.attached == (v == 1):
		return ok
	}
	m.transmit(transmitAttach)
	return m.comeBack(m.jitter(takesAttach))
}

func runActivate(m *Module, c *at.Command) reply {
	p := &m.packet
	if c.Form == at.Read {
		for i := range contexts {
			if p.defined[i] {
				m.info(fmt.Sprintf("+CGACT: %d,%s", i+1, bit(p.active[i])))
			}
		}
		return ok
	}
	v, fits := number(c, 0, 1)
	id, fits2 := number(c, 1, 1)
	if !fits || !fits2 || v > 1 || id < 1 || id > contexts {
		return cme(50)
	}
	switch {
	case m.exec.phase > 0:
		p.active[id-1] = v == 1 && p.attached
		return ok
	case !p.defined[id-1]:
		return cme(143) // unknown context
	case v == 1 && !p.attached:
		return cme(3)
	case p.active[id-1] == (v == 1):
		return ok
	}
	m.transmit(transmitAttach)
	return m.comeBack(m.jitter(takesContext))
}

func runAddress(m *Module, c *at.Command) reply {
	only, fits := number(c, 0, 0)
	if !fits || only > contexts {
		return cme(50)
	}
	for i := range contexts {
		if m.packet.defined[i] && (only == 0 || only == i+1) {
			m.info(fmt.Sprintf(`+CGPADDR: %d,"%s"`, i+1, m.packet.address(i)))
		}
	}
	return ok
}
