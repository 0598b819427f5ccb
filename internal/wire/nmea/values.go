package nmea

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/maybe"
)

// Short names for the values of records, so that a table row stays one line.
type (
	clockTime = maybe.Value[time.Duration]
	calendar  = maybe.Value[Date]
	angle     = maybe.Value[Angle]
	decimals  = maybe.Value[float64]
	wholes    = maybe.Value[int]
	truth     = maybe.Value[bool]
)

// Angle is a latitude or longitude as a sentence writes it.
type Angle struct {
	Deg  float64 // signed decimal degrees: the double nearest to what was written
	Text string  // degrees and minutes as written: "4807.038"
	Side byte    // 'N', 'S', 'E' or 'W'
}

// Latitude makes the angle for a latitude in signed degrees, with so many decimals
// of a minute (at most 8).
func Latitude(deg float64, minuteDecimals int) Angle {
	return newAngle(deg, minuteDecimals, 4, 'N', 'S')
}

// Longitude makes the angle for a longitude in signed degrees, with so many decimals
// of a minute (at most 8).
func Longitude(deg float64, minuteDecimals int) Angle {
	return newAngle(deg, minuteDecimals, 5, 'E', 'W')
}

func newAngle(deg float64, minuteDecimals, whole int, plus, minus byte) Angle {
	side := plus
	if math.Signbit(deg) {
		side = minus
	}
	places := max(0, min(minuteDecimals, 8))
	scale := int64(math.Pow10(places))
	n := int64(math.Round(math.Abs(deg) * 60 * float64(scale))) // minutes, scaled; below 2^53
	minutes := n / scale
	text := fmt.Sprintf("%0*d", whole, minutes/60*100+minutes%60)
	if places > 0 {
		text += fmt.Sprintf(".%0*d", places, n%scale)
	}
	a, _ := readAngle(text, side, whole)
	a.Text = text
	return a
}

// readAngle reads digits of degrees and two of minutes, whole together, then decimals
// of minutes. want says what would have fitted, "" for all well.
func readAngle(text string, side byte, whole int) (a Angle, want string) {
	a = Angle{Text: text, Side: side}
	head, fraction, pointed := strings.Cut(text, ".")
	if len(head) != whole || !digitsOnly(head) || !digitsOnly(fraction) || (pointed && fraction == "") {
		return a, "dddmm.mmmm"[5-whole:]
	}
	n := uint64(0)
	for i := range whole {
		n = n*10 + uint64(head[i]-'0')
	}
	if n%100 > 59 {
		return a, "minutes below 60"
	}
	// Of more decimals than these the rest is dropped, 2 nm: so the numerator and the
	// denominator are both whole doubles, and the quotient is the double nearest to the angle.
	const exact = 11
	minutes, scale := n/100*60+n%100, 60.0
	for i := range min(len(fraction), exact) {
		minutes, scale = minutes*10+uint64(fraction[i]-'0'), scale*10
	}
	a.Deg = float64(minutes) / scale
	if limit := 90 * (whole - 3); a.Deg > float64(limit) {
		return a, fmt.Sprintf("at most %d degrees", limit)
	}
	if side == 'S' || side == 'W' {
		a.Deg = -a.Deg
	}
	return a, ""
}

// Date is a day of the calendar, UTC.
type Date struct {
	Year       int16
	Month, Day int8
}

// NewDate returns a date; it does not ask whether the day exists.
func NewDate(year, month, day int) Date { return Date{int16(year), int8(month), int8(day)} }

// shortDate gives a two-digit year its century: GPS began in 1980, so 80 to 99
// are years of the 20th century and 00 to 79 of the 21st. Common practice, no source.
func shortDate(day, month, year int) Date {
	if year < 80 {
		year += 100
	}
	return NewDate(1900+year, month, day)
}

// exists says that the calendar has the day.
func (d Date) exists() bool {
	if d.Month < 1 || d.Month > 12 || d.Day < 1 {
		return false
	}
	const long = 1<<1 | 1<<3 | 1<<5 | 1<<7 | 1<<8 | 1<<10 | 1<<12
	switch {
	case d.Day <= 28:
		return true
	case d.Month == 2:
		leap := d.Year%4 == 0 && (d.Year%100 != 0 || d.Year%400 == 0)
		return leap && d.Day == 29
	case long>>d.Month&1 == 1:
		return d.Day <= 31
	}
	return d.Day <= 30
}

