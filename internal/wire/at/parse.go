package at

import (
	"fmt"
	"strings"
)

func (e *SyntaxError) Error() string {
	return fmt.Sprintf("at: byte %d of %q: want %s", e.At, e.Text, e.Want)
}

// maxNameBytes is the longest name of an extended command: a mark and 16
// characters, V.250 5.4.1.
const maxNameBytes = 17

// maxNumber bounds the number of a basic command and of an S register; larger
// ones are kept at this value. V.250 knows none above 255.
const maxNumber = 1_000_000

// ParseLine cuts a command line, with or without its line end, into commands.
//
// Spaces and control characters count only inside numbers and strings (V.250
// 5.2.1, 5.2.2). What is wrong is said in [Line.Err], the first fault only;
// Commands holds all that could still be read. A line without AT has none.
func ParseLine(text string) Line {
	s := scanner{line: Line{Text: text}, text: text, end: len(text)}
	for s.end > 0 && (text[s.end-1] == '\r' || text[s.end-1] == '\n') {
		s.end--
	}
	if !s.prefix() {
		return s.line
	}
	s.typedLineEnd()
	s.foreignBytes()
	for s.pos < s.end && !s.stopped {
		s.command()
	}
	return s.line
}

// A scanner walks over one command line.
type scanner struct {
	line    Line
	text    string
	pos     int
	end     int  // where the commands end
	stopped bool // nothing behind pos can be read
}

// fail keeps the first fault.
func (s *scanner) fail(at int, want string) {
	if s.line.Err == nil {
		s.line.Err = &SyntaxError{Text: s.text, At: at, Want: want}
	}
}

// skip passes spaces and control characters. CR in the middle ends the line.
func (s *scanner) skip() {
	for s.pos < s.end && s.text[s.pos] <= ' ' {
		if s.text[s.pos] == '\r' {
			s.fail(s.pos, "the end of the line: CR ends a command line, what follows is a line of its own (V.250 5.2.1)")
			s.stopped, s.pos = true, s.end
			return
		}
		s.pos++
	}
}

// peek returns the byte at pos after skipping, 0 at the end.
func (s *scanner) peek() byte {
	s.skip()
	if s.pos >= s.end {
		return 0
	}
	return s.text[s.pos]
}

// prefix reads AT, at or A/ and says whether commands may follow. Bytes that
// no person types, as a wrong speed or a start-up leaves them, may stand before it.
func (s *scanner) prefix() bool {
	for s.pos < s.end && (s.text[s.pos] <= ' ' || s.text[s.pos] >= 0x7f) {
		s.pos++
	}
	const want = "AT, at or A/ at the start (V.250 5.2.1)"
	start, rest := s.pos, s.text[s.pos:s.end]
	if len(rest) < 2 || upper(rest[0]) != 'A' {
		s.fail(start, want)
		return false
	}
	for i := range start {
		if s.text[i] >= 0x7f {
			s.fail(i, want)
			break
		}
	}
	switch {
	case rest[1] == '/':
		s.line.Repeat = true
		if strings.TrimSpace(rest[2:]) != "" {
			s.fail(start+2, "nothing after A/ (V.250 5.2.4)")
		}
		return false
	case upper(rest[1]) != 'T':
		s.fail(start, want)
		return false
	case (rest[0] == 'a') != (rest[1] == 't'):
		s.fail(start+1, "AT or at, both letters in the same case (V.250 5.2.1)")
	}
	s.pos += 2
	if r := rest[2:]; len(r) >= 2 && upper(r[0]) == 'A' && upper(r[1]) == 'T' {
		s.fail(s.pos, "a command: the prefix AT stands twice")
	}
	return true
}

// typedLineEnds are line ends and keys spelled out, as people leave them in text.
var typedLineEnds = [...]string{`\r`, `\n`, `/r`, `/n`, `<CR>`, `<LF>`, `<cr>`, `<lf>`, `[CR]`, `[LF]`, `\x0d`, `\x0D`, `\x0a`, `\x0A`, `^M`, `{CR}`}

// typedLineEnd takes a line end that was typed as text off the commands.
func (s *scanner) typedLineEnd() {
	end := s.end
	for again := true; again; {
		again = false
		for _, t := range typedLineEnds {
			if body := s.text[s.pos:end]; strings.HasSuffix(body, t) {
				end -= len(t)
				for end > s.pos && s.text[end-1] == '\\' {
					end--
				}
				again = true
			}
		}
	}
	// Inside a string such letters are text: "notes\r" is odd, but it is said so.
	if end == s.end || strings.Count(s.text[s.pos:end], `"`)%2 == 1 {
		return
	}
	s.fail(end, fmt.Sprintf("the line end as a byte (CR, 0x0D): %q is typed as letters", s.text[end:s.end]))
	s.end = end
}

