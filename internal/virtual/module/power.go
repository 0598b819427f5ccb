package module

import (
	"math"
	"time"

	"firstfix/internal/when"
)

// The banners of the demo module. They are invented, and stand in its sheet.
const (
	bannerReady        = "DEMO READY"
	bannerUndervoltage = "DEMO UNDERVOLTAGE"
	bannerPowerDown    = "DEMO POWER DOWN"
)

// Times and limits of the demo module; our choice.
const (
	hottestC       = 85.0 // of the air; hotter than that it switches itself off
	protectsAfter  = 4 * time.Second
	prattleAfter   = 350 * time.Millisecond
	warningMarginV = 0.05 // the warning comes a little before the end
	suddenBelowV   = 1.0  // so far below its limit the module has no time to warn
	restartsAfter  = 20 * time.Millisecond
	restartsWithin = 60 // milliseconds more, by chance
	burstLasts     = 577e-6
)

// edges are conditions that count when they come on, not while they last.
type edges struct{ key, resets, hangs, forgets, stuck, stopped bool }

// edgesNow notes the conditions and returns those that have just come on.
func (m *Module) edgesNow() (on edges) {
	c := m.conditions()
	now := edges{c.Module.KeyPressed, c.Module.Resets, c.Module.Hangs, c.Module.ForgetsIndications, c.Coverage.Stuck, c.GNSS.Engine == "stopped"}
	was := m.before
	m.before = now
	return edges{now.key && !was.key, now.resets && !was.resets, now.hangs && !was.hangs, now.forgets && !was.forgets, now.stuck && !was.stuck, now.stopped && !was.stopped}
}

// powerUp begins a start: what lived in volatile memory is gone.
func (m *Module) powerUp() {
	c := m.conditions()
	if first := firstSettings(c); !m.begun {
		m.saved, m.planted, m.begun = [profiles]settings{first, first}, first.csmp, true
	} else if first.csmp != m.planted {
		m.saved[0].csmp, m.planted = first.csmp, first.csmp // a fault that came while the module ran
	}
	m.power = booting
	m.settings = m.saved[0]
	m.baud = c.Line.Baud
	m.training, m.unheard = c.Line.TrainingLines, m.baud == 0
	m.reader, m.entry = reader{line: m.reader.line[:0], last: m.reader.last}, entry{text: m.entry.text[:0]}
	m.reader.last = ""
	m.pending, m.breaking = m.pending[:0], m.breaking[:0]
	m.exec = execution{}
	m.radio = radio{}
	m.packet = packet{}
	m.endData()
	m.call = call{}
	m.ussd = nil
	m.flow.stopped = false
	m.locate, m.reports = locate{}, positionReports{}
	m.clock = clock{origin: m.now}
	m.receiver.powerLost(c.GNSS.Backup)
	m.quietTimers()
	m.readCard()
	if m.pinsV(c.Supply.IdleA) < c.Supply.RestartBelowV {
		m.power = starved
		return
	}
	m.starts++
	if c.Module.BootText || c.Module.StartNoise {
		m.after(timerPrattle, prattleAfter)
	}
	m.after(timerBoot, time.Duration(c.Timing.BootS*float64(time.Second)))
}

// quietTimers stops all that the module itself waits for. The world, the network
// and what comes from outside go on without it.
func (m *Module) quietTimers() {
	for t := range m.due {
		switch timer(t) {
		case timerWorld, timerNetwork, timerArrival, timerUSSD:
		default:
			m.due[t] = when.Never
		}
	}
}

// booted ends a start.
func (m *Module) booted() {
	m.power = running
	if m.conditions().Module.Banner {
		m.unsolicited(bannerReady)
	}
	if m.settings.gnss {
		m.engineOn()
	}
	m.happened("started")
	m.look()
	m.supplyChanged()
}

// restart loses everything that was not saved and starts again.
func (m *Module) restart() {
	if m.power == off {
		return
	}
	m.powerUp()
}

// powerOff ends the module's life until its key is pressed.
func (m *Module) powerOff() {
	m.unsolicited(bannerPowerDown)
	m.stop(off)
}

// stop ends what the module does.
func (m *Module) stop(as power) {
	m.leaveNetwork()
	m.receiver.advance(m.life, m.now)
	m.receiver.powerLost(m.conditions().GNSS.Backup)
	m.quietTimers()
	m.power = as
}

// leaveNetwork forgets the registration without a word: the network finds out by itself.
func (m *Module) leaveNetwork() {
	m.radio, m.packet, m.call = radio{}, packet{}, call{}
	m.endData()
}

// protect is the module's own way out of heat and voltage.
func (m *Module) protect() {
	if m.power != running || !m.endangered() {
		return
	}
	m.unsolicited(bannerPowerDown)
	m.stop(protected)
}

func (m *Module) endangered() bool {
	c := m.conditions()
	return c.TemperatureC > hottestC || m.pinsV(c.Supply.IdleA) > c.Supply.ShutdownAboveV
}

// prattle is what a start brings to the line besides the module's own words.
func (m *Module) prattle() {
	c := m.conditions()
	if c.Module.StartNoise {
		for range 3 + m.luck.IntN(6) {
			m.out = append(m.out, [...]byte{0x00, 0xFF, 0xFE, 0xF8, 0x80, 0xE0}[m.luck.IntN(6)])
		}
	}
	if c.Module.BootText {
		for _, l := range bootLines {
			m.out = append(append(m.out, l...), '\r', '\n')
		}
	}
}

