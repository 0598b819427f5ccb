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
	body := strings.TrimRight(text, "\r\n")
	old := s.Count
	*s = Sentence{Text: body, Fields: s.Fields}
	err := scanBytes(text, body, s)
	for i := s.Count; i < old; i++ {
		s.Fields[i] = ""
	}
	return err
}

func scanBytes(text, body string, s *Sentence) error {
	offset := 0
	if strings.HasPrefix(body, `\`) {
		end := strings.IndexByte(body[1:], '\\')
		if end < 0 {
			return &ScanError{text, len(body), `a \ that closes the tag block`}
		}
		s.Tag, offset = body[1:1+end], end+2
		body = body[offset:]
		s.Text = body
	}
	if body == "" || (body[0] != '$' && body[0] != '!') {
		return &ScanError{text, offset, `"$" or "!"`}
	}
	var first *ScanError // the first thing that did not fit
	wrong := func(at int, want string) {
		if first == nil {
			first = &ScanError{text, offset + at, want}
		}
	}
	n, start, end := -1, 1, len(body) // n: fields closed so far, -1 while in the address
	closeField := func(at int) {
		switch {
		case n < 0:
			s.Talker, s.Type = splitAddress(body[1:at])
		case n < MaxFields:
			s.Fields[n] = body[start:at]
		default:
			if !s.TooMany {
				wrong(start, fmt.Sprintf("at most %d fields", MaxFields))
			}
			s.TooMany = true
		}
		n++
		start = at + 1
	}
scan:
	for i := 1; i < len(body); i++ {
		c := body[i]
		switch {
		case c == '*':
			end = i
			break scan
		case c == ',':
			closeField(i)
		case c == '$' || c == '!':
			wrong(i, "no second sentence inside this one")
		case c < ' ' || c > '~':
			wrong(i, "a printable character")
		}
		s.Checksum ^= c
	}
	closeField(end)
	s.Count = min(n, MaxFields)
	if end < len(body) {
		sum := body[end+1:]
		high, low := -1, -1
		if len(sum) >= 2 {
			high, low = hexDigit(sum[0]), hexDigit(sum[1])
		}
		if high < 0 || low < 0 {
			wrong(end+1, "two hexadecimal digits of checksum")
		} else {
			s.HasSum, s.Said = true, byte(high<<4|low)
			if len(sum) > 2 {
				wrong(end+3, "the end of the line after the checksum")
			}
		}
	}
	if len(s.Type) == 0 {
		wrong(1, "an address as GPRMC")
	}
	if first != nil {
		return first
	}
	return nil
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

func hexDigit(c byte) int {
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