// At returns the instant at a time of that day.
func (d Date) At(t time.Duration) time.Time {
	return time.Date(int(d.Year), time.Month(d.Month), int(d.Day), 0, 0, 0, 0, time.UTC).Add(t)
}

// String is the date as 2026-03-04.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day) }

// readClock reads hhmmss or hhmmss.s…; 23:59:60 is the leap second.
func readClock(text string) (t time.Duration, want string) {
	const shape = "hhmmss.ss"
	whole, fraction, pointed := strings.Cut(text, ".")
	if len(whole) != 6 || !digitsOnly(whole) || (pointed && fraction == "") || !digitsOnly(fraction) {
		return 0, shape
	}
	if len(fraction) > 9 {
		return 0, "at most nine decimals"
	}
	two := func(i int) time.Duration { return time.Duration(whole[i]-'0')*10 + time.Duration(whole[i+1]-'0') }
	h, m, s := two(0), two(2), two(4)
	leap := h == 23 && m == 59 && s == 60
	if h > 23 || m > 59 || (s > 59 && !leap) {
		return 0, "a time of day, 000000 to 235960"
	}
	t = h*time.Hour + m*time.Minute + s*time.Second
	unit := time.Second
	for i := range len(fraction) {
		unit /= 10
		t += time.Duration(fraction[i]-'0') * unit
	}
	return t, ""
}

// writeClock writes what readClock reads, with at least two decimals.
func writeClock(t time.Duration) string {
	s := t / time.Second
	if s >= 86400 { // the leap second
		return fmt.Sprintf("235960%s", writeFraction(t-24*time.Hour))
	}
	return fmt.Sprintf("%02d%02d%02d%s", s/3600, s/60%60, s%60, writeFraction(t%time.Second))
}

func writeFraction(t time.Duration) string {
	s := fmt.Sprintf(".%09d", t)
	for len(s) > 3 && s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	return s
}

func digitsOnly(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}

// maxDigits is how many digits of a number are read before its point, and as many
// after it. Equipment is known to print 6 and 8; more is noise.
const maxDigits = 12

// readNumber reads digits with at most one point and perhaps a sign before them.
func readNumber(text string) (x float64, want string) {
	const shape = "a number"
	body := text
	if body != "" && (body[0] == '-' || body[0] == '+') {
		body = body[1:]
	}
	whole, fraction, _ := strings.Cut(body, ".")
	if len(whole)+len(fraction) == 0 || !digitsOnly(whole) || !digitsOnly(fraction) {
		return 0, shape
	}
	if len(whole) > maxDigits || len(fraction) > maxDigits {
		return 0, fmt.Sprintf("a number of at most %d digits", maxDigits)
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.Abs(x) >= 1e12 { // rounded up to one digit more than may be read back
		return 0, shape
	}
	return x, ""
}

func writeNumber(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// readWhole reads a whole number of at most four digits, up to limit.
func readWhole(text string, limit int) (n int, want string) {
	if len(text) > 4 || !digitsOnly(text) {
		return 0, "a whole number"
	}
	for i := range len(text) {
		n = n*10 + int(text[i]-'0')
	}
	if n > limit {
		return 0, fmt.Sprintf("at most %d", limit)
	}
	return n, ""
}

// readSatellite reads a satellite id; 0 stands for an empty field and for one that
// cannot be read.
func readSatellite(text string) (id int, want string) {
	if text == "" {
		return 0, ""
	}
	id, want = readWhole(text, 9999)
	if want == "" && id == 0 {
		want = "a satellite id, from 1"
	}
	return id, want
}

func writeSatellite(id int) string { return fmt.Sprintf("%02d", id) }

// Clock reads field n as a time of day, without the rest of the sentence; false when it
// is empty or no time. Field 1 is the time of most sentences, field 5 that of GLL.
func (s *Sentence) Clock(n int) (time.Duration, bool) {
	if n > s.Count {
		return 0, false
	}
	var v clockTime
	if !s.quick || !s.clock(n, &v) {
		v = clockTime{}
		readInto(&v, s.Field(n), readClock)
	}
	return v.Get()
}
