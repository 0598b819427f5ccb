package module

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"firstfix/internal/wire/nmea"
)

// Sentences as a receiver of NMEA 0183 version 2.3 writes them, talker GP.

// minuteDecimals: five decimals of a minute are 2 cm.
const minuteDecimals = 5

// sentences appends the sentences of the receiver's present second, in the
// usual order. They all speak of the same instant.
func (m *Module) sentences(out []string) []string {
	r := &m.receiver
	f := &r.fix
	utc := m.life.UTC(r.at)
	clock, date := "", ""
	if r.knowsTime {
		clock, date = hms(utc), utc.Format("020106")
	}
	lat, ns, lon, ew, status, mode, quality, fixed := "", "", "", "", "V", "N", "0", "1"
	speed, knots, altitude, hdop, pdop, vdop := "", "", "", "", "", ""
	if f.valid {
		a, o := nmea.Latitude(f.point.LatDeg, minuteDecimals), nmea.Longitude(f.point.LonDeg, minuteDecimals)
		lat, ns, lon, ew = a.Text, string(a.Side), o.Text, string(o.Side)
		status, mode, quality, fixed = "A", "A", "1", "3"
		speed, knots = decimal(f.speedKMH, 2), decimal(f.speedKMH/1.852, 2)
		altitude, hdop, pdop, vdop = decimal(f.altitudeM, 1), decimal(f.hdop, 2), decimal(f.pdop, 2), decimal(f.vdop, 2)
	}
	geoid, metres := "", ""
	if f.valid {
		geoid, metres = decimal(m.life.At(r.at).Place.GeoidM, 1), "M"
	}
	// Standing still there is no course: the field is empty, not zero.
	out = append(out,
		nmea.Format("GPRMC", clock, status, lat, ns, lon, ew, knots, "", date, "", "", mode),
		nmea.Format("GPGGA", clock, lat, ns, lon, ew, quality, fmt.Sprintf("%02d", len(f.used)), hdop, altitude, metres, geoid, metres, "", ""),
		nmea.Format("GPGSA", gsa(f.used, fixed, pdop, hdop, vdop)...))
	out = m.inView(out)
	return append(out,
		nmea.Format("GPVTG", "", "T", "", "M", knots, "N", speed, "K", mode),
		nmea.Format("GPGLL", lat, ns, lon, ew, clock, status, mode))
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
		group := []string{fmt.Sprintf("%02d", i+1), "", "", ""}
		if r.knowsAlmanac || c.validTo > r.at {
			group[1] = fmt.Sprintf("%02d", int(c.look.ElevationDeg+0.5))
			group[2] = fmt.Sprintf("%03d", int(c.look.AzimuthDeg+0.5)%360)
		}
		if c.tracked {
			group[3] = fmt.Sprintf("%02d", int(c.cn0dBHz+0.5))
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

func hms(t time.Time) string { return t.Format("150405.00") }

func decimal(v float64, digits int) string { return strconv.FormatFloat(v, 'f', digits, 64) }

// wanted keeps the sentences whose names are listed, "$GPRMC"; all when the
// list is empty (27.007 clause 8.50, <NMEA-rep>).
func wanted(all, names []string) []string {
	if len(names) == 0 {
		return all
	}
	return slices.DeleteFunc(all, func(s string) bool {
		return len(s) < 6 || !slices.Contains(names, s[:6])
	})
}
