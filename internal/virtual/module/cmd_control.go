package module

import (
	"fmt"
	"strconv"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// Control and status: 27.007 chapter 8.

func runFunction(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info("+CFUN: " + strconv.Itoa(m.settings.cfun))
		return ok
	}
	if m.exec.phase > 0 {
		return ok
	}
	fun, fits := number(c, 0, 1)
	reset, fits2 := number(c, 1, 0)
	if !fits || !fits2 || fun != 0 && fun != 1 && fun != 4 || reset > 1 {
		return cme(50)
	}
	if reset == 1 {
		m.exec.after = func(m *Module) { m.after(timerRestart, m.jitter(takesPower)) }
		return ok
	}
	if fun != 1 && m.registered() {
		m.settings.cfun = fun
		m.transmit(transmitRegistration) // it takes its leave of the network
		m.look()
		return m.comeBack(m.jitter(takesLeave))
	}
	m.settings.cfun = fun
	m.unstick()
	m.look()
	return ok
}

func runActivity(m *Module, _ *at.Command) reply {
	switch m.call.state {
	case noCall:
		m.info("+CPAS: 0")
	case callRinging:
		m.info("+CPAS: 3")
	default:
		m.info("+CPAS: 4")
	}
	return ok
}

// runBattery: the charge is read off the voltage, as modules do that have no
// better way: 3.4 V is empty and 4.2 V full (our choice).
func runBattery(m *Module, _ *at.Command) reply {
	m.info(fmt.Sprintf("+CBC: 0,%d", m.chargePercent()))
	return ok
}

func (m *Module) chargePercent() int {
	v := m.pinsV(m.conditions().Supply.IdleA)
	return min(max(int((v-3.4)/0.8*100+0.5), 0), 100)
}

// clock is the module's own clock. It starts where its counter starts and
// runs; the network or a command sets it.
type clock struct {
	set    bool
	offset time.Duration // from the session's clock to the module's local time
	zone   int           // quarter hours
	origin when.Instant  // when the counter began, while it was not set
}

// clockBegin is where a clock starts that nobody has set: GPS week 0, a common
// choice of modules.
var clockBegin = time.Date(1980, 1, 6, 0, 0, 0, 0, time.UTC)

func (m *Module) localTime() (time.Time, int) {
	if m.clock.set {
		return m.life.UTC(m.now).Add(m.clock.offset), m.clock.zone
	}
	return clockBegin.Add(m.now.Sub(m.clock.origin)), 0
}

// clockFromNetwork takes the time that the network sends after registration.
func (m *Module) clockFromNetwork() {
	c := &m.conditions().Coverage
	if !c.NetworkTime {
		return
	}
	zone := c.ZoneQuarterHours + c.ZoneErrorQuarterHours
	m.clock = clock{set: true, offset: time.Duration(zone) * 15 * time.Minute, zone: zone}
	if m.settings.ctzr == 1 {
		m.unsolicited(fmt.Sprintf(`+CTZV: "%+03d"`, zone))
	}
}

// clockLayout: 27.007 clause 8.15, without the zone.
const clockLayout = "06/01/02,15:04:05"

func runClock(m *Module, c *at.Command) reply {
	switch c.Form {
	case at.Test:
		return ok
	case at.Read:
		local, zone := m.localTime()
		m.info(fmt.Sprintf(`+CCLK: "%s%+03d"`, local.Format(clockLayout), zone))
		return ok
	}
	value, quoted := text(c, 0)
	if !quoted || len(value) < len(clockLayout) {
		return cme(50)
	}
	local, err := time.Parse(clockLayout, value[:len(clockLayout)])
	zone := 0
	if rest := value[len(clockLayout):]; err == nil && rest != "" {
		zone, err = strconv.Atoi(rest)
	}
	if err != nil || zone < -96 || zone > 96 {
		return cme(50)
	}
	m.clock = clock{set: true, offset: local.Sub(m.life.UTC(m.now)), zone: zone}
	return ok
}
