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

func runReset(m *Module, c *at.Command) reply {
	if c.Number > 0 {
		return failed
	}
	m.settings = restored(m.saved, m.settings)
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
	if c.Number > 0 {
		return failed
	}
	kept := m.saved
	m.saved = m.settings
	m.saved.csmp, m.saved.centre, m.saved.centreType = kept.csmp, kept.centre, kept.centreType
	m.saved.cfun, m.saved.copsMode, m.saved.gnss, m.saved.sleep, m.saved.stream = kept.cfun, kept.copsMode, kept.gnss, false, false
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

func runNoCarrier(*Module, *at.Command) reply { return reply{kind: replyNoCarrier} }

// runDial lets a call fail: the stand-in has nobody to talk to.
func runDial(m *Module, _ *at.Command) reply {
	if m.exec.phase == 0 {
		if !m.registered() {
			return reply{kind: replyNoCarrier}
		}
		m.transmit(transmitMessage)
		return m.comeBack(m.jitter(takesSend))
	}
	return reply{kind: replyNoCarrier}
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
	if !fits1 || !fits2 || format != 3 || parity > 3 {
		return failed // only 8N1 is spoken here
	}
	m.settings.icf = [2]int{format, parity}
	return ok
}

// runFlow accepts no flow control, and nothing else: the stand-in has two wires.
func runFlow(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info("+IFC: 0,0")
		return ok
	}
	by, fits1 := number(c, 0, 2)
	from, fits2 := number(c, 1, 2)
	if !fits1 || !fits2 || by != 0 || from != 0 {
		return failed
	}
	return ok
}

func runList(m *Module, _ *at.Command) reply {
	for _, name := range m.names {
		m.info("AT" + name)
	}
	return ok
}
