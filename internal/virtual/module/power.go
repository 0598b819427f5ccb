package module

import (
	"time"

	"firstfix/internal/when"
)

// The banners of the demo module. They are invented, and stand in its sheet.
const (
	bannerReady        = "DEMO READY"
	bannerUndervoltage = "DEMO UNDERVOLTAGE"
	bannerPowerDown    = "DEMO POWER DOWN"
)

// powerUp begins a start: what lived in volatile memory is gone.
func (m *Module) powerUp() {
	c := m.conditions()
	if first := firstSettings(c); !m.begun {
		m.saved, m.planted, m.begun = first, first.csmp, true
	} else if first.csmp != m.planted {
		m.saved.csmp, m.planted = first.csmp, first.csmp // a fault that came while the module ran
	}
	m.power = booting
	m.settings = m.saved
	m.baud = c.Line.Baud
	m.reader, m.entry, m.pending = reader{line: m.reader.line[:0]}, entry{text: m.entry.text[:0]}, m.pending[:0]
	m.exec = execution{}
	m.radio = radio{}
	m.packet = packet{}
	m.locate = locate{}
	m.clock = clock{origin: m.now}
	m.receiver.powerLost(c.GNSS.Backup)
	for t := range m.due {
		if timer(t) != timerWorld && timer(t) != timerNetwork {
			m.due[t] = when.Never
		}
	}
	m.readCard()
	if m.pinsV(c.Supply.IdleA) < c.Supply.RestartBelowV {
		m.power = starved
		return
	}
	m.after(timerBoot, time.Duration(c.Timing.BootS*float64(time.Second)))
}

func (m *Module) booted() {
	m.power = running
	m.unsolicited(bannerReady)
	if m.settings.gnss {
		m.engineOn()
	}
	m.look()
}

// restart loses everything that was not saved and starts again.
func (m *Module) restart() {
	if m.power == off {
		return
	}
	m.powerUp()
}

// powerOff ends the module's life until the supply comes back, which no command can do.
func (m *Module) powerOff() {
	m.unsolicited(bannerPowerDown)
	m.power = off
	for t := range m.due {
		m.due[t] = when.Never
	}
}

// pinsV is the voltage at the module's pins while it draws a current.
func (m *Module) pinsV(currentA float64) float64 {
	s := &m.conditions().Supply
	return s.VoltageV - currentA*s.SourceOhm
}

// transmission is a kind of sending. Its share of the full burst current is our
// estimate: a longer message is more likely to meet full power.
type transmission float64

const (
	transmitRegistration transmission = 0.97
	transmitAttach       transmission = 0.98
	transmitMessage      transmission = 1.00
)

// transmit draws a burst from the supply. False: the voltage fell too far and
// the module is about to restart.
func (m *Module) transmit(kind transmission) bool {
	s := &m.conditions().Supply
	v := m.pinsV(s.BurstA * float64(kind) * (0.97 + 0.06*m.air.Float64()))
	const warningMarginV = 0.05 // our estimate: the warning comes a little before the end
	if v < s.RestartBelowV+warningMarginV {
		m.unsolicited(bannerUndervoltage)
	}
	if v >= s.RestartBelowV {
		return true
	}
	m.after(timerRestart, 20*time.Millisecond+time.Duration(m.air.IntN(60))*time.Millisecond)
	return false
}

// supplyChanged ends a module whose supply no longer carries it at rest, and
// starts one whose supply came back.
func (m *Module) supplyChanged() {
	s := &m.conditions().Supply
	enough := m.pinsV(s.IdleA) >= s.RestartBelowV
	switch {
	case m.power == starved && enough:
		m.powerUp()
	case m.power == booting && !enough:
		m.after(timerRestart, 0)
	case m.power == running && !enough:
		m.unsolicited(bannerUndervoltage)
		m.after(timerRestart, 20*time.Millisecond)
	}
}

// worldChanged lets every part look at the new conditions.
func (m *Module) worldChanged() {
	m.supplyChanged()
	if m.power != running {
		return
	}
	m.cardChanged()
	m.look()
}
