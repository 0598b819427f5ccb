package intake

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/talk/capture"
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

// A marker is a word in front of a line that says who sent it.
type marker struct {
	word string
	out  bool
}

// markers are common practice, no source; longer ones first where one begins
// another. out is what the side that wrote the log sent.
var markers = [...]marker{
	{"-->", true}, {"<--", false}, {"->", true}, {"<-", false}, {"=>", true}, {"<=", false}, {">>>", true}, {"<<<", false}, {">>", true}, {"<<", false},
	{">", true}, {"<", false}, {"\u2192", true}, {"\u2190", false},
	{"TRANSMIT", true}, {"RECEIVED", false}, {"RECEIVE", false}, {"RECV", false}, {"RCVD", false}, {"SENDING", true}, {"SEND", true}, {"SENT", true},
	{"TXD", true}, {"RXD", false}, {"TX", true}, {"RX", false}, {"WRITE", true}, {"READ", false}, {"OUT", true}, {"IN", false},
	{"CONTROLLER", true}, {"MODULE", false}, {"HOST", true}, {"DEVICE", false}, {"MCU", true}, {"MODEM", false}, {"DTE", true}, {"DCE", false},
}

// readMarker reads who sent a line. words asks for a word such as TX, and not
// for a sign. False: nothing says so.
func readMarker(line string, words bool) (out bool, rest string, ok bool) {
	s := strings.TrimLeft(line, " \t|:;,")
	if s == "-" || strings.HasPrefix(s, "- ") {
		s = strings.TrimLeft(s[1:], " \t")
	}
	wrapped := byte(0)
	if s != "" && (s[0] == '[' || s[0] == '(') {
		wrapped = s[0] + 2 // ']' is two behind '['
		if s[0] == '(' {
			wrapped = ')'
		}
		s = s[1:]
	}
	for i := range markers {
		m := &markers[i]
		if letter(m.word[0]) != words {
			continue
		}
		if len(s) < len(m.word) || !strings.EqualFold(s[:len(m.word)], m.word) {
			continue
		}
		after := s[len(m.word):]
		if wrapped != 0 {
			if after == "" || after[0] != wrapped {
				return false, line, false
			}
			after = after[1:]
		} else if letter(m.word[0]) && (after == "" || strings.IndexByte(": \t>|,;=-", after[0]) < 0) {
			return false, line, false
		}
		after = strings.TrimLeft(after, " \t")
		// "TX: ", "RX |", "TX ->": the rest of the marker.
		if letter(m.word[0]) || wrapped != 0 {
			for _, more := range [...]string{"-->", "<--", "->", "<-", "=>", ">>", "<<", ":", "|", ";", ">", "="} {
				if t, ok := strings.CutPrefix(after, more); ok && (more != ">" || t != "" && t != " ") {
					after = strings.TrimLeft(t, " \t")
					break
				}
			}
		} else if t, ok := strings.CutPrefix(after, ":"); ok {
			after = strings.TrimLeft(t, " \t")
		}
		return m.out, after, true
	}
	return false, line, false
}

// stampedFormat is how a log writes its lines.
type stampedFormat struct {
	shape     stampShape
	marked    bool // lines say who sent them
	words     bool // with words, not with signs
	separated bool // a sign stands before every line, whoever sent it
	outIsFrom capture.Direction
	quoted    bool
	hex       bool
	sure, all bool // lines show their ends
	first     stamp
	hasFirst  bool
	assumed   []string
}

// payload returns what a line says behind its stamp and its marker.
func (f *stampedFormat) payload(line string) (s stamp, from capture.Direction, text string, ok bool) {
	s, rest, ok := readStamp(f.shape, line)
	if !ok {
		return s, capture.Unknown, line, false
	}
	if f.marked {
		out, after, marked := readMarker(rest, f.words)
		if !marked {
			return s, capture.Unknown, trimSeparator(rest), f.shape != noStamp
		}
		from = capture.Controller
		if out != (f.outIsFrom == capture.Controller) {
			from = capture.Module
		}
		return s, from, after, true
	}
	if f.separated {
		if _, after, ok := readMarker(rest, f.words); ok {
			return s, capture.Unknown, after, true
		}
	}
	return s, capture.Unknown, trimSeparator(rest), true
}

// trimSeparator takes off what stands between a time and the line.
func trimSeparator(s string) string {
	s = strings.TrimLeft(s, " \t")
	for _, sep := range [...]string{"|", ":", ";", ",", "- "} {
		if t, ok := strings.CutPrefix(s, sep); ok {
			return strings.TrimLeft(t, " \t")
		}
	}
	return s
}

