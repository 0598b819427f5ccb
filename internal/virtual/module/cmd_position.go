package module

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// The demo module's own commands, and +CMOLR of 27.007 clause 8.50.

// engineOn starts the engine, if it is one that starts.
func (m *Module) engineOn() {
	if m.conditions().GNSS.Engine == "good" {
		m.receiver.switchOn(m.now)
	}
	m.restream()
}

func (m *Module) engineOff() {
	m.receiver.advance(m.life, m.now)
	m.receiver.switchOff()
	m.restream()
}

func runEngine(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info("+DEMOGNSS: " + bit(m.receiver.on))
		return ok
	}
	v, fits := number(c, 0, 0)
	if !fits || v > 1 || len(c.Params) != 1 {
		return cme(50)
	}
	m.settings.gnss = v == 1
	if m.settings.gnss {
		m.engineOn()
	} else {
		m.engineOff()
	}
	return ok
}

// runPosition answers valid, date, time, latitude, longitude, altitude, speed,
// course, HDOP, satellites. What is not known is empty.
func runPosition(m *Module, _ *at.Command) reply {
	r := &m.receiver
	r.advance(m.life, m.now)
	if !r.on {
		m.info("+DEMOPOS: 0,,,,,,,,,")
		return ok
	}
	date, clock := "", ""
	if r.knowsTime {
		utc := m.life.UTC(r.at)
		date, clock = utc.Format("020106"), hms(utc)
	}
	f := &r.fix
	if !f.valid {
		m.info(fmt.Sprintf("+DEMOPOS: 0,%s,%s,,,,,,,%d", date, clock, len(f.used)))
		return ok
	}
	m.info(fmt.Sprintf("+DEMOPOS: 1,%s,%s,%s,%s,%s,%s,,%s,%d", date, clock,
		decimal(f.point.LatDeg, 6), decimal(f.point.LonDeg, 6), decimal(f.altitudeM, 1), decimal(f.speedKMH, 2), decimal(f.hdop, 2), len(f.used)))
	return ok
}

func runStream(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		m.info("+DEMONMEA: " + bit(m.settings.stream))
		return ok
	}
	v, fits := number(c, 0, 0)
	if !fits || v > 1 || len(c.Params) != 1 {
		return cme(50)
	}
	m.settings.stream = v == 1
	m.restream()
	return ok
}

// epochLag is from the instant of measurement to the first byte of its
// sentences; our estimate.
const epochLag = 120 * time.Millisecond

// restream starts or stops the sentences on the line.
func (m *Module) restream() {
	if !m.settings.stream || !m.receiver.on {
		m.cancel(timerEpoch)
		return
	}
	if m.due[timerEpoch] == when.Never {
		m.due[timerEpoch] = (m.now - m.now%when.Second + when.Second).Add(epochLag)
	}
}

func (m *Module) epochDue() {
	m.receiver.advance(m.life, m.now)
	for _, s := range m.sentences(nil) {
		m.unsolicitedSentence(s)
	}
	m.restream()
}

// unsolicitedSentence writes a sentence with its own line end, as a stream has it.
func (m *Module) unsolicitedSentence(s string) {
	if len(m.pending)+len(s) < maxPendingBytes {
		m.pending = append(append(m.pending, s...), '\r', '\n')
	}
	m.flush()
}

func runCold(m *Module, _ *at.Command) reply {
	m.receiver.advance(m.life, m.now)
	m.receiver.forget(m.now)
	return ok
}

func runOff(m *Module, _ *at.Command) reply {
	m.exec.after = (*Module).powerOff
	return ok
}

// locate is +CMOLR: reports of position as the standard has them.
type locate struct {
	enabled  bool
	periodic bool
	timeout  time.Duration
	interval time.Duration
	deadline when.Instant // of the report that is sought
	names    []string     // sentences wanted
	params   string       // as set, for reading back
	errors   int          // +CMOLRE
}

// runLocate: 27.007 clause 8.50. Only unassisted GNSS with NMEA strings is played.
func runLocate(m *Module, c *at.Command) reply {
	l := &m.locate
	if c.Form == at.Read {
		m.info("+CMOLR: " + bit(l.enabled) + l.params)
		return ok
	}
	enable, fits := number(c, 0, 0)
	method, fits2 := number(c, 1, 0)
	repeat, fits3 := number(c, 8, 0)
	timeout, fits4 := number(c, 9, 60)
	interval, fits5 := number(c, 10, 60)
	names, _ := text(c, 13)
	if !fits || !fits2 || !fits3 || !fits4 || !fits5 || enable > 1 || method != 0 || repeat > 1 ||
		timeout < 1 || timeout > 65535 || interval < 1 || interval > 65535 || len(names) > maxLineBytes {
		return cme(50)
	}
	errors := l.errors
	*l = locate{errors: errors}
	m.cancel(timerLocate)
	if enable == 0 {
		return ok
	}
	l.enabled, l.periodic = true, repeat == 1
	l.timeout, l.interval = time.Duration(timeout)*time.Second, time.Duration(max(interval, timeout))*time.Second
	if names != "" {
		l.names = strings.Split(names, ",")
	}
	if i := strings.IndexByte(c.Value, ','); i >= 0 {
		l.params = c.Value[i:]
	}
	m.engineOn()
	l.deadline = m.now.Add(l.timeout)
	m.after(timerLocate, time.Second)
	return ok
}

func runLocateErrors(m *Module, c *at.Command) reply {
	return runNumberAt(m, c, &m.locate.errors)
}

// runNumberAt sets or reads a 0 or 1 that is no setting.
func runNumberAt(m *Module, c *at.Command, p *int) reply {
	if c.Form == at.Read {
		m.info(c.Name + ": " + strconv.Itoa(*p))
		return ok
	}
	v, fits := number(c, 0, 0)
	if !fits || v > 1 {
		return cme(50)
	}
	*p = v
	return ok
}

// locateDue looks for a position once a second, until it has one or time is up.
func (m *Module) locateDue() {
	l, r := &m.locate, &m.receiver
	r.advance(m.life, m.now)
	switch {
	case r.on && r.fix.valid:
		for _, s := range wanted(m.sentences(nil), l.names) {
			m.unsolicited(`+CMOLRN: "` + s + `"`)
		}
	case m.now < l.deadline:
		m.after(timerLocate, time.Second)
		return
	default:
		// 27.007 clause 9.3: an error report; 1 is "general location error" (from memory).
		m.unsolicited("+CMOLRE: " + [2]string{"1", "location not obtained"}[l.errors])
	}
	if !l.periodic {
		l.enabled, l.params = false, ""
		return
	}
	l.deadline = m.now.Add(l.interval + l.timeout)
	m.after(timerLocate, l.interval)
}
