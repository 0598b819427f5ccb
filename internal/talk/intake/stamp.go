package intake

import (
	"strings"
	"time"
)

// A stampShape is a way to write the time in front of a line.
type stampShape uint8

const (
	noStamp stampShape = iota
	clockStamp
	numberStamp
)

// A stamp is the time in front of a line.
type stamp struct {
	days    int // since 1970-01-01; -1 without a date
	nanos   int64
	zone    bool // a zone was given; nanos and days are UTC
	dateRaw bool // there was a date whose order of day and month is not clear
	point   bool // a number with a decimal point
	unit    string
	digits  int // of a number, before the point
}

// readStamp reads the time at the start of a line and returns what stands behind it.
func readStamp(shape stampShape, line string) (s stamp, rest string, ok bool) {
	switch shape {
	case clockStamp:
		return readClock(line)
	case numberStamp:
		return readNumber(line)
	}
	return s, line, true
}

// scan is a cursor over a line.
type scan struct {
	s string
	i int
}

func (c *scan) peek() byte {
	if c.i < len(c.s) {
		return c.s[c.i]
	}
	return 0
}

func (c *scan) one(set string) bool {
	if c.i < len(c.s) && strings.IndexByte(set, c.s[c.i]) >= 0 {
		c.i++
		return true
	}
	return false
}

// digits reads between least and most digits.
func (c *scan) digits(least, most int) (n int64, count int, ok bool) {
	for c.i < len(c.s) && digit(c.s[c.i]) && count < most {
		n = n*10 + int64(c.s[c.i]-'0')
		c.i++
		count++
	}
	return n, count, count >= least
}

// readClock reads [date] hh:mm:ss[.fraction][zone], in brackets or not.
func readClock(line string) (s stamp, rest string, ok bool) {
	c := scan{s: line}
	open := c.one("[(")
	for c.one(" ") {
	}
	s.days = -1
	start := c.i
	if days, ambiguous, ok := c.date(); ok {
		s.days, s.dateRaw = days, ambiguous
		if !c.one("T _-,") {
			return s, line, false
		}
		for c.one(" ") {
		}
	} else {
		c.i = start
	}
	h, _, ok1 := c.digits(1, 2)
	ok1 = ok1 && c.one(":")
	m, n, ok2 := c.digits(2, 2)
	ok2 = ok2 && n == 2 && c.one(":")
	sec, n, ok3 := c.digits(2, 2)
	if !ok1 || !ok2 || !ok3 || n != 2 || h > 23 || m > 59 || sec > 60 {
		return s, line, false
	}
	s.nanos = (h*3600 + m*60 + sec) * 1e9
	if mark := c.i; c.one(".,:") {
		f, n, ok := c.digits(1, 9)
		if !ok {
			c.i = mark
		}
		for ; ok && n < 9; n++ {
			f *= 10
		}
		for ok && digit(c.peek()) {
			c.i++ // finer than nanoseconds
		}
		if ok {
			s.nanos += f
		}
	}
	c.zone(&s)
	for c.one(" ") {
	}
	if open && !c.one("])") {
		return s, line, false
	}
	return s, line[c.i:], true
}

// A clockLayout is how the time stood in front of the last line that was read with
// care. Where the next one has the same letters in the same places, only its digits
// are read.
type clockLayout struct {
	known  bool
	before string // up to the hours: a bracket, a date
	frac   int    // how many digits the fraction has
	point  byte   // what stands in front of it
	after  string // behind the last digit: a zone, a bracket, blanks
	date   stamp  // what else the stamp said
	zone   int64  // nanoseconds that the zone adds
}

// learn keeps the layout of a stamp that readClock has read; rest is what it left of the line.
func (l *clockLayout) learn(line string, s stamp, rest string) {
	l.known = false
	text := line[:len(line)-len(rest)]
	i := strings.IndexByte(text, ':')
	if i < 2 || len(text) < i+6 || !digit(text[i-1]) || !digit(text[i-2]) {
		return // hours of one digit are read with care
	}
	h, _, _ := (&scan{s: text[i-2:]}).digits(2, 2)
	m, _, _ := (&scan{s: text[i+1:]}).digits(2, 2)
	sec, _, _ := (&scan{s: text[i+4:]}).digits(2, 2)
	end := i + 6
	n := clockLayout{known: true, before: strings.Clone(text[:i-2]), date: s}
	nanos := (h*3600 + m*60 + sec) * 1e9
	if end+1 < len(text) && strings.IndexByte(".,:", text[end]) >= 0 && digit(text[end+1]) {
		n.point = text[end]
		f, count, _ := (&scan{s: text[end+1:]}).digits(1, 9)
		n.frac = count
		end += 1 + count
		for ; count < 9; count++ {
			f *= 10
		}
		nanos += f
	}
	n.after = strings.Clone(text[end:])
	n.zone = s.nanos - nanos
	if rest == "" || end < len(text) && digit(text[end]) || len(n.before) > 0 && digit(n.before[len(n.before)-1]) || n.zone%(60*1e9) != 0 {
		return // finer than nanoseconds, or nothing between the date and the hours
	}
	*l = n
}

