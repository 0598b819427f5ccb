package positions

import (
	"fmt"
	"io"
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/earth/trackfile"
	"firstfix/internal/maybe"
	"firstfix/internal/when"
)

// lineReader reads a file line by line: sentences with whatever stands before or between
// them, and, of a text, positions in any spelling.
type lineReader struct {
	r     io.Reader
	name  string
	feed  *feed
	texts bool // look for positions in lines without sentences
	zone  *time.Location

	buf    []byte
	have   int    // bytes in buf
	chunk  string // whole lines, not yet read
	ended  error
	line   int
	noise  int // lines without a sentence
	binary int // of them with bytes that are no text
	long   int // lines without an end
	notes  []string
}

const (
	// chunkSize is how much is read at once. A line longer than it is cut: binary data
	// between sentences has no lines.
	chunkSize = 64 << 10

	// maxPlaces bounds the positions of one line of text.
	maxPlaces = 8
)

func newSentences(r io.Reader, name string, texts bool, o Options) *lineReader {
	return &lineReader{r: r, name: name, feed: newFeed(name), texts: texts, zone: o.Zone, buf: make([]byte, chunkSize)}
}

func (l *lineReader) About() track.About {
	a := track.About{File: l.name, Kind: "sentences", Assumed: l.notes, Passed: l.feed.passed()}
	if l.texts {
		a.Kind = "text"
	} else if l.noise > 0 {
		what := count(l.noise, "line", "lines") + " without a sentence"
		if l.binary > 0 {
			what += fmt.Sprintf(", %d of them binary", l.binary)
		}
		a.Passed = append(a.Passed, what)
	}
	if l.long > 0 {
		a.Passed = append(a.Passed, count(l.long, "line", "lines")+fmt.Sprintf(" longer than %d bytes were cut", chunkSize))
	}
	return a
}

func (l *lineReader) Next(s *track.Sighting) error {
	for {
		if l.feed.take(s) {
			return nil
		}
		switch {
		case l.chunk != "":
			line := l.chunk
			if end := strings.IndexByte(l.chunk, '\n'); end >= 0 {
				line, l.chunk = l.chunk[:end], l.chunk[end+1:]
			} else {
				l.chunk = ""
			}
			l.line++
			l.take(line)
		case l.ended == nil:
			l.fill()
		case l.feed != nil && !l.done():
			l.feed.end()
		default:
			l.feed.into = nil
			return l.ended
		}
		if l.feed.into == nil {
			return nil
		}
	}
}

// done says that the last epoch was let go.
func (l *lineReader) done() bool {
	was := l.buf == nil
	l.buf = nil
	return was
}

// fill reads on to the end of a line.
func (l *lineReader) fill() {
	n, err := l.r.Read(l.buf[l.have:])
	seen := l.have
	l.have += n
	if err != nil {
		l.chunk, l.have = string(l.buf[:l.have]), 0
		if l.ended = err; err != io.EOF {
			l.ended = fmt.Errorf("positions: read %s: %w", l.name, err)
		}
		return
	}
	end := l.have
	for end > seen && l.buf[end-1] != '\n' {
		end--
	}
	switch {
	case end > seen:
		l.chunk = string(l.buf[:end])
		l.have = copy(l.buf, l.buf[end:l.have])
	case l.have == len(l.buf):
		l.long++
		l.line-- // the rest of it is no new line
		l.chunk, l.have = string(l.buf), 0
	}
}

// take reads one line.
func (l *lineReader) take(line string) {
	if n := len(line); n > 0 && line[n-1] == '\r' {
		line = line[:n-1]
	}
	if line == "" {
		return
	}
	if line[0] == '$' && strings.IndexByte(line[1:], '$') < 0 && strings.IndexByte(line, '\r') < 0 {
		l.feed.sentence(line, l.line, l.line, when.Instant(l.line))
		return
	}
	if strings.IndexByte(line, '\r') >= 0 {
		for part := range strings.SplitSeq(line, "\r") {
			l.mixed(part)
		}
		return
	}
	l.mixed(line)
}

// mixed reads a line in which a sentence does not stand alone.
func (l *lineReader) mixed(line string) {
	at := strings.IndexByte(line, '$')
	if at < 0 || !l.pieces(line[at:]) {
		if l.texts {
			l.text(line)
		} else if line != "" {
			l.noise++
			if strings.IndexFunc(line, func(r rune) bool { return r < ' ' && r != '\t' || r == '\ufffd' }) >= 0 {
				l.binary++
			}
		}
	}
}

// pieces reads what begins with "$" up to the next one; false: none is a sentence.
func (l *lineReader) pieces(text string) (any bool) {
	for text != "" {
		next := strings.IndexByte(text[1:], '$') + 1
		piece := text
		if next > 0 {
			piece = text[:next]
		}
		text = text[len(piece):]
		if len(piece) < 7 || !isLetters(piece[1:6]) {
			continue
		}
		if star := strings.IndexByte(piece, '*'); star >= 0 && star+3 < len(piece) {
			piece = piece[:star+3] // what stands behind the checksum is another's
		}
		l.feed.sentence(piece, l.line, l.line, when.Instant(l.line))
		any = true
	}
	return any
}

func isLetters(text string) bool {
	for i := range len(text) {
		if c := text[i]; c < 'A' || c > 'Z' {
			return false
		}
	}
	return true
}

// text finds the positions in a line of text, and the time at its beginning.
func (l *lineReader) text(line string) {
	found := geo.FindAll(line, maxPlaces)
	if len(found) == 0 {
		return
	}
	at, timed := l.stamp(line[:found[0].At])
	for i := range found {
		s := toldSighting(&found[i], line, l.feed.origin(l.line, l.line, "text"))
		if timed && i == 0 {
			s.UTC, s.TimeStep = maybe.Known(at.Time), at.Step
			l.note("the time at the beginning of a line was taken as that of its position")
			if at.Zoneless && l.zone == nil {
				l.note("times without a zone were taken as UTC")
			}
		}
		l.feed.ready = append(l.feed.ready, s)
	}
}

func (l *lineReader) note(text string) {
	for _, had := range l.notes {
		if had == text {
			return
		}
	}
	l.notes = append(l.notes, text)
}

// stamp reads the time with which a line begins: its first words, without brackets.
func (l *lineReader) stamp(line string) (at trackfile.Stamp, ok bool) {
	const words = 4 // "4/3/2026, 10:15:30 PM +02:00"
	line = strings.TrimLeft(line, " \t[(<")
	for n, end := 0, 0; n < words && end < len(line); n++ {
		k := strings.IndexAny(line[end:], " \t])>")
		if k < 0 {
			k = len(line) - end
		}
		end += k
		if got, fits := trackfile.ReadStamp(strings.TrimRight(line[:end], ",;:|- "), l.zone); fits {
			at, ok = got, true // a longer one may tell the zone
		}
		end++
	}
	return at, ok
}

// toldSighting is a sighting out of somebody's words.
func toldSighting(r *geo.Reading, text string, from track.Origin) track.Sighting {
	s := track.Sighting{From: from, Told: true, StepDeg: r.StepDeg}
	s.From.Text = strings.Clone(text[r.At : r.At+r.Len])
	s.Valid = true
	if !r.Point.Valid() {
		s.Odd = "latitude goes to 90 and longitude to 180 degrees: perhaps the two are swapped, or degrees and minutes were taken for degrees"
		return s
	}
	s.Point = maybe.Known(r.Point)
	if r.HasAltitude {
		s.AltitudeM = maybe.Known(r.AltitudeM)
	}
	return s
}
