package intake

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/talk/capture"
)

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

	clock   clockLayout
	markers [2]knownMarker // one for each side, as they were written last
}

// A knownMarker is what stands between the stamp and the line, and what it says.
type knownMarker struct {
	text string
	out  bool
}

// payload returns what a line says behind its stamp and its marker.
func (f *stampedFormat) payload(line string) (s stamp, from capture.Direction, text string, ok bool) {
	s, rest, ok := f.stamp(line)
	if !ok {
		return s, capture.Unknown, line, false
	}
	if f.marked {
		out, after, marked := f.marker(rest)
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

// stamp reads the time in front of a line: as in the line before, where it looks the same.
func (f *stampedFormat) stamp(line string) (s stamp, rest string, ok bool) {
	if f.shape != clockStamp {
		return readStamp(f.shape, line)
	}
	if s, rest, ok = f.clock.read(line); ok {
		return s, rest, true
	}
	s, rest, ok = readClock(line)
	if ok {
		f.clock.learn(line, s, rest)
	}
	return s, rest, ok
}

// marker reads who sent a line. The same mark says the same, unless what follows could belong to it.
func (f *stampedFormat) marker(rest string) (out bool, after string, ok bool) {
	for i := range f.markers {
		if m := &f.markers[i]; m.text != "" && len(rest) > len(m.text) && rest[:len(m.text)] == m.text && !partOfMarker(rest[len(m.text)]) {
			return m.out, rest[len(m.text):], true
		}
	}
	out, after, ok = readMarker(rest, f.words)
	if n := len(rest) - len(after); ok && n > 0 && after != "" && !partOfMarker(after[0]) {
		m := &f.markers[0]
		if out {
			m = &f.markers[1]
		}
		*m = knownMarker{strings.Clone(rest[:n]), out}
	}
	return out, after, ok
}

// partOfMarker says whether a byte behind a mark could be more of it, see readMarker.
func partOfMarker(b byte) bool { return strings.IndexByte(" \t-=<>:|;,", b) >= 0 }

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
