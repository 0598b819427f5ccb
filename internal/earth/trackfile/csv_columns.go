package trackfile

import (
	"fmt"
	"strings"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"
)

// column is what a column of a table holds.
type column uint8

const (
	noColumn column = iota
	latColumn
	lonColumn
	bothColumn // a position in one cell, in any spelling
	nsColumn
	ewColumn
	stampColumn // date and time
	dateColumn
	clockColumn // time of day
	validColumn
	reasonColumn
	gapColumn
	valueColumn // see value
	columns
)

// head is one name a column may have. To add a name, add a line.
type head struct {
	name   string
	column column
	value  func(s *track.Sighting, x float64)
	unit   string // what the numbers were taken for; "" where the name says it
}

func speed(factor float64) func(s *track.Sighting, x float64) {
	return func(s *track.Sighting, x float64) { s.SpeedMPS = maybe.Known(x * factor) }
}

// The factors of the units: a knot is 1852 m in an hour, a mile 1609.344 m, a foot 0.3048 m,
// all exact.
const (
	kmh   = 1 / 3.6
	knot  = 1852.0 / 3600
	mph   = 1609.344 / 3600
	footM = 0.3048
)

// heads lists the names. They are compared in small letters, with everything but letters
// and digits as "_".
var heads = []head{
	{"lat", latColumn, nil, ""}, {"latitude", latColumn, nil, ""}, {"lat_deg", latColumn, nil, ""}, {"latitude_deg", latColumn, nil, ""},
	{"gps_lat", latColumn, nil, ""}, {"gps_latitude", latColumn, nil, ""}, {"latitude_decimal", latColumn, nil, ""}, {"y", latColumn, nil, "degrees of latitude"},
	{"lon", lonColumn, nil, ""}, {"lng", lonColumn, nil, ""}, {"long", lonColumn, nil, ""}, {"longitude", lonColumn, nil, ""}, {"lon_deg", lonColumn, nil, ""},
	{"longitude_deg", lonColumn, nil, ""}, {"gps_lon", lonColumn, nil, ""}, {"gps_lng", lonColumn, nil, ""}, {"gps_longitude", lonColumn, nil, ""},
	{"longitude_decimal", lonColumn, nil, ""}, {"x", lonColumn, nil, "degrees of longitude"},
	{"position", bothColumn, nil, ""}, {"coordinates", bothColumn, nil, ""}, {"coordinate", bothColumn, nil, ""}, {"location", bothColumn, nil, ""},
	{"latlon", bothColumn, nil, ""}, {"lat_lon", bothColumn, nil, ""}, {"latlng", bothColumn, nil, ""}, {"gps", bothColumn, nil, ""},
	{"link", bothColumn, nil, ""}, {"url", bothColumn, nil, ""}, {"mgrs", bothColumn, nil, ""}, {"utm", bothColumn, nil, ""},
	{"ns", nsColumn, nil, ""}, {"n_s", nsColumn, nil, ""}, {"lat_ns", nsColumn, nil, ""}, {"lat_dir", nsColumn, nil, ""}, {"lat_hemisphere", nsColumn, nil, ""},
	{"ew", ewColumn, nil, ""}, {"e_w", ewColumn, nil, ""}, {"lon_ew", ewColumn, nil, ""}, {"lon_dir", ewColumn, nil, ""}, {"lon_hemisphere", ewColumn, nil, ""},
	{"utc", stampColumn, nil, ""}, {"time", stampColumn, nil, ""}, {"timestamp", stampColumn, nil, ""}, {"datetime", stampColumn, nil, ""},
	{"date_time", stampColumn, nil, ""}, {"gps_time", stampColumn, nil, ""}, {"fix_time", stampColumn, nil, ""}, {"utc_time", stampColumn, nil, ""},
	{"time_utc", stampColumn, nil, ""}, {"recorded_at", stampColumn, nil, ""}, {"received_at", stampColumn, nil, ""}, {"when", stampColumn, nil, ""},
	{"date", dateColumn, nil, ""}, {"utc_date", dateColumn, nil, ""}, {"date_utc", dateColumn, nil, ""}, {"gps_date", dateColumn, nil, ""}, {"clock", clockColumn, nil, ""},
	{"valid", validColumn, nil, ""}, {"status", validColumn, nil, ""}, {"fix_valid", validColumn, nil, ""}, {"gps_valid", validColumn, nil, ""},
	{"fix", validColumn, nil, ""}, {"quality", validColumn, nil, ""}, {"fix_quality", validColumn, nil, ""},
	{"reason", reasonColumn, nil, ""}, {"gap", gapColumn, nil, ""},
	{"altitude", valueColumn, altitude(1), "metres"}, {"alt", valueColumn, altitude(1), "metres"}, {"altitude_m", valueColumn, altitude(1), ""}, {"alt_m", valueColumn, altitude(1), ""},
	{"ele", valueColumn, altitude(1), "metres"}, {"elevation", valueColumn, altitude(1), "metres"}, {"elevation_m", valueColumn, altitude(1), ""}, {"altitude_ft", valueColumn, altitude(footM), ""},
	{"geoid_m", valueColumn, func(s *track.Sighting, x float64) { s.GeoidM = maybe.Known(x) }, ""},
	{"speed_mps", valueColumn, speed(1), ""}, {"speed_m_s", valueColumn, speed(1), ""}, {"speed_kmh", valueColumn, speed(kmh), ""}, {"speed_km_h", valueColumn, speed(kmh), ""},
	{"speed_kph", valueColumn, speed(kmh), ""}, {"kmh", valueColumn, speed(kmh), ""}, {"km_h", valueColumn, speed(kmh), ""}, {"speed_knots", valueColumn, speed(knot), ""},
	{"speed_kn", valueColumn, speed(knot), ""}, {"knots", valueColumn, speed(knot), ""}, {"speed_mph", valueColumn, speed(mph), ""}, {"mph", valueColumn, speed(mph), ""},
	{"course", valueColumn, course, ""}, {"course_deg", valueColumn, course, ""}, {"cog", valueColumn, course, ""}, {"bearing", valueColumn, course, ""},
	{"heading", valueColumn, course, "course over ground"}, {"direction", valueColumn, course, "course over ground"},
	{"hdop", valueColumn, func(s *track.Sighting, x float64) { s.HDOP = maybe.Known(x) }, ""},
	{"satellites", valueColumn, satellites, ""}, {"sats", valueColumn, satellites, ""}, {"sat", valueColumn, satellites, ""}, {"nsat", valueColumn, satellites, ""},
	{"satellites_used", valueColumn, satellites, ""},
}

