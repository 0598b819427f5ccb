package dialogue

import (
	"strings"
	"unicode/utf8"

	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
)

// A stream is the unfinished line of one side.
type stream struct {
	from  capture.Direction
	text  []byte // bytes of the line so far; empty while a line lies in one record
	marks []mark // where pieces of text came from, in order
	last  when.Instant
	cr    bool // the last line end was CR: an LF right behind belongs to it
	blank int  // how many empty lines stood before this one
	piece bool // the line was cut at lineLimit: what comes is its rest
}

// A mark says where a piece of text came from.
type mark struct {
	offset, record, source int
	at                     when.Instant
	gap                    bool // a silence of lineGap or more was before it
}

// markLimit bounds the marks of one line; beyond it pieces are taken as one.
const markLimit = 1024

// add appends a piece of r to the unfinished line.
func (s *stream) add(r *capture.Record, piece string) {
	gap := len(s.text) > 0 && r.At >= s.last.Add(lineGap)
	n := len(s.marks)
	same := n > 0 && s.marks[n-1].record == r.Number && s.marks[n-1].source == r.SourceLine && s.marks[n-1].at == r.At && !gap
	if n == 0 || (!same && n < markLimit) {
		s.marks = append(s.marks, mark{len(s.text), r.Number, r.SourceLine, r.At, gap})
	}
	s.text = append(s.text, piece...)
	s.last = r.At
}

// line ends the unfinished line with a last piece of r and starts anew. r may
// be nil when nothing ends the line.
func (s *stream) line(r *capture.Record, piece string) Line {
	if len(s.text) == 0 {
		s.reset()
		return Line{Record: r.Number, SourceLine: r.SourceLine, Began: r.At, At: r.At, From: s.from, Text: piece}
	}
	m := s.marks[0]
	at := s.last
	if r != nil {
		at = r.At
	}
	l := Line{Record: m.record, SourceLine: m.source, Began: m.at, At: at, From: s.from}
	s.text = append(s.text, piece...)
	l.Text = string(s.text)
	s.reset()
	return l
}

func (s *stream) reset() {
	if cap(s.text) > lineLimit/8 {
		s.text = nil // one long line must not hold memory for ever
	}
	s.text, s.marks = s.text[:0], s.marks[:0]
}

// cut takes the first n bytes of the unfinished line as a line; the rest stays.
func (s *stream) cut(n int) Line {
	m := s.marks[0]
	l := Line{Record: m.record, SourceLine: m.source, Began: m.at, From: s.from, Text: string(s.text[:n])}
	keep := s.marks[:0:0]
	for i, m := range s.marks {
		if m.offset < n {
			l.At = m.at
		}
		end := len(s.text)
		if i+1 < len(s.marks) {
			end = s.marks[i+1].offset
		}
		if end > n {
			m.offset, m.gap = max(0, m.offset-n), false
			keep = append(keep, m)
		}
	}
	s.text = append(s.text[:0], s.text[n:]...)
	s.marks = keep
	return l
}

// lineEnd returns the offset of the first CR or LF, or -1.
func lineEnd(s string) int {
	lf := strings.IndexByte(s, '\n')
	if lf >= 0 {
		s = s[:lf]
	}
	if cr := strings.IndexByte(s, '\r'); cr >= 0 {
		return cr
	}
	return lf
}

// foreign says whether b is no part of a clean text line.
func foreign(b byte) bool { return b < ' ' && b != '\t' || b >= 0x7f }

// noisy says that a piece of text is noise and no line: more than three bytes
// in ten that no text has. A share and not a single byte, since one flipped
// bit does not make a line unreadable (our estimate).
func noisy[T string | []byte](t T) bool {
	n, high := 0, false
	for i := range len(t) {
		if foreign(t[i]) {
			n++
			high = high || t[i] >= 0x80
		}
	}
	if n*10 <= len(t)*3 {
		return false
	}
	if high && utf8.ValidString(string(t)) {
		n = 0 // written in another script
		for i := range len(t) {
			if t[i] < 0x80 && foreign(t[i]) {
				n++
			}
		}
	}
	return n*10 > len(t)*3
}

// leadingNoise returns how many foreign bytes stand before an otherwise clean line.
func leadingNoise(t string) int {
	n := 0
	for n < len(t) && foreign(t[n]) {
		n++
	}
	if n == 0 || len(t)-n < 2 || utf8.ValidString(t[:n]) && t[0] >= 0x80 {
		return 0
	}
	for i := n; i < len(t); i++ {
		if foreign(t[i]) {
			return 0
		}
	}
	return n
}

// trailingNULs returns how many NUL bytes stand behind an otherwise clean line: a
// line that idles low, or a program that logs its whole buffer, adds them.
func trailingNULs(t string) int {
	clean := strings.TrimRight(t, "\x00")
	if clean == t || noisy(clean[leadingNoise(clean):]) || len(clean) < 2 {
		return 0
	}
	return len(t) - len(clean)
}

// isSentence says whether a line is a GNSS sentence, whole or broken.
func isSentence(t string) bool {
	if len(t) < 3 || t[0] != '$' && t[0] != '!' {
		return false
	}
	return upper(t[1]) && (upper(t[2]) || t[2] >= '0' && t[2] <= '9')
}

// gluedSentence returns the offset of a sentence that begins inside t with no
// line end before it, or -1. One that an answer carries as a value stays there.
func gluedSentence(t string) int {
	sentence := isSentence(t)
	for from := 1; from < len(t); {
		i := strings.IndexByte(t[from:], '$')
		if i < 0 {
			return -1
		}
		i += from
		from = i + 1
		if len(t)-i < 7 || !upper(t[i+1]) || !upper(t[i+2]) || !upper(t[i+3]) {
			continue
		}
		if c := strings.IndexByte(t[i:], ','); c < 4 || c > 9 {
			continue
		}
		if sentence || strings.IndexByte(" \",:=;>", t[i-1]) < 0 {
			return i
		}
	}
	return -1
}

// brokenTail says whether t is the rest of a sentence whose start was lost:
// fields, a star and two hexadecimal digits.
func brokenTail(t string) bool {
	n := len(t)
	return n >= 5 && t[n-3] == '*' && hexDigit(t[n-2]) && hexDigit(t[n-1]) && strings.IndexByte(t, ',') >= 0 && t[0] != '+'
}

func upper(b byte) bool { return b >= 'A' && b <= 'Z' }
func hexDigit(b byte) bool {
	return b >= '0' && b <= '9' || b >= 'A' && b <= 'F' || b >= 'a' && b <= 'f'
}

// isHex says whether t is hexadecimal pairs and nothing else.
func isHex(t string) bool {
	if len(t) < 2 || len(t)%2 != 0 {
		return false
	}
	for i := range len(t) {
		if !hexDigit(t[i]) {
			return false
		}
	}
	return true
}

// sentenceRecord reads a record that is exactly one sentence.
func sentenceRecord(r *capture.Record) (Line, bool) {
	b := r.Bytes
	n := len(b) - 2
	if n < 3 || n > 512 || b[0] != '$' && b[0] != '!' || b[n+1] != '\n' || b[n] != '\r' {
		return Line{}, false
	}
	t := b[:n]
	if !isSentence(t) || lineEnd(t) >= 0 || strings.LastIndexByte(t, '$') > 0 {
		return Line{}, false
	}
	return Line{Record: r.Number, SourceLine: r.SourceLine, Began: r.At, At: r.At, From: r.From, Text: t}, true
}