// bootLines is what a start-up program might say; invented.
var bootLines = []string{"boot: rev 3, clock 26 MHz", "boot: ram ok, image 0 at 0x00020000", "boot: crc ok, starting"}

// pinsV is the voltage at the module's pins while it draws a steady current.
func (m *Module) pinsV(currentA float64) float64 {
	s := &m.conditions().Supply
	return s.VoltageV - currentA*s.SourceOhm
}

// burstV is the voltage at the end of a burst (577 us, 3GPP TS 45.002): the
// capacitor at the pins gives what the source cannot, for a while.
func (m *Module) burstV(currentA float64) float64 {
	s := &m.conditions().Supply
	drop := currentA * s.SourceOhm
	if c := s.CapacitorUF * 1e-6; c > 0 && s.SourceOhm > 0 {
		drop *= 1 - math.Exp(-burstLasts/(s.SourceOhm*c))
	}
	return s.VoltageV - drop
}

// transmission is a kind of sending. Its share of the full burst current is our
// estimate: a longer message is more likely to meet full power.
type transmission float64

const (
	transmitRegistration transmission = 0.97
	transmitAttach       transmission = 0.98
	transmitMessage      transmission = 1.00
)

// transmit draws bursts from the supply. False: the voltage fell too far and
// the module is about to restart.
func (m *Module) transmit(kind transmission) bool {
	s := &m.conditions().Supply
	v := m.burstV(s.BurstA * float64(kind) * (0.97 + 0.06*m.air.Float64()))
	m.sending.add(m.now, m.now.Add(sendingLasts))
	m.happened("transmits")
	if v < s.RestartBelowV+warningMarginV {
		m.unsolicited(bannerUndervoltage)
	}
	if v >= s.RestartBelowV {
		return true
	}
	m.after(timerRestart, restartsAfter+time.Duration(m.air.IntN(restartsWithin))*time.Millisecond)
	return false
}

// sendingLasts is how long the radio is on air for one registration, text or
// call; our estimate.
const sendingLasts = 3 * time.Second

// sendings remembers when the radio was on air lately: the position engine is
// asked about moments that have passed.
type sendings struct {
	from, to [32]when.Instant // a position engine is at most half a minute behind
	next     int
}

func (s *sendings) add(from, to when.Instant) {
	if last := &s.to[(s.next+len(s.to)-1)%len(s.to)]; s.next > 0 && from <= *last {
		*last = max(*last, to)
		return
	}
	s.from[s.next%len(s.from)], s.to[s.next%len(s.to)] = from, to
	s.next++
}

// at says whether the radio was on air at an instant.
func (s *sendings) at(t when.Instant) bool {
	for i := range min(s.next, len(s.from)) {
		if t >= s.from[i] && t < s.to[i] {
			return true
		}
	}
	return false
}

// Transmitting says whether the module's radio is on air: what lies beside the
// antenna cable suffers then.
func (m *Module) Transmitting(now when.Instant) bool { return m.sending.at(now) }

// supplyChanged ends a module whose supply no longer carries it at rest, and
// starts one whose supply came back.
func (m *Module) supplyChanged() {
	s := &m.conditions().Supply
	v := m.pinsV(s.IdleA)
	enough := v >= s.RestartBelowV
	switch {
	case m.power == starved && enough, m.power == protected && !m.endangered():
		m.powerUp()
	case m.power == protected && !enough:
		m.power = starved
	case m.power == booting && !enough:
		m.after(timerRestart, 0)
	case m.power == running && v < s.RestartBelowV-suddenBelowV:
		m.after(timerRestart, 0)
	case m.power == running && !enough:
		m.unsolicited(bannerUndervoltage)
		m.after(timerRestart, restartsAfter)
	case m.power == running && v < s.RestartBelowV+warningMarginV:
		m.unsolicited(bannerUndervoltage)
	}
	if m.power == running && m.endangered() && m.due[timerProtect] == when.Never {
		m.after(timerProtect, protectsAfter)
	}
}

// worldChanged lets every part look at the new conditions.
func (m *Module) worldChanged() {
	m.due[timerWorld] = m.life.NextChange(m.now)
	on := m.edgesNow()
	switch {
	case on.key && (m.power == running || m.power == booting):
		m.powerOff()
	case on.key && m.power == off:
		m.powerUp()
	case on.hangs && m.power == running:
		m.hang()
	case m.power == hung && !m.before.hangs:
		m.powerUp()
	case on.resets && (m.power == running || m.power == booting):
		m.after(timerRestart, 0)
	}
	m.supplyChanged()
	if m.power != running {
		return
	}
	if on.forgets {
		m.settings.cnmi = m.saved[0].cnmi
	}
	if on.stopped && m.receiver.on {
		m.engineOff()
	}
	if on.stuck && m.registered() {
		m.getStuck()
	}
	m.cardChanged()
	m.cellChanged()
	m.look()
	m.indicateSoon()
}

// hang stops everything: nothing is heard and nothing said until a new start.
func (m *Module) hang() {
	m.quietTimers()
	m.power = hung
}
