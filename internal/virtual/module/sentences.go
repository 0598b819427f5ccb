package module

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// Sentences as a receiver of NMEA 0183 version 2.3 writes them.

// minuteDecimals: five decimals of a minute are 2 cm.
const minuteDecimals = 5

// epochFields are the fields that several sentences of one instant share.
type epochFields struct {
	clock, date, day, month, year string
	lat, ns, lon, ew              string
	status, mode, quality, fixed  string
	speed, knots, course          string
	altitude, geoid, metres       string
	hdop, pdop, vdop              string
	used                          []int
}

// fieldsOf collects what the engine says at its present instant.
func (m *Module) fieldsOf() epochFields {
	r := &m.receiver
	f := &r.fix
	c := m.life.At(f.at)
	s := &c.GNSS.Sentences
	e := epochFields{status: "V", mode: "N", quality: "0", fixed: "1"}
	if utc, known := r.utc(m.life, f.at); known {
		e.clock = hms(utc)
		if !s.NoDate {
			e.date, e.day, e.month, e.year = utc.Format("020106"), utc.Format("02"), utc.Format("01"), utc.Format("2006")
		}
	}
	shown := f
	switch {
	case f.estimated:
		e.status, e.mode, e.quality = "A", "E", "6"
	case f.valid:
		e.status, e.mode, e.quality, e.fixed, e.used = "A", "A", "1", "3", f.used
	case s.VoidFilled && r.last.valid:
		shown = &r.last
	default:
		return e
	}
	a, o := nmea.Latitude(shown.point.LatDeg, minuteDecimals), nmea.Longitude(shown.point.LonDeg, minuteDecimals)
	e.lat, e.ns, e.lon, e.ew = a.Text, string(a.Side), o.Text, string(o.Side)
	e.speed, e.knots = decimal(shown.speedKMH, 2), decimal(shown.speedKMH/1.852, 2)
	if shown.moving { // standing still there is no course: the field is empty, not zero
		e.course = decimal(shown.courseDeg, 1)
	}
	e.altitude, e.geoid, e.metres = decimal(shown.altitudeM, 1), decimal(shown.geoidM, 1), "M"
	e.hdop, e.pdop, e.vdop = decimal(shown.hdop, 2), decimal(shown.pdop, 2), decimal(shown.vdop, 2)
	return e
}

// sentences appends the sentences of the receiver's present instant, in the
// usual order. They all speak of the same instant.
func (m *Module) sentences(out []string) []string {
	e := m.fieldsOf()
	c := m.life.At(m.receiver.fix.at)
	talker := c.GNSS.Sentences.Talker
	valued := e.metres
	out = append(out,
		nmea.Format(talker+"RMC", e.clock, e.status, e.lat, e.ns, e.lon, e.ew, e.knots, e.course, e.date, "", "", e.mode),
		nmea.Format(talker+"GGA", e.clock, e.lat, e.ns, e.lon, e.ew, e.quality, fmt.Sprintf("%02d", len(e.used)), e.hdop, e.altitude, valued, e.geoid, e.metres, "", ""),
		nmea.Format(talker+"GSA", gsa(e.used, e.fixed, e.pdop, e.hdop, e.vdop)...))
	out = m.inView(out)
	out = append(out,
		nmea.Format(talker+"VTG", e.course, "T", "", "M", e.knots, "N", e.speed, "K", e.mode),
		nmea.Format(talker+"GLL", e.lat, e.ns, e.lon, e.ew, e.clock, e.status, e.mode))
	if c.GNSS.Sentences.More {
		out = append(out, m.errorsSentence(talker, &e), nmea.Format(talker+"ZDA", e.clock, e.day, e.month, e.year, "00", "00"))
	}
	return out
}

// rangeSigmaM is the error of one range, one sigma, of which the estimates of
// GST are made: clock, ephemeris and atmosphere, reflections and noise.
const rangeSigmaM = 5.17

// errorsSentence is GST: the estimated errors, from the geometry. Both axes are
// given the same share of the horizontal error.
func (m *Module) errorsSentence(talker string, e *epochFields) string {
	f := &m.receiver.fix
	if e.quality != "1" {
		return nmea.Format(talker+"GST", e.clock, "", "", "", "", "", "", "")
	}
	const rootOfTwo = 1.4142135623730951
	axis := decimal(rangeSigmaM*f.hdop/rootOfTwo, 1)
	return nmea.Format(talker+"GST", e.clock, decimal(rangeSigmaM, 1), axis, axis, "0.0", axis, axis, decimal(rangeSigmaM*f.vdop, 1))
}

// gsa lists at most twelve satellites: the sentence has no room for more.
func gsa(used []int, fixed, pdop, hdop, vdop string) []string {
	fields := []string{"A", fixed}
	for i := range 12 {
		id := ""
		if i < len(used) {
			id = fmt.Sprintf("%02d", used[i])
		}
		fields = append(fields, id)
	}
	return append(fields, pdop, hdop, vdop)
}

