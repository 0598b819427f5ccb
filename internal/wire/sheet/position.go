package sheet

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/wire/at"
)

// Position is what an answer said about where the module is. A field that was
// empty, missing or unreadable is not known.
type Position struct {
	Valid            maybe.Value[bool]
	UTC              maybe.Value[time.Time]     // needs a date and a time
	TimeOfDay        maybe.Value[time.Duration] // since midnight UTC
	LatDeg           maybe.Value[float64]       // north positive
	LonDeg           maybe.Value[float64]       // east positive
	AltitudeM        maybe.Value[float64]
	SpeedKMH         maybe.Value[float64]
	CourseDeg        maybe.Value[float64]
	HDOP, PDOP, VDOP maybe.Value[float64]
	Satellites       maybe.Value[int] // used
	SatellitesInView maybe.Value[int]
}

// reading is a position while its fields come in: some need each other.
type reading struct {
	Position
	date         maybe.Value[time.Time]
	south, west  bool
	latMin, lonM maybe.Value[float64]
}

// fieldKind is one way a field may be spelt. To add a way, add a line.
type fieldKind struct {
	name    string
	meaning string
	read    func(r *reading, s string) error
}

var fieldKinds = []fieldKind{
	{"valid", "1 or A: the position holds; 0 or V: it does not", func(r *reading, s string) error {
		switch s {
		case "1", "A":
			r.Valid = maybe.Known(true)
		case "0", "V":
			r.Valid = maybe.Known(false)
		default:
			return errors.New("want 0, 1, A or V")
		}
		return nil
	}},
	{"utc_date_ddmmyy", "day, month, year of the century", func(r *reading, s string) error { return readDate(r, s, "020106") }},
	{"utc_date_yyyymmdd", "year, month, day", func(r *reading, s string) error { return readDate(r, s, "20060102") }},
	{"utc_time_hhmmss", "hours, minutes, seconds with any decimals, UTC", func(r *reading, s string) error { return readTime(r, s) }},
	{"utc_yyyymmddhhmmss", "date and time together, seconds with any decimals, UTC", func(r *reading, s string) error {
		if len(s) < 14 {
			return errors.New("want yyyymmddhhmmss")
		}
		return errors.Join(readDate(r, s[:8], "20060102"), readTime(r, s[8:]))
	}},
	{"lat_deg", "latitude in decimal degrees, north positive", func(r *reading, s string) error { return number(&r.LatDeg, s, -90, 90) }},
	{"lon_deg", "longitude in decimal degrees, east positive", func(r *reading, s string) error { return number(&r.LonDeg, s, -180, 180) }},
	{"lat_ddmm", "latitude in degrees and minutes without a gap; lat_ns says which half", func(r *reading, s string) error { return degMin(&r.latMin, s, 90) }},
	{"lon_dddmm", "longitude in degrees and minutes without a gap; lon_ew says which half", func(r *reading, s string) error { return degMin(&r.lonM, s, 180) }},
	{"lat_ns", "N or S", func(r *reading, s string) error { return half(&r.south, s, "N", "S") }},
	{"lon_ew", "E or W", func(r *reading, s string) error { return half(&r.west, s, "E", "W") }},
	{"altitude_m", "metres above mean sea level", func(r *reading, s string) error { return number(&r.AltitudeM, s, -12000, 100000) }},
	{"speed_kmh", "kilometres an hour", func(r *reading, s string) error { return scaled(&r.SpeedKMH, s, 1) }},
	{"speed_knots", "knots, 1.852 km/h each", func(r *reading, s string) error { return scaled(&r.SpeedKMH, s, 1.852) }},
	{"speed_mps", "metres a second", func(r *reading, s string) error { return scaled(&r.SpeedKMH, s, 3.6) }},
	{"course_deg", "degrees clockwise from true north", func(r *reading, s string) error { return number(&r.CourseDeg, s, 0, 360) }},
	{"hdop", "horizontal dilution of precision", func(r *reading, s string) error { return number(&r.HDOP, s, 0, 100) }},
	{"pdop", "position dilution of precision", func(r *reading, s string) error { return number(&r.PDOP, s, 0, 100) }},
	{"vdop", "vertical dilution of precision", func(r *reading, s string) error { return number(&r.VDOP, s, 0, 100) }},
	{"satellites", "satellites used for the position", func(r *reading, s string) error { return count(&r.Satellites, s) }},
	{"satellites_in_view", "satellites above the horizon", func(r *reading, s string) error { return count(&r.SatellitesInView, s) }},
	{"ignored", "a value that is not needed here", func(*reading, string) error { return nil }},
}

// FieldNames returns the names a field of an answer may have.
func FieldNames() []string {
	names := make([]string, len(fieldKinds))
	for i, k := range fieldKinds {
		names[i] = k.name
	}
	return names
}