// foreignBytes reports the marks that word processors put in place of ASCII.
func (s *scanner) foreignBytes() {
	inside := false
	for i := s.pos; i < s.end; i++ {
		c := s.text[i]
		if c == '"' {
			inside = !inside
		}
		if c < 0x80 {
			continue
		}
		rest := s.text[i:s.end]
		for _, q := range curlyQuotes {
			if strings.HasPrefix(rest, q) && !inside {
				s.fail(i, `a straight quote (0x22): `+q+` is a typographic quote, which no module reads`)
				return
			}
		}
		if !inside && strings.HasPrefix(rest, "\u00a0") {
			s.fail(i, "a plain space (0x20) or none: this is a no-break space")
			return
		}
		if !inside {
			s.fail(i, "ASCII: commands are written in the 7-bit alphabet (V.250 5.1)")
			return
		}
	}
}

var curlyQuotes = [...]string{"“", "”", "„", "‟", "‘", "’", "‚", "«", "»", "″"}

// command reads one command, or the semicolon before it.
func (s *scanner) command() {
	c := s.peek()
	at := s.pos
	switch {
	case s.pos >= s.end:
	case c == ';': // between commands, and at the end of a line by habit
		s.pos++
	case isExtendedMark(c) && s.nextIsLetter():
		s.extended(at)
	case c == '\\' && s.typedLineEndHere():
		s.fail(at, "the line end as a byte (CR, 0x0D): it is typed as letters here")
		s.stopped = true
	case c == '&' || c == '\\' || isLetter(c):
		s.basic(at)
	case len(s.line.Commands) > 0 && s.line.Commands[len(s.line.Commands)-1].Name[0] == '+':
		s.fail(at, "; or the end of the line (V.250 5.4.5)")
		s.skipTo(';')
	default:
		s.fail(at, "a command: a letter, & and a letter, or + and a name (V.250 5.3, 5.4)")
		s.skipTo(';')
	}
}

func (s *scanner) typedLineEndHere() bool {
	r := s.text[s.pos:s.end]
	return len(r) >= 2 && (r[1] == 'r' || r[1] == 'n')
}

func (s *scanner) skipTo(b byte) {
	i := strings.IndexByte(s.text[s.pos:s.end], b)
	if i < 0 {
		s.pos, s.stopped = s.end, true
		return
	}
	s.pos += i
}

func (s *scanner) nextIsLetter() bool {
	for i := s.pos + 1; i < s.end; i++ {
		if s.text[i] > ' ' {
			return isLetter(s.text[i])
		}
	}
	return false
}

// add completes a command that began at and ends at pos.
func (s *scanner) add(c Command, at int) {
	c.At, c.Text = at, strings.TrimRight(s.text[at:s.pos], " \t")
	s.line.Commands = append(s.line.Commands, c)
}

// basic reads a letter, or & and a letter, with its number: V.250 5.3.1, and
// the S registers, 5.3.2, and the dial string, 6.3.1.
func (s *scanner) basic(at int) {
	first := s.text[s.pos]
	s.pos++
	c := Command{Form: Execute, Number: -1}
	if isLetter(first) {
		c.Name = upperString(s.text[at:s.pos])
	} else {
		letter := s.peek()
		if !isLetter(letter) {
			s.fail(s.pos, "a letter after "+string(first)+" (V.250 5.3.1)")
			s.skipTo(';')
			return
		}
		s.pos++
		c.Name = string([]byte{first, upper(letter)})
	}
	if c.Name == "D" {
		s.dial(&c)
		s.add(c, at)
		return
	}
	c.Number = s.number()
	s.suffix(&c)
	if c.Form != Execute && c.Name != "S" {
		s.fail(at, "a number or the next command: only S registers and + commands take = and ? (V.250 5.3)")
	}
	if c.Name == "S" && c.Number < 0 {
		s.fail(at+1, "the number of a register, as S3 (V.250 5.3.2)")
	}
	s.add(c, at)
}

// number reads decimal digits, -1 when there are none.
func (s *scanner) number() int {
	if c := s.peek(); c < '0' || c > '9' {
		return -1
	}
	n := 0
	for ; s.pos < s.end && s.text[s.pos] >= '0' && s.text[s.pos] <= '9'; s.pos++ {
		n = min(n*10+int(s.text[s.pos]-'0'), maxNumber)
	}
	return n
}

// suffix reads "?", "=?" or "=value" of a basic command; the value of a
// register is a number.
func (s *scanner) suffix(c *Command) {
	switch s.peek() {
	case '?':
		s.pos++
		c.Form = Read
	case '=':
		s.pos++
		if s.peek() == '?' {
			s.pos++
			c.Form = Test
			return
		}
		c.Form = Set
		from := s.pos
		if s.number() < 0 {
			s.fail(s.pos, "a decimal number (V.250 5.3.2)")
		}
		c.Value = s.text[from:s.pos]
		c.Params = splitAt(c.Value, from)
	}
}

