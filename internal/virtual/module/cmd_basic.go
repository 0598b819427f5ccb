package module

import (
	"fmt"
	"slices"
	"strconv"

	"firstfix/internal/wire/at"
)

// Basic commands and the line: V.250 chapter 6.

func runEcho(m *Module, c *at.Command) reply {
	if c.Number > 1 {
		return failed
	}
	m.settings.echo = c.Number == 1
	return ok
}

func runVerbose(m *Module, c *at.Command) reply {
	if c.Number > 1 {
		return failed
	}
	m.settings.numeric = c.Number != 1
	return ok
}

func runQuiet(m *Module, c *at.Command) reply {
	if c.Number > 1 {
		return failed
	}
	m.settings.quiet = c.Number == 1
	return ok
}

// runBasic keeps a number from 0 to most that has no effect here.
func runBasic(most int, field func(*settings) *int) func(*Module, *at.Command) reply {
	return func(m *Module, c *at.Command) reply {
		if c.Number > most {
			return failed
		}
		*field(&m.settings) = max(c.Number, 0)
		return ok
	}
}

// registers are the S registers there are, with their ranges: V.250 6.2 and 6.3.
var registers = map[int][2]int{0: {0, 255}, 3: {0, 127}, 4: {0, 127}, 5: {0, 127}, 6: {2, 10}, 7: {1, 255}, 8: {0, 255}, 10: {1, 254}}

func runRegister(m *Module, c *at.Command) reply {
	limits, known := registers[c.Number]
	if !known {
		return failed
	}
	if c.Form == at.Read {
		m.info(fmt.Sprintf("%03d", m.settings.s[c.Number]))
		return ok
	}
	v, fits := number(c, 0, 0)
	if !fits || v < limits[0] || v > limits[1] {
		return failed
	}
	m.settings.s[c.Number] = v
	return ok
}

// runReset brings a saved profile back. A call ends with it (V.250 6.1.1).
func runReset(m *Module, c *at.Command) reply {
	if c.Number >= profiles {
		return failed
	}
	m.settings = restored(m.saved[max(c.Number, 0)], m.settings)
	if m.call.state != noCall {
		m.callEnds(false)
	}
	m.restream()
	return ok
}

func runFactory(m *Module, c *at.Command) reply {
	if c.Number > 0 {
		return failed
	}
	m.settings = restored(factory(), m.settings)
	m.restream()
	return ok
}

// runSave keeps the settings over a restart. What +CSAS saves is left to it.
func runSave(m *Module, c *at.Command) reply {
	if c.Number >= profiles {
		return failed
	}
	p := &m.saved[max(c.Number, 0)]
	kept := *p
	*p = m.settings
	p.csmp, p.cscb, p.centre, p.centreType = kept.csmp, kept.cscb, kept.centre, kept.centreType
	p.cfun, p.copsMode, p.gnss, p.sleep, p.stream = kept.cfun, kept.copsMode, kept.gnss, kept.sleep, false
	return ok
}

// What the module says of itself. The IMEI is the usual example out of public
// texts; it belongs to no device.
const (
	maker    = "firstfix (simulated)"
	model    = "demo"
	revision = "demo 1.0 (simulated)"
	imei     = "490154203237518"
)

func runIdentity(m *Module, c *at.Command) reply {
	if c.Number > 9 {
		return failed
	}
	m.info("demo module (simulated)")
	return ok
}

// speeds are those of +IPR: V.250 6.2.10.
var speeds = []int{0, 1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400, 460800}

func runSpeed(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info("+IPR: " + strconv.Itoa(m.baud))
		return ok
	}
	v, fits := number(c, 0, 0)
	if !fits || !slices.Contains(speeds, v) {
		return failed
	}
	// The result still goes out at the old speed (V.250 6.2.10).
	m.settings.ipr = v
	m.exec.after = func(m *Module) {
		m.nextBaud = v
		m.after(timerBaud, speedTakesAfter)
	}
	return ok
}

func runFrame(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info(fmt.Sprintf("+ICF: %d,%d", m.settings.icf[0], m.settings.icf[1]))
		return ok
	}
	format, fits1 := number(c, 0, 3)
	parity, fits2 := number(c, 1, 3)
	if !fits1 || !fits2 || format >= len(frames) || parity >= len(parities) {
		return failed
	}
	// The result still goes out in the old frame, as with +IPR.
	m.exec.after = func(m *Module) { m.settings.icf = [2]int{format, parity} }
	return ok
}

// runFlow: XON and XOFF are obeyed when the controller uses them; the wires of
// hardware flow control are not there, so they may be set and do nothing.
func runFlow(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info(fmt.Sprintf("+IFC: %d,%d", m.settings.ifc[0], m.settings.ifc[1]))
		return ok
	}
	by, fits1 := number(c, 0, 2)
	from, fits2 := number(c, 1, 2)
	if !fits1 || !fits2 || by > 3 || from > 2 {
		return failed
	}
	m.settings.ifc = [2]int{by, from}
	return ok
}

func runList(m *Module, _ *at.Command) reply {
	for _, name := range m.names {
		m.info("AT" + name)
	}
	return ok
}