// unwrap undoes quotes and hexadecimal.
func (f *stampedFormat) unwrap(t string) (string, bool) {
	if f.quoted {
		if n := len(t); n >= 2 && (t[0] == '"' || t[0] == '\'') && t[n-1] == t[0] {
			t = strings.ReplaceAll(t[1:n-1], `\`+t[:1], t[:1])
		}
	}
	if f.hex {
		if b, ok := undoHex(t); ok {
			return b, true
		}
	}
	return t, false
}

// lookStamped says how a sample of lines is stamped and marked. False: it is not.
func lookStamped(lines []string) (*stampedFormat, bool) {
	f := &stampedFormat{outIsFrom: capture.Controller}
	for _, shape := range [...]stampShape{clockStamp, numberStamp} {
		hits := 0
		for _, t := range lines {
			if _, rest, ok := readStamp(shape, t); ok && strings.TrimSpace(rest) != "" {
				hits++
			}
		}
		if hits*2 >= len(lines) && hits > 0 {
			f.shape = shape
			break
		}
	}
	var bodies []string
	stamped := 0
	var outs, ins [2]int // with signs, with words
	for _, t := range lines {
		s, rest, ok := readStamp(f.shape, t)
		if !ok {
			continue
		}
		if !f.hasFirst {
			f.first, f.hasFirst = s, f.shape != noStamp
		}
		stamped++
		for i := range outs {
			if out, _, ok := readMarker(rest, i == 1); ok && out {
				outs[i]++
			} else if ok {
				ins[i]++
			}
		}
	}
	best := 0
	if outs[1]+ins[1] > outs[0]+ins[0] {
		best, f.words = 1, true
	}
	f.marked = (outs[best]+ins[best])*10 >= stamped*6 && outs[best]+ins[best] > 0
	if one := outs[best] == 0 || ins[best] == 0; f.marked && one && (!f.words || f.mixed(lines)) {
		f.marked, f.separated = false, true
		f.assumed = append(f.assumed, "the same mark stands before every line: it was not taken as a side")
	}
	if f.shape == noStamp && (!f.marked || outs[best] == 0 || ins[best] == 0) {
		return nil, false
	}
	for _, t := range lines {
		if _, _, body, ok := f.payload(t); ok && body != "" {
			bodies = append(bodies, body)
		}
	}
	f.lookBodies(bodies)
	if f.marked {
		f.lookSides(lines)
	}
	return f, true
}

// mixed says whether marked lines hold both commands and answers.
func (f *stampedFormat) mixed(lines []string) bool {
	commands, answers := false, false
	for _, t := range lines {
		_, _, body, _ := f.payload(t)
		body = strings.Trim(undoPictures(body, true), "\r\n \x00")
		commands = commands || isCommand(body)
		answers = answers || isResult(body) || isAnswer(body) || isSentence(body)
	}
	return commands && answers
}

// lookBodies sees how payloads are written.
func (f *stampedFormat) lookBodies(bodies []string) {
	quoted := 0
	for _, t := range bodies {
		if n := len(t); n >= 2 && (t[0] == '"' || t[0] == '\'') && t[n-1] == t[0] {
			quoted++
		}
	}
	if f.quoted = quoted*10 >= len(bodies)*8 && quoted > 0; f.quoted {
		f.assumed = append(f.assumed, "the quotes around each line were taken as the log's own")
	}
	for i := range bodies {
		bodies[i], _ = f.unwrap(bodies[i])
	}
	if f.hex = isHexDump(bodies); f.hex {
		f.assumed = append(f.assumed, "lines were read as hexadecimal")
		return
	}
	if f.sure, f.all = showsEnds(bodies); f.sure || f.all {
		f.assumed = append(f.assumed, picturesTaken)
	}
}

// lookSides sees which marker is the controller's: the one that the commands have.
func (f *stampedFormat) lookSides(lines []string) {
	var commands, answers [2]int
	for _, t := range lines {
		_, from, body, ok := f.payload(t)
		if !ok || from == capture.Unknown {
			continue
		}
		body, _ = f.unwrap(body)
		body = strings.Trim(undoPictures(body, true), "\r\n \x00")
		side := 0
		if from == capture.Module {
			side = 1
		}
		switch {
		case isCommand(body):
			commands[side]++
		case isResult(body), isAnswer(body), isSentence(body):
			answers[side]++
		}
	}
	if commands[1] > commands[0] && answers[0] >= answers[1] && commands[0] == 0 {
		f.outIsFrom = capture.Module
		f.assumed = append(f.assumed, "the marks for sent and received were read from the module's side: what is marked as sent holds the answers")
		return
	}
	if commands[0]+commands[1]+answers[0]+answers[1] > 0 && commands[0] == 0 && answers[1] == 0 && answers[0] > 0 {
		f.outIsFrom = capture.Module
		f.assumed = append(f.assumed, "the marks for sent and received were read from the module's side: what is marked as sent holds the answers")
	}
}

// clockOf returns the wall clock of a stamp; "" when it has none.
func clockOf(s stamp, shape stampShape) (began string, assumed string) {
	switch {
	case shape == clockStamp && s.days >= 0:
		t := time.Unix(int64(s.days)*86400, 0).UTC().Add(time.Duration(s.nanos))
		if !s.zone {
			assumed = "the log's times have no zone: they were taken as UTC"
		}
		if s.dateRaw {
			assumed = fmt.Sprintf("the first date was read as %s; its order of day and month is not clear", t.Format("2 January 2006"))
		}
		return t.Format("2006-01-02T15:04:05.999999999Z07:00"), assumed
	case shape == numberStamp && s.nanos >= 1e18: // after 2001: seconds since 1970
		t := time.Unix(0, s.nanos).UTC()
		return t.Format("2006-01-02T15:04:05.999999999Z07:00"), "the log's times were taken as seconds since 1970, UTC"
	}
	return "", ""
}
