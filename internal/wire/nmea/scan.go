package nmea

import (
	"fmt"
	"strings"
)

// A ScanError says where a text stopped being a sentence and what would have fitted.
type ScanError struct {
	Text string // as given to Scan
	At   int    // offset in Text of the first byte that does not fit
	Want string
}

func (e *ScanError) Error() string {
	return fmt.Sprintf("nmea: byte %d of %q: want %s", e.At, clip(e.Text), e.Want)
}

// clip shortens a text for an error: a line of noise may be megabytes long.
func clip(text string) string {
	const enough = 120 // characters; a sentence has 82 at most
	if len(text) <= enough {
		return text
	}
	return text[:enough] + "…"
}

// Scan cuts a sentence, without its line end, into fields and computes its checksum.
// It fills s as far as it can even when it returns an error.
//
// A wrong checksum is no error here: it is in the record, see [Sentence.SumOK].
// So is a missing one: old receivers send none. A tag block before the sentence
// (NMEA 0183 version 4.0, from memory) is kept in s.Tag and otherwise skipped.
func Scan(text string, s *Sentence) error {
	if scanQuick(text, s) {
		return nil
	}
	return scanAny(text, s)
}

// scanAny is Scan byte by byte, for whatever text.
func scanAny(text string, s *Sentence) error {
	s.dropFields()
	s.Tag, s.Talker, s.Type = "", "", ""
	s.Count, s.Checksum, s.Said, s.HasSum, s.TooMany, s.quick = 0, 0, 0, false, false, false
	s.Text = strings.TrimRight(text, "\r\n")
	c := cutter{s: s, whole: text}
	c.run()
	if c.first != nil {
		return c.first
	}
	return nil
}

// dropFields lets go of the texts of the sentence before.
func (s *Sentence) dropFields() {
	if !s.quick {
		clear(s.fields[:s.Count])
	}
}

// A cutter is one walk over a text.
type cutter struct {
	s      *Sentence
	whole  string
	offset int        // of s.Text in whole
	first  *ScanError // the first thing that did not fit
}

func (c *cutter) wrong(at int, want string) {
	if c.first == nil {
		c.first = &ScanError{c.whole, c.offset + at, want}
	}
}

func (c *cutter) run() {
	s := c.s
	if strings.HasPrefix(s.Text, `\`) {
		end := strings.IndexByte(s.Text[1:], '\\')
		if end < 0 {
			c.wrong(len(s.Text), `a \ that closes the tag block`)
			return
		}
		s.Tag, s.Text, c.offset = s.Text[1:1+end], s.Text[end+2:], end+2
	}
	if s.Text == "" || (s.Text[0] != '$' && s.Text[0] != '!') {
		c.wrong(0, `"$" or "!"`)
		return
	}
	end := c.cutBody()
	if end < len(s.Text) {
		c.readSum(end + 1)
	}
	if s.Type == "" {
		c.wrong(1, "an address as GPRMC")
	}
}

// cutBody cuts up to the "*" or the end, and returns where that is.
func (c *cutter) cutBody() (end int) {
	s := c.s
	start, fields := 1, -1 // -1: in the address
	closeField := func(at int) {
		switch {
		case fields < 0:
			s.Talker, s.Type = splitAddress(s.Text[1:at])
		case fields < MaxFields:
			s.fields[fields] = s.Text[start:at]
		case !s.TooMany:
			s.TooMany = true
			c.wrong(start, fmt.Sprintf("at most %d fields", MaxFields))
		}
		fields++
		start = at + 1
	}
	for end = 1; end < len(s.Text) && s.Text[end] != '*'; end++ {
		b := s.Text[end]
		switch {
		case b == ',':
			closeField(end)
		case b == '$' || b == '!':
			c.wrong(end, "no second sentence inside this one")
		case b < ' ' || b > '~':
			c.wrong(end, "a printable character")
		}
		s.Checksum ^= b
	}
	closeField(end)
	s.Count = min(fields, MaxFields)
	return end
}

func (c *cutter) readSum(at int) {
	s := c.s
	said := s.Text[at:]
	if len(said) < 2 || hexValue(said[0]) < 0 || hexValue(said[1]) < 0 {
		c.wrong(at, "two hexadecimal digits of checksum")
		return
	}
	s.HasSum, s.Said = true, byte(hexValue(said[0])<<4|hexValue(said[1]))
	if len(said) > 2 {
		c.wrong(at+2, "the end of the line after the checksum")
	}
}

// splitAddress parts "GPRMC" into talker and type; an address that begins with
// P is a maker's own.
func splitAddress(address string) (talker, kind string) {
	if strings.HasPrefix(address, "P") {
		return "P", address[1:]
	}
	if len(address) < 2 {
		return address, ""
	}
	return address[:2], address[2:]
}

// hexValue is the value of a hexadecimal digit, -1 for any other byte.
func hexValue(c byte) int {
	switch {
	case '0' <= c && c <= '9':
		return int(c - '0')
	case 'A' <= c && c <= 'F':
		return int(c-'A') + 10
	case 'a' <= c && c <= 'f':
		return int(c-'a') + 10
	}
	return -1
}