func altitude(factor float64) func(s *track.Sighting, x float64) {
	return func(s *track.Sighting, x float64) { s.AltitudeM = maybe.Known(x * factor) }
}

func course(s *track.Sighting, x float64) { s.CourseDeg = maybe.Known(x) }

func satellites(s *track.Sighting, x float64) {
	if x >= 0 && x < 1000 {
		s.SatellitesUsed = maybe.Known(int(x))
	}
}

// plainName brings a column's name into the form of heads: "Speed (km/h)" is "speed_km_h".
func plainName(text string) string {
	var b strings.Builder
	gap := false
	for _, r := range strings.ToLower(strings.TrimPrefix(text, "\ufeff")) {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			if gap && b.Len() > 0 {
				b.WriteByte('_')
			}
			gap = false
			b.WriteRune(r)
			continue
		}
		gap = true
	}
	return b.String()
}

// layout says what each column of a table holds.
type layout struct {
	of      []*head // by column; nil: nothing that is read
	at      [columns]int
	decimal byte // '.' or ','
	ddmm    bool // coordinates are degrees and minutes in one number
}

func newLayout(n int) *layout {
	l := &layout{of: make([]*head, n), decimal: '.'}
	for i := range l.at {
		l.at[i] = -1
	}
	return l
}

func (l *layout) set(i int, h *head) {
	if h.column != valueColumn && l.at[h.column] >= 0 {
		return // the first of that kind counts
	}
	l.of[i] = h
	l.at[h.column] = i
}

func (l *layout) has(c column) bool { return l.at[c] >= 0 }

// places says that the table holds positions.
func (l *layout) places() bool { return l.has(bothColumn) || l.has(latColumn) && l.has(lonColumn) }

// byName reads the line of names; false when it is none.
func byName(cells []string) (*layout, []string, bool) {
	l := newLayout(len(cells))
	var assumed []string
	for i, cell := range cells {
		name := plainName(cell)
		for k := range heads {
			if heads[k].name != name {
				continue
			}
			l.set(i, &heads[k])
			if heads[k].unit != "" && l.of[i] != nil {
				assumed = append(assumed, fmt.Sprintf("column %q was taken for %s", strings.TrimSpace(cell), heads[k].unit))
			}
		}
		if name == "speed" || name == "velocity" {
			assumed = append(assumed, fmt.Sprintf("column %q was not read: it does not say its unit", strings.TrimSpace(cell)))
		}
	}
	if l.has(latColumn) && l.has(lonColumn) && l.has(bothColumn) {
		l.of[l.at[bothColumn]], l.at[bothColumn] = nil, -1
	}
	return l, assumed, l.places()
}