// FieldMeaning says in words what a field of that name holds; "" for an unknown name.
func FieldMeaning(name string) string {
	for _, k := range fieldKinds {
		if k.name == name {
			return k.meaning
		}
	}
	return ""
}

// ErrNoPosition is the error of [Sheet.ReadPosition] when the sheet does not say how to read one.
var ErrNoPosition = errors.New("sheet: no duty position.read with fields")

// ReadPosition reads the answer of position.read as this sheet spells it. It
// returns all it could read; the error joins one for each field it could not.
func (s *Sheet) ReadPosition(answer at.Answer) (Position, error) {
	d, ok := s.Duties[PositionRead]
	if !ok || d.Answer.Shape != Fields {
		return Position{}, ErrNoPosition
	}
	if !strings.EqualFold(answer.Name, d.Answer.Prefix) {
		return Position{}, fmt.Errorf("sheet: answer is %q: want %s", answer.Name, d.Answer.Prefix)
	}
	return readFields(d.Answer, answer.Params)
}

func readFields(a Answer, params []at.Param) (Position, error) {
	var r reading
	var problems []error
	for i, f := range a.Fields {
		if i >= len(params) {
			problems = append(problems, fmt.Errorf("sheet: %s has %d fields: want %d", a.Prefix, len(params), len(a.Fields)))
			break
		}
		text := strings.TrimSpace(params[i].Text)
		if text == "" {
			continue // not known
		}
		for _, k := range fieldKinds {
			if k.name != f.Name {
				continue
			}
			if err := k.read(&r, text); err != nil {
				problems = append(problems, fmt.Errorf("sheet: %s field %d (%s) %q: %w", a.Prefix, i+1, f.Name, text, err))
			}
		}
	}
	r.finish()
	return r.Position, errors.Join(problems...)
}

// finish joins the fields that need each other.
func (r *reading) finish() {
	if lat, ok := r.latMin.Get(); ok {
		r.LatDeg = maybe.Known(signed(lat, r.south))
	}
	if lon, ok := r.lonM.Get(); ok {
		r.LonDeg = maybe.Known(signed(lon, r.west))
	}
	date, dateKnown := r.date.Get()
	if t, ok := r.TimeOfDay.Get(); ok && dateKnown {
		r.UTC = maybe.Known(date.Add(t))
	}
}

func signed(v float64, negative bool) float64 {
	if negative {
		return -v
	}
	return v
}

func readDate(r *reading, s, layout string) error {
	t, err := time.Parse(layout, s)
	if err != nil {
		return errors.New("not a date")
	}
	r.date = maybe.Known(t)
	return nil
}

func readTime(r *reading, s string) error {
	whole, frac, _ := strings.Cut(s, ".")
	n, err := strconv.ParseUint(whole, 10, 32)
	if err != nil || len(whole) != 6 || n/10000 > 23 || n/100%100 > 59 || n%100 > 60 {
		return errors.New("want hhmmss")
	}
	d := time.Duration(n/10000)*time.Hour + time.Duration(n/100%100)*time.Minute + time.Duration(n%100)*time.Second
	if frac != "" {
		if len(frac) > 9 {
			frac = frac[:9]
		}
		nanos, err := strconv.ParseUint(frac+strings.Repeat("0", 9-len(frac)), 10, 32)
		if err != nil {
			return errors.New("want digits after the point")
		}
		d += time.Duration(nanos)
	}
	r.TimeOfDay = maybe.Known(d)
	return nil
}

func number(into *maybe.Value[float64], s string, low, high float64) error {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || v < low || v > high {
		return fmt.Errorf("want a number from %g to %g", low, high)
	}
	*into = maybe.Known(v)
	return nil
}

func scaled(into *maybe.Value[float64], s string, factor float64) error {
	// No vehicle with such a module is faster than 2000 km/h; more is a wrong column.
	if err := number(into, s, 0, 2000/factor); err != nil {
		return err
	}
	v, _ := into.Get()
	*into = maybe.Known(v * factor)
	return nil
}

func count(into *maybe.Value[int], s string) error {
	n, err := strconv.ParseUint(s, 10, 8)
	if err != nil {
		return errors.New("want a count")
	}
	*into = maybe.Known(int(n))
	return nil
}

// degMin reads degrees and minutes written together: 5142.613 is 51° 42.613'.
func degMin(into *maybe.Value[float64], s string, limit float64) error {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || v < 0 {
		return errors.New("want degrees and minutes")
	}
	deg := math.Floor(v / 100)
	minutes := v - deg*100
	if minutes >= 60 || deg+minutes/60 > limit {
		return fmt.Errorf("want minutes below 60 and at most %g degrees", limit)
	}
	*into = maybe.Known(deg + minutes/60)
	return nil
}

func half(negative *bool, s, plus, minus string) error {
	switch strings.ToUpper(s) {
	case plus:
		*negative = false
	case minus:
		*negative = true
	default:
		return fmt.Errorf("want %s or %s", plus, minus)
	}
	return nil
}
