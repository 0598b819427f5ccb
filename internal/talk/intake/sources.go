package intake

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
)

// noTimes is what every importer without times says.
const noTimes = "no times in the file: only the order is judged"

// picturesTaken is said when lines show their own ends.
const picturesTaken = `pictures of control bytes, such as <CR> or \r, were taken as the bytes they show`

// talkSource reads a .talk text; what does not fit becomes a note.
type talkSource struct {
	reader  *talkReader
	records int
	assumed []string
}

// Next returns the next record.
func (s *talkSource) Next() (capture.Record, error) {
	for {
		item, err := s.reader.next()
		var bad *TalkError
		switch {
		case errors.As(err, &bad):
			if bad.Text == "" {
				return capture.Record{}, err // a line without end: nothing can follow
			}
			s.records++
			return capture.Record{
				Number: s.records, SourceLine: bad.Line, At: s.reader.last,
				Event: fmt.Sprintf("unreadable line %d: %q: want %s", bad.Line, clip(capture.Mask(bad.Text)), bad.Want),
			}, nil
		case err != nil:
			return capture.Record{}, err
		case !item.expect:
			s.records++
			item.record.Number = s.records
			return item.record, nil
		}
	}
}

// Info says what is known so far.
func (s *talkSource) Info() capture.Info {
	info := s.reader.info
	info.Assumed = append(slices.Clip(s.assumed), info.Assumed...)
	return info
}

// sentences is a file of raw GNSS sentences: all of it comes from the module.
type sentences struct {
	lines   *lineReader
	records int
	info    capture.Info
	long    int // first line that was too long
}

func newSentences(l *looked) *sentences {
	s := &sentences{lines: newLineReader(l.r, l.byCR), info: capture.Info{Kind: "nmea"}}
	s.info.Assumed = append(slices.Clip(l.assumed), noTimes, "all lines were taken as the module's")
	return s
}

// Next returns the next line as a record.
func (s *sentences) Next() (capture.Record, error) {
	t, err := s.lines.next()
	if err != nil {
		return capture.Record{}, readError(err)
	}
	if t.more && s.long == 0 {
		s.long = t.number
	}
	s.records++
	return capture.Record{Number: s.records, SourceLine: t.number, At: when.Instant(s.records), From: capture.Module, Bytes: t.raw}, nil
}

// Info says what is known so far.
func (s *sentences) Info() capture.Info { return withLong(s.info, s.long) }

func readError(err error) error {
	if errors.Is(err, io.EOF) {
		return io.EOF
	}
	return fmt.Errorf("intake: read: %w", err)
}

func withLong(info capture.Info, line int) capture.Info {
	if line > 0 {
		info.Assumed = append(slices.Clip(info.Assumed),
			fmt.Sprintf("line %d is longer than %d bytes: such lines were handed on in pieces", line, pieceLimit))
	}
	return info
}

// spoken is a recording in lines of text, with times and sides or without.
type spoken struct {
	lines  *lineReader
	says   speaker
	next   int // of the speaker's queue
	format *stampedFormat
	info   capture.Info
	long   int

	from     capture.Direction // of the last line, for lines that belong to it
	at       when.Instant
	day      int64 // nanoseconds added since midnights passed
	lastTime int64
	backAt   int    // first line whose time goes back
	note     string // the line read last is the logger's own
}

// newWindow reads a pasted terminal window: no times, no sides.
func newWindow(l *looked) *spoken {
	s := &spoken{lines: newLineReader(l.r, l.byCR), info: capture.Info{Kind: "window"}}
	s.info.Assumed = append(slices.Clip(l.assumed), noTimes)
	sure, all := showsEnds(l.lines)
	if sure || all {
		s.info.Assumed = append(s.info.Assumed, picturesTaken)
	}
	s.prepare(l.lines, sure, all)
	return s
}

// newStamped reads a log with times, sides, or both.
func newStamped(l *looked, f *stampedFormat) *spoken {
	s := &spoken{lines: newLineReader(l.r, l.byCR), format: f}
	s.info = capture.Info{Kind: "stamped", TimesKnown: f.shape != noStamp, DirectionsKnown: f.marked}
	s.info.Assumed = slices.Clip(l.assumed)
	if f.shape == noStamp {
		s.info.Assumed = append(s.info.Assumed, noTimes)
	}
	s.info.Assumed = append(s.info.Assumed, f.assumed...)
	began, assumed := clockOf(f.first, f.shape)
	s.info.Began = began
	if assumed != "" {
		s.info.Assumed = append(s.info.Assumed, assumed)
	}
	if f.shape == numberStamp && f.first.unit == "" && !f.first.point && f.first.digits != 10 {
		s.info.Assumed = append(s.info.Assumed, "whole numbers in front of the lines were taken as milliseconds")
	}
	var bodies []string
	for _, t := range l.lines {
		_, _, body, _ := f.payload(t)
		body, _ = f.unwrap(body)
		bodies = append(bodies, body)
	}
	s.prepare(bodies, f.sure, f.all)
	if f.hex {
		s.says.literal = true
	}
	return s
}

