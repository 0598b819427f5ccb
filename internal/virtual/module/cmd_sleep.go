package module

import (
	"fmt"
	"strings"

	"firstfix/internal/wire/at"
)

// Ways to sleep longer that the network has to agree to: 27.007 clauses 7.38
// and 7.40. They are kept and read back; what they would save is not played.

func runPowerSaving(m *Module, c *at.Command) reply {
	p := &m.settings.cpsms
	if c.Form == at.Read {
		m.info(fmt.Sprintf(`+CPSMS: %d,"%s","%s","%s","%s"`, p.on, p.rau, p.gprsReadyTime, p.tau, p.activeTime))
		return ok
	}
	on, fits := number(c, 0, 1)
	if !fits || on > 1 || len(c.Params) > 5 {
		return cme(50)
	}
	next := psms{on: on, tau: p.tau, activeTime: p.activeTime, rau: p.rau, gprsReadyTime: p.gprsReadyTime}
	for i, field := range []*string{&next.rau, &next.gprsReadyTime, &next.tau, &next.activeTime} {
		if bits, quoted := text(c, i+1); quoted {
			if !isBits(bits, 8) {
				return cme(50)
			}
			*field = bits
		}
	}
	*p = next
	return ok
}

func runLongPaging(m *Module, c *at.Command) reply {
	p := &m.settings.edrx
	if c.Form == at.Read {
		m.info(fmt.Sprintf(`+CEDRXS: %d,"%s"`, p.access, p.value))
		return ok
	}
	on, fits := number(c, 0, 1)
	access, fits2 := number(c, 1, p.access)
	value, quoted := text(c, 2)
	if !quoted {
		value = p.value
	}
	if !fits || !fits2 || on > 3 || access != 2 && access != 4 || !isBits(value, 4) || len(c.Params) > 3 {
		return cme(50)
	}
	*p = edrx{on, access, value}
	return ok
}

// isBits says that a text is so many binary digits.
func isBits(s string, n int) bool { return len(s) == n && strings.Trim(s, "01") == "" }
