package module

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// The demo module's own commands, and +CMOLR of 27.007 clause 8.50.

// engineOn starts the engine, if it is one that starts.
func (m *Module) engineOn() {
	g := &m.conditions().GNSS
	if g.Engine != "silent" && !m.receiver.on {
		m.receiver.switchOn(m.now, g.KeepsNothing)
		m.happened("engine-on")
	}
	m.restream()
}

func (m *Module) engineOff() {
	m.measure()
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
	m.measure()
	if !r.on {
		m.info("+DEMOPOS: 0,,,,,,,,,")
		return ok
	}
	e := m.fieldsOf()
	f := &r.fix
	if !f.valid {
		m.info(fmt.Sprintf("+DEMOPOS: 0,%s,%s,,,,,,,%d", e.date, e.clock, len(f.used)))
		return ok
	}
	m.info(fmt.Sprintf("+DEMOPOS: 1,%s,%s,%s,%s,%s,%s,%s,%s,%d", e.date, e.clock,
		decimal(f.point.LatDeg, 6), decimal(f.point.LonDeg, 6), e.altitude, e.speed, e.course, e.hdop, len(f.used)))
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

func runCold(m *Module, _ *at.Command) reply {
	m.measure()
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
	m.measure()
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

// positionReports is +CPOSR: positions told without being asked, as XML.
type positionReports struct{ on int }

// reportEvery is how often +CPOSR tells; our choice.
const reportEvery = 10 * time.Second

// runPositionReports: 27.007 clause 8.56.
func runPositionReports(m *Module, c *at.Command) reply {
	if r := runNumberAt(m, c, &m.reports.on); r != ok || c.Form != at.Set {
		return r
	}
	m.cancel(timerReport)
	if m.reports.on == 1 {
		m.engineOn()
		m.after(timerReport, reportEvery)
	}
	return ok
}

// reportDue tells the position as a point of 27.007 clause 8.55 (element names
// from memory), or nothing while there is none.
func (m *Module) reportDue() {
	m.measure()
	if f := &m.receiver.fix; m.receiver.on && f.valid {
		m.unsolicited(fmt.Sprintf("+CPOSR: <location><shape_data><ellipsoid_point><coordinate><latitude><north>%d</north><degrees>%d</degrees></latitude><longitude>%d</longitude></coordinate></ellipsoid_point></shape_data></location>",
			truth(f.point.LatDeg >= 0), encodeLatitude(f.point.LatDeg), encodeLongitude(f.point.LonDeg)))
	}
	m.after(timerReport, reportEvery)
}

// encodeLatitude and encodeLongitude are the numbers of 3GPP TS 23.032 clause
// 6.1: a quarter turn in 23 bits, a whole one in 24.
func encodeLatitude(latDeg float64) int {
	return min(int(math.Floor(math.Abs(latDeg)*(1<<23)/90)), 1<<23-1)
}

func encodeLongitude(lonDeg float64) int { return int(math.Floor(lonDeg * (1 << 24) / 360)) }