// prepare tells the speaker how the lines of a sample are written.
func (s *spoken) prepare(lines []string, sure, all bool) {
	s.says.pictures, s.says.all = sure || all, all
	s.says.literal = sure || all
	twice, once, last := 0, 0, ""
	for _, t := range lines {
		t = strings.TrimSpace(t)
		bare := undoTextEnd(t)
		s.says.seesSub = s.says.seesSub || strings.HasSuffix(bare, "\x1a")
		if isCommand(t) && len(t) > 2 {
			if t == last {
				twice++
				once--
				last = ""
				continue
			}
			once++
		}
		last = t
	}
	s.says.doubled = twice >= 2 && twice > 2*once
}

// Next returns the next record.
func (s *spoken) Next() (capture.Record, error) {
	for s.next >= len(s.says.queue) {
		s.says.queue, s.next = s.says.queue[:0], 0
		t, err := s.lines.next()
		if err != nil {
			return capture.Record{}, readError(err)
		}
		s.take(t)
	}
	s.next++
	return s.says.queue[s.next-1], nil // it is overwritten soon
}

// take hands one line of the file to the speaker.
func (s *spoken) take(t textLine) {
	if t.more || t.rest {
		if s.long == 0 {
			s.long = t.number
		}
		s.tick()
		s.says.say(s.from, t.raw, s.at, t.number)
		return
	}
	text := t.text
	if s.format != nil {
		text = s.stamped(t)
		if text == "" {
			return
		}
		t.raw = "" // it begins with the stamp
	}
	if s.note != "" {
		s.says.note(s.note, s.at, t.number)
		s.note = ""
		return
	}
	for {
		i := strings.IndexByte(text, '\r')
		s.tick()
		if i < 0 || s.says.literal {
			break
		}
		s.says.line(s.from, text[:i], "", s.at, t.number)
		text, t.raw = text[i+1:], ""
	}
	s.says.line(s.from, text, t.raw, s.at, t.number)
	if s.format == nil {
		s.from = capture.Unknown
	}
}

// tick counts on where there are no times.
func (s *spoken) tick() {
	if !s.info.TimesKnown {
		s.at++
	}
}

// stamped reads the stamp and the side of a line and returns what it says.
func (s *spoken) stamped(t textLine) string {
	stamp, from, text, ok := s.format.payload(t.text)
	if !ok {
		// A line without a stamp belongs to the one before.
		if strings.TrimSpace(text) == "" {
			return ""
		}
		return text
	}
	if s.format.shape != noStamp {
		s.at = s.time(stamp, t.number)
	}
	text, _ = s.format.unwrap(text)
	if s.format.marked && from == capture.Unknown && !s.says.body && !speaks(text) {
		s.note = text // a stamp and no side: the logger's own words
		return text
	}
	s.from = from
	return text
}

// time returns the instant of a stamp.
func (s *spoken) time(t stamp, line int) when.Instant {
	const day = int64(24 * 3600 * 1e9)
	first := s.format.first
	now := t.nanos - first.nanos
	if t.days >= 0 && first.days >= 0 {
		now += int64(t.days-first.days) * day
	} else {
		now += s.day
		if now < s.lastTime-day/2 && s.format.shape == clockStamp {
			s.day += day // midnight has passed
			now += day
		}
	}
	if now < s.lastTime {
		if s.backAt == 0 {
			s.backAt = line
		}
		return when.Instant(s.lastTime)
	}
	s.lastTime = now
	return when.Instant(now)
}

// Info says what is known so far.
func (s *spoken) Info() capture.Info {
	info := s.info
	info.Assumed = append(slices.Clip(info.Assumed), s.says.assumed()...)
	if s.backAt > 0 {
		info.Assumed = append(info.Assumed, fmt.Sprintf("times go back at line %d: such lines were put at the time of the one before", s.backAt))
	}
	return withLong(info, s.long)
}