// inView appends the GSV sentences: the satellites that are followed, and with
// an almanac also those that should be there. A direction is known from the
// almanac or the satellite's own ephemeris only.
func (m *Module) inView(out []string) []string {
	r := &m.receiver
	var groups [][]string
	for i := range r.channels {
		c := &r.channels[i]
		if !c.visible || !c.tracked && !(r.knowsAlmanac && r.knowsPlace && r.knowsTime) {
			continue
		}
		group := []string{fmt.Sprintf("%02d", c.number), "", "", ""}
		if r.knowsAlmanac || c.validTo > r.at {
			group[1] = fmt.Sprintf("%02d", int(c.look.ElevationDeg+0.5))
			group[2] = fmt.Sprintf("%03d", int(c.look.AzimuthDeg+0.5)%360)
		}
		if c.tracked {
			group[3] = fmt.Sprintf("%02d", min(int(c.cn0dBHz+0.5), 99))
		}
		groups = append(groups, group)
	}
	total := max((len(groups)+3)/4, 1)
	for n := range total {
		fields := []string{strconv.Itoa(total), strconv.Itoa(n + 1), fmt.Sprintf("%02d", len(groups))}
		for _, g := range groups[min(4*n, len(groups)):min(4*n+4, len(groups))] {
			fields = append(fields, g...)
		}
		out = append(out, nmea.Format("GPGSV", fields...))
	}
	return out
}

// antennaEvery is how many epochs lie between two words about the antenna; our choice.
const antennaEvery = 10

// antennaWords is what the engine measures in the feed of its antenna.
var antennaWords = map[string]string{"good": "ANTENNA OK", "swapped": "ANTENNA OK", "missing": "ANTENNA OPEN", "short": "ANTENNA SHORT"}

// antennaSentence says how the antenna is, now and then.
func antennaSentence(c *world.Conditions, epoch int64) (string, bool) {
	if !c.GNSS.ReportsAntenna || epoch%antennaEvery != 0 {
		return "", false
	}
	return nmea.Format("GPTXT", "01", "01", "02", antennaWords[c.AntennaGNSS]), true
}

// period is the time from one position to the next.
func (m *Module) period() when.Instant {
	ms := 1000 / m.conditions().GNSS.RateHz
	return max(when.Instant(ms+0.5), 1) * when.Millisecond
}

// epochLag is from the instant of measurement to the first byte of its
// sentences; our estimate.
const epochLag = 120 * when.Millisecond

// restream starts or stops the sentences on the line.
func (m *Module) restream() {
	if !m.settings.stream || !m.receiver.on {
		m.cancel(timerEpoch)
		return
	}
	if m.due[timerEpoch] == when.Never {
		p := m.period()
		m.due[timerEpoch] = m.now - m.now%p + p + epochLag
	}
}

// epochDue writes the sentences of one epoch.
func (m *Module) epochDue() {
	m.measure()
	c := m.conditions()
	for _, s := range m.sentences(nil) {
		m.unsolicitedSentence(m.spoilt(s, &c.GNSS.Sentences))
	}
	if s, says := antennaSentence(c, int64(m.receiver.fix.at/m.period())); says {
		m.unsolicitedSentence(s + "\r\n")
	}
	m.restream()
}

// measure brings the engine to the last instant of measurement before now.
func (m *Module) measure() {
	r := &m.receiver
	r.radioOn = m.settings.cfun == 1
	before := r.fixes
	r.advance(m.life, m.now)
	if r.on {
		at := m.now - epochLag
		at -= at % m.period()
		if at < r.at || m.period() >= when.Second {
			at = r.at
		}
		r.within(m.life, at)
	}
	if r.fixes > before {
		m.happened("first-fix")
	}
}

// spoilt is a sentence with its line end as it comes out: as it should, with a
// wrong character, or cut where the next one begins.
func (m *Module) spoilt(s string, how *world.Sentences) string {
	if p := how.DamagedPerThousand; p > 0 && m.luck.Float64()*1000 < p {
		at := 1 + m.luck.IntN(len(s)-4) // neither "$" nor the checksum
		b := []byte(s)
		if b[at]++; b[at] == '*' || b[at] == '$' {
			b[at]++
		}
		return string(b) + "\r\n"
	}
	if p := how.MergedPerThousand; p > 0 && m.luck.Float64()*1000 < p {
		return s[:3+m.luck.IntN(len(s)-6)]
	}
	return s + "\r\n"
}

// maxBacklogBytes is what the engine keeps for a line that is too slow: some
// four sets of sentences (our choice). What finds no room is lost in the middle
// of a line, as it is in a ring of bytes.
const maxBacklogBytes = 2048

// unsolicitedSentence writes a sentence with its own line end, as a stream has it.
func (m *Module) unsolicitedSentence(s string) {
	room := min(maxPendingBytes-len(m.pending), maxBacklogBytes-m.backlogBytes()-len(m.pending))
	if room <= 0 {
		return
	}
	m.pending = append(m.pending, s[:min(len(s), room)]...)
	m.flush()
}

func hms(t time.Time) string { return t.Format("150405.00") }

func decimal(v float64, digits int) string { return strconv.FormatFloat(v, 'f', digits, 64) }

// wanted keeps the sentences whose names are listed, "$GPRMC"; all when the
// list is empty (27.007 clause 8.50, <NMEA-rep>).
func wanted(all, names []string) []string {
	if len(names) == 0 {
		return all
	}
	return slices.DeleteFunc(all, func(s string) bool {
		return len(s) < 6 || !slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, s[:6]) })
	})
}