// dial reads a dial string: up to a semicolon outside quotes, or to the end.
func (s *scanner) dial(c *Command) {
	from, inside := s.pos, false
	for ; s.pos < s.end; s.pos++ {
		b := s.text[s.pos]
		if b == '"' {
			inside = !inside
		}
		if b == ';' && !inside {
			c.Value = strings.TrimSpace(s.text[from:s.pos])
			s.pos++
			return
		}
	}
	c.Value = strings.TrimSpace(s.text[from:s.pos])
	if inside {
		s.fail(s.end, `a closing quote`)
	}
}

// extended reads "+NAME" and what follows it up to ";": V.250 5.4. Makers use
// other marks than + in the same way.
func (s *scanner) extended(at int) {
	c := Command{Name: s.name(), Form: Execute, Number: -1}
	if len(c.Name) > maxNameBytes {
		s.fail(at+maxNameBytes, "at most 16 characters in a name (V.250 5.4.1)")
	}
	switch s.peek() {
	case '?':
		s.pos++
		c.Form = Read
	case '=':
		s.pos++
		if s.peek() == '?' {
			s.pos++
			c.Form = Test
			break
		}
		c.Form = Set
		s.value(&c)
	}
	s.add(c, at)
	if next := s.peek(); s.pos < s.end && !s.stopped && next != ';' {
		if next == '\\' && s.typedLineEndHere() {
			return // command says it
		}
		want := "; or the end of the line (V.250 5.4.5)"
		if c.Form == Execute {
			want = "=, ?, ; or the end of the line (V.250 5.4)"
		}
		s.fail(s.pos, want)
		s.skipTo(';')
	}
}

// name reads the mark and the name, upper case, without the spaces in it.
func (s *scanner) name() string {
	from := s.pos
	s.pos++
	last, gaps := s.pos, false
	for i := s.pos; i < s.end; i++ {
		b := s.text[i]
		if b <= ' ' && b != '\r' {
			continue
		}
		if !isNameByte(b) {
			break
		}
		gaps = gaps || i > last
		last = i + 1
	}
	s.pos = last
	raw := s.text[from:last]
	if gaps {
		raw = strings.Map(func(r rune) rune {
			if r <= ' ' {
				return -1
			}
			return r
		}, raw)
	}
	return upperString(raw)
}

// value reads up to a semicolon outside quotes.
func (s *scanner) value(c *Command) {
	from, opened := s.pos, -1
scan:
	for ; s.pos < s.end; s.pos++ {
		switch b := s.text[s.pos]; {
		case b == '"' && opened < 0:
			opened = s.pos
		case b == '"':
			opened = -1
			s.afterQuote()
		case opened >= 0:
		case b == ';', b == '\r':
			break scan
		case b == '+' && s.pos > from && s.pos+1 < s.end && isLetter(s.text[s.pos+1]):
			s.fail(s.pos, "; before the next command (V.250 5.4.5), or quotes around a text")
		case b == '\'':
			s.fail(s.pos, `a double quote (0x22): strings are not written with '`)
		case b == '\\' && s.pos+1 < s.end && s.text[s.pos+1] == '"':
			s.fail(s.pos, `a quote without a backslash: \" belongs into source code, not on the line (V.250 5.4.2.2 writes a quote in a string as \22)`)
		case b == '\\' && s.typedLineEndHere():
			break scan
		}
	}
	if opened >= 0 {
		s.fail(s.end, fmt.Sprintf("a closing quote for the one at byte %d", opened))
	}
	c.Value = strings.TrimSpace(s.text[from:s.pos])
	for from < s.pos && s.text[from] <= ' ' {
		from++
	}
	c.Params = splitAt(c.Value, from)
}

// afterQuote looks at what follows a closing quote at pos.
func (s *scanner) afterQuote() {
	for i := s.pos + 1; i < s.end; i++ {
		switch s.text[i] {
		case ' ', '\t':
			continue
		case ',', ';', ')', '\r':
		case '\\':
			if s.text[i:s.end] != `\"` && i+1 < s.end && s.text[i+1] == '"' {
				return // said when it is reached
			}
		default:
			s.fail(i, `a comma, ; or the end of the line after a string (V.250 5.4.2; a quote inside a string is \22)`)
		}
		return
	}
}

func isLetter(b byte) bool { return b|0x20 >= 'a' && b|0x20 <= 'z' }

func upper(b byte) byte {
	if b >= 'a' && b <= 'z' {
		return b - 0x20
	}
	return b
}

// upperString returns s in upper case, s itself when it already is.
func upperString(s string) string {
	for i := range len(s) {
		if s[i] >= 'a' && s[i] <= 'z' {
			return strings.ToUpper(s)
		}
	}
	return s
}

// isExtendedMark: + is the standard's mark, the others are left to makers.
func isExtendedMark(b byte) bool {
	switch b {
	case '+', '*', '^', '#', '$', '%', '!', '-', '@', '_':
		return true
	}
	return false
}

// isNameByte: V.250 5.4.1.
func isNameByte(b byte) bool {
	switch b {
	case '!', '%', '-', '.', '/', ':', '_':
		return true
	}
	return isLetter(b) || b >= '0' && b <= '9'
}