// read reads a line whose stamp has the known layout.
func (l *clockLayout) read(line string) (s stamp, rest string, ok bool) {
	at := len(l.before)
	end := at + 8
	if l.frac > 0 {
		end += 1 + l.frac
	}
	if !l.known || len(line) <= end+len(l.after) || line[:at] != l.before || line[at+2] != ':' || line[at+5] != ':' || line[end:end+len(l.after)] != l.after {
		return s, line, false
	}
	var part [3]int64
	for i := range part {
		a, b := line[at+3*i], line[at+3*i+1]
		if !digit(a) || !digit(b) {
			return s, line, false
		}
		part[i] = int64(a-'0')*10 + int64(b-'0')
	}
	if part[0] > 23 || part[1] > 59 || part[2] > 60 {
		return s, line, false
	}
	var frac int64
	if l.frac > 0 {
		if line[at+8] != l.point {
			return s, line, false
		}
		for _, b := range []byte(line[at+9 : end]) {
			if !digit(b) {
				return s, line, false
			}
			frac = frac*10 + int64(b-'0')
		}
		for n := l.frac; n < 9; n++ {
			frac *= 10
		}
	}
	if end += len(l.after); !l.ends(line[end]) {
		return s, line, false
	}
	s = l.date
	s.nanos = (part[0]*3600+part[1]*60+part[2])*1e9 + frac + l.zone
	return s, line[end:], true
}

// ends says that a byte behind the known layout cannot belong to the stamp.
func (l *clockLayout) ends(next byte) bool {
	if l.after == "" {
		return next != ' ' && !digit(next) && strings.IndexByte(".,:+-Zz", next) < 0
	}
	switch l.after[len(l.after)-1] {
	case ']', ')':
		return true
	case ' ':
		return next != ' ' && next != ']' && next != ')'
	}
	return next != ' ' && !digit(next) // behind a zone
}

// date reads year-month-day, or day and month in an order that is not clear.
func (c *scan) date() (days int, ambiguous, ok bool) {
	a, n, ok1 := c.digits(1, 4)
	sep := c.peek()
	if !ok1 || !c.one("-/.") {
		return 0, false, false
	}
	b, _, ok2 := c.digits(1, 2)
	if !ok2 || c.peek() != sep {
		return 0, false, false
	}
	c.i++
	d, dn, ok3 := c.digits(1, 4)
	if !ok3 {
		return 0, false, false
	}
	year, month, day := a, b, d
	if n != 4 {
		if dn != 4 && dn != 2 {
			return 0, false, false
		}
		day, month, year = a, b, d
		if dn == 2 {
			year += 2000
		}
		if sep == '/' || month > 12 {
			ambiguous = true
			if month > 12 {
				day, month = month, day
			}
		}
	}
	if month < 1 || month > 12 || day < 1 || day > 31 || year < 1970 || year > 9999 {
		return 0, false, false
	}
	t := time.Date(int(year), time.Month(month), int(day), 0, 0, 0, 0, time.UTC)
	return int(t.Unix() / 86400), ambiguous, true
}

// zone reads Z, +01:00, +0100.
func (c *scan) zone(s *stamp) {
	mark := c.i
	if c.one("Zz") {
		s.zone = true
		return
	}
	sign := int64(1)
	if c.peek() == '-' {
		sign = -1
	}
	if !c.one("+-") {
		return
	}
	h, n, ok := c.digits(2, 2)
	c.one(":")
	m, _, ok2 := c.digits(2, 2)
	if !ok || !ok2 || n != 2 || h > 14 || s.days < 0 {
		c.i = mark
		return
	}
	s.zone = true
	s.nanos -= sign * (h*3600 + m*60) * 1e9
}

// readNumber reads seconds since the start, or since 1970: "12.345", "[  12.345]", "1772619300.125", "12345 ms".
func readNumber(line string) (s stamp, rest string, ok bool) {
	c := scan{s: line}
	open := c.one("[(")
	for c.one(" ") {
	}
	c.one("+")
	whole, n, ok := c.digits(1, 13)
	if !ok {
		return s, line, false
	}
	s.days, s.digits = -1, n
	s.nanos = whole
	var frac int64
	if mark := c.i; c.one(".,") {
		f, n, ok := c.digits(1, 9)
		if ok {
			s.point = true
			for ; n < 9; n++ {
				f *= 10
			}
			frac = f
		} else {
			c.i = mark
		}
	}
	mark := c.i
	for c.one(" ") {
	}
	for _, unit := range [...]string{"ms", "us", "s"} {
		if strings.HasPrefix(line[c.i:], unit) && (c.i+len(unit) == len(line) || !letter(line[c.i+len(unit)])) {
			s.unit = unit
			c.i += len(unit)
			mark = c.i
			break
		}
	}
	c.i = mark
	for open && c.one(" ") {
	}
	if open && !c.one("])") {
		return s, line, false
	}
	// A number alone is no time, nor is one that a word or a further number hangs on.
	switch next := c.peek(); {
	case next == 0, letter(next), digit(next), next == '.', next == '*', next == '"', next == '/', next == '+', next == '-' && c.i+1 < len(line) && digit(line[c.i+1]):
		return s, line, false
	case next == ',' && s.unit == "" && !s.point && !open:
		return s, line, false
	}
	s.scale(frac)
	return s, line[c.i:], true
}

// scale turns the number into nanoseconds by its unit or its size.
func (s *stamp) scale(frac int64) {
	switch {
	case s.unit == "us":
		s.nanos *= 1e3
	case s.unit == "ms":
		s.nanos = s.nanos*1e6 + frac/1e3
	case s.unit == "s" || s.point || s.digits == 10:
		s.nanos = min(s.nanos, 9e9)*1e9 + frac
	default:
		s.nanos = min(s.nanos, 9e12) * 1e6 // whole numbers are milliseconds: of a timer, or since 1970 with 13 digits
	}
}