// byShape finds the columns of a table without names out of its first rows.
func byShape(rows [][]string, decimal byte) (*layout, []string, bool) {
	width := 0
	for _, r := range rows {
		width = max(width, len(r))
	}
	l := newLayout(width)
	l.decimal = decimal
	least := max(1, len(rows)*6/10) // of the rows must fit
	fits := func(i int, test func(cell string) bool) bool {
		n := 0
		for _, r := range rows {
			if i < len(r) && test(strings.TrimSpace(r[i])) {
				n++
			}
		}
		return n >= least
	}
	for i := range width {
		if fits(i, func(c string) bool { _, ok := readStamp(c, stampRules{}); return ok && !l.has(stampColumn) }) {
			l.set(i, &head{"", stampColumn, nil, ""})
		} else if fits(i, func(c string) bool { r, err := geo.Parse(c); return err == nil && r.Point.Valid() }) {
			l.set(i, &head{"", bothColumn, nil, ""})
		}
	}
	coordinate := func(c string) bool {
		x, decimals, ok := number(point(c, decimal))
		return ok && decimals >= 3 && x >= -18000 && x <= 18000
	}
	letter := func(a, b string) func(c string) bool {
		return func(c string) bool { return strings.EqualFold(c, a) || strings.EqualFold(c, b) }
	}
	for i := 0; i < width && !l.places(); i++ {
		switch {
		case !fits(i, coordinate):
		case i+3 < width && fits(i+1, letter("N", "S")) && fits(i+2, coordinate) && fits(i+3, letter("E", "W")):
			l.set(i, &head{"", latColumn, nil, ""})
			l.set(i+1, &head{"", nsColumn, nil, ""})
			l.set(i+2, &head{"", lonColumn, nil, ""})
			l.set(i+3, &head{"", ewColumn, nil, ""})
		case i+1 < width && fits(i+1, coordinate):
			l.set(i, &head{"", latColumn, nil, ""})
			l.set(i+1, &head{"", lonColumn, nil, ""})
		}
	}
	if !l.places() {
		return l, nil, false
	}
	return l, []string{l.words()}, true
}

// words tells what the columns of a table without names were taken for.
func (l *layout) words() string {
	names := []struct {
		c    column
		name string
	}{{stampColumn, "time"}, {bothColumn, "position"}, {latColumn, "latitude"}, {nsColumn, "north or south"}, {lonColumn, "longitude"}, {ewColumn, "east or west"}}
	var parts []string
	for _, n := range names {
		if l.has(n.c) {
			parts = append(parts, fmt.Sprintf("%d is the %s", l.at[n.c]+1, n.name))
		}
	}
	return "the table has no names: by what the columns hold, " + strings.Join(parts, ", ")
}

// point turns a decimal comma into a point.
func point(text string, decimal byte) string {
	if decimal == ',' {
		return strings.Replace(text, ",", ".", 1)
	}
	return text
}

// look finds out of the first rows what the numbers mean: degrees and minutes in one
// number, or longitude before latitude.
func (l *layout) look(rows [][]string) (assumed []string) {
	if !l.has(latColumn) {
		return nil
	}
	var lats, lons, high, minutes, latOver, lonOver int
	for _, r := range rows {
		lat, okLat := l.plain(r, latColumn)
		lon, okLon := l.plain(r, lonColumn)
		if !okLat || !okLon {
			continue
		}
		lats, lons = lats+1, lons+1
		latOver += truth(lat > 90 && lat <= 180)
		lonOver += truth(lon > 90)
		high += truth(lat > 180 || lon > 180)
		minutes += truth(degreesMinutes(lat, 90) && degreesMinutes(lon, 180))
	}
	switch {
	case lats == 0:
	case high*2 >= lats && minutes == lats:
		l.ddmm = true
		assumed = append(assumed, "the numbers are too large for degrees: they were taken as degrees and minutes together, as sentences write them")
	case latOver*2 >= lats && lonOver == 0 && l.of[l.at[latColumn]].name == "":
		l.at[latColumn], l.at[lonColumn] = l.at[lonColumn], l.at[latColumn]
		assumed = append(assumed, "the first numbers are too large for a latitude: they were taken as longitudes")
	}
	return assumed
}

// plain is the size of a coordinate that is one number.
func (l *layout) plain(row []string, c column) (float64, bool) {
	if i := l.at[c]; i < len(row) {
		x, _, ok := number(point(strings.TrimSpace(row[i]), l.decimal))
		return max(x, -x), ok
	}
	return 0, false
}

// degreesMinutes: a number of the form dddmm.mmm.
func degreesMinutes(x, most float64) bool {
	degrees := float64(int(x / 100))
	return degrees <= most && x-degrees*100 < 60
}

func truth(b bool) int {
	if b {
		return 1
	}
	return 0
}
