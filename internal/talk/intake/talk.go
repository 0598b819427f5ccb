package intake

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
)

// Talk is a fixture text in parts, see docs/formats/talk-text.md.
type Talk struct {
	Intro        string // the first paragraph: why the file exists
	Info         capture.Info
	Records      []capture.Record
	Expectations []Expectation
}

// Expectation is a "^ rule: pattern" line: what should be found at a record.
type Expectation struct {
	Record  int    // number of the record it stands under
	Rule    string // name of the rule
	Pattern string // a regular expression for the finding's message
	Line    int    // line of the file
}

// A TalkError is a line of a .talk text that does not fit.
type TalkError struct {
	Line int
	Text string
	Want string
}

func (e *TalkError) Error() string {
	return fmt.Sprintf("intake: talk line %d: %q: want %s", e.Line, clip(e.Text), e.Want)
}

// clip keeps what is quoted in an error readable.
func clip(s string) string {
	const most = 120
	if len(s) <= most {
		return s
	}
	return s[:most] + "…"
}

// ParseTalk reads a whole .talk text, strictly: the first line that does not
// fit is a *[TalkError]. What was read before it is returned too.
func ParseTalk(r io.Reader) (Talk, error) {
	var t Talk
	p := newTalkReader(r)
	for {
		item, err := p.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Intro, t.Info = p.intro.String(), p.info
			return t, err
		}
		if item.expect {
			t.Expectations = append(t.Expectations, item.expectation)
		} else {
			t.Records = append(t.Records, item.record)
		}
	}
	t.Intro, t.Info = p.intro.String(), p.info
	return t, nil
}

// talkLineLimit is the longest line of a .talk text: a capture of a gigabyte is
// no fixture, and a line this long is no dialogue.
const talkLineLimit = 1 << 20

// talkItem is a record or an expectation.
type talkItem struct {
	record      capture.Record
	expectation Expectation
	expect      bool
}

// talkReader reads a .talk text item by item.
type talkReader struct {
	lines   *bufio.Scanner
	line    int
	records int
	last    when.Instant
	started bool // the first paragraph or the first record is behind us
	over    bool // the first paragraph is over
	intro   strings.Builder
	info    capture.Info
}

func newTalkReader(r io.Reader) *talkReader {
	s := bufio.NewScanner(r)
	s.Buffer(make([]byte, 0, 4096), talkLineLimit)
	return &talkReader{lines: s, info: capture.Info{Kind: "talk", TimesKnown: true, DirectionsKnown: true}}
}

// next returns the next record or expectation; io.EOF at the end. After a
// *TalkError it may be called again and goes on with the next line.
func (p *talkReader) next() (talkItem, error) {
	for p.lines.Scan() {
		p.line++
		text := p.lines.Text() // without LF and one CR before it
		if p.line == 1 {
			text = strings.TrimPrefix(text, "\ufeff")
		}
		item, ok, err := p.take(text)
		if ok || err != nil {
			return item, err
		}
	}
	if err := p.lines.Err(); err != nil {
		p.line++
		if errors.Is(err, bufio.ErrTooLong) {
			return talkItem{}, &TalkError{Line: p.line, Want: fmt.Sprintf("a line of at most %d bytes", talkLineLimit)}
		}
		return talkItem{}, fmt.Errorf("intake: talk line %d: %w", p.line, err)
	}
	return talkItem{}, io.EOF
}

// take reads one line. False: it holds no item.
func (p *talkReader) take(text string) (talkItem, bool, error) {
	if strings.TrimSpace(text) == "" {
		p.over = p.over || p.started
		return talkItem{}, false, nil
	}
	if !p.over {
		if !isTalkLine(text) {
			p.started = true
			if p.intro.Len() > 0 {
				p.intro.WriteByte('\n')
			}
			p.intro.WriteString(strings.TrimRight(text, " \t"))
			return talkItem{}, false, nil
		}
		p.started, p.over = true, true
	}
	switch text[0] {
	case '@':
		return talkItem{}, false, p.directive(text)
	case '^':
		e, err := p.expectation(text)
		return talkItem{expectation: e, expect: true}, err == nil, err
	}
	r, err := p.record(text)
	return talkItem{record: r}, err == nil, err
}

// isTalkLine says whether a line can only be a directive, a record or an expectation.
func isTalkLine(text string) bool {
	if strings.HasPrefix(text, "@ ") || strings.HasPrefix(text, "^ ") {
		return true
	}
	stamp, rest, ok := strings.Cut(text, " ")
	if !ok || rest == "" || !strings.Contains("><?=", rest[:1]) {
		return false
	}
	_, err := when.Parse(stamp)
	return err == nil
}

// directive reads "@ times unknown" and its like.
func (p *talkReader) directive(text string) error {
	if p.records > 0 {
		return &TalkError{p.line, text, "directives before the first record"}
	}
	key, value, _ := strings.Cut(strings.TrimSpace(text[1:]), " ")
	value = strings.TrimSpace(value)
	switch {
	case key == "times" && value == "unknown":
		p.info.TimesKnown = false
		p.info.Assumed = append(p.info.Assumed, "the file says that its times are not known: only the order is judged")
	case key == "directions" && value == "unknown":
		p.info.DirectionsKnown = false
		p.info.Assumed = append(p.info.Assumed, "the file says that its directions were inferred")
	case key == "began" && value != "":
		p.info.Began = value
	default:
		return &TalkError{p.line, text, `"@ times unknown", "@ directions unknown" or "@ began 2026-03-04T10:15:00Z"`}
	}
	return nil
}

// expectation reads "^ rule: pattern".
func (p *talkReader) expectation(text string) (Expectation, error) {
	rule, pattern, ok := strings.Cut(strings.TrimSpace(text[1:]), ":")
	rule, pattern = strings.TrimSpace(rule), strings.TrimSpace(pattern)
	if !ok || rule == "" || pattern == "" {
		return Expectation{}, &TalkError{p.line, text, `"^ rule: regular expression"`}
	}
	if p.records == 0 {
		return Expectation{}, &TalkError{p.line, text, "an expectation under the record it speaks of"}
	}
	return Expectation{Record: p.records, Rule: rule, Pattern: pattern, Line: p.line}, nil
}

// record reads "0.100 > AT\r".
func (p *talkReader) record(text string) (capture.Record, error) {
	stamp, rest, ok := strings.Cut(text, " ")
	at, err := when.Parse(stamp)
	if !ok || err != nil || rest == "" {
		return capture.Record{}, &TalkError{p.line, text, `seconds, a blank and one of > < ? =, as in "0.100 > AT\r"`}
	}
	if p.records > 0 && at < p.last {
		return capture.Record{}, &TalkError{p.line, text, fmt.Sprintf("a time of %s or later: records are in order", p.last)}
	}
	r := capture.Record{Number: p.records + 1, SourceLine: p.line, At: at}
	mark, payload := rest[0], rest[1:]
	if payload != "" {
		if payload[0] != ' ' {
			return capture.Record{}, &TalkError{p.line, text, "a blank between the mark and the bytes"}
		}
		payload = payload[1:]
	}
	switch mark {
	case '=':
		r.Event = strings.TrimSpace(payload)
		if r.Event == "" {
			return capture.Record{}, &TalkError{p.line, text, `an event after "=", as in "= line-lost"`}
		}
	case '>', '<', '?':
		r.From = map[byte]capture.Direction{'>': capture.Controller, '<': capture.Module, '?': capture.Unknown}[mark]
		r.Bytes, err = unescapeTalk(payload)
		if err != nil {
			return capture.Record{}, &TalkError{p.line, text, err.Error()}
		}
		if r.Bytes == "" {
			return capture.Record{}, &TalkError{p.line, text, "at least one byte"}
		}
	default:
		return capture.Record{}, &TalkError{p.line, text, "one of > (controller), < (module), ? (not known), = (event)"}
	}
	p.records++
	p.last = at
	return r, nil
}

// unescapeTalk resolves \r \n \t \0 \\ and \xHH.
func unescapeTalk(s string) (string, error) {
	i := strings.IndexByte(s, '\\')
	if i < 0 {
		return s, nil
	}
	out := make([]byte, 0, len(s))
	out = append(out, s[:i]...)
	for i < len(s) {
		if s[i] != '\\' {
			out = append(out, s[i])
			i++
			continue
		}
		if i+1 >= len(s) {
			return "", errors.New(`a second \ behind the last \`)
		}
		switch s[i+1] {
		case 'r':
			out = append(out, '\r')
		case 'n':
			out = append(out, '\n')
		case 't':
			out = append(out, '\t')
		case '0':
			out = append(out, 0)
		case '\\':
			out = append(out, '\\')
		case 'x':
			b, ok := hexByte(s[i+2:])
			if !ok {
				return "", errors.New(`two hexadecimal digits behind \x`)
			}
			out = append(out, b)
			i += 2
		default:
			return "", fmt.Errorf(`one of r n t 0 \ xHH behind \, not %q`, s[i+1])
		}
		i += 2
	}
	return string(out), nil
}

// hexByte reads the two hexadecimal digits at the start of s.
func hexByte(s string) (byte, bool) {
	if len(s) < 2 {
		return 0, false
	}
	hi, ok1 := hexDigit(s[0])
	lo, ok2 := hexDigit(s[1])
	return hi<<4 | lo, ok1 && ok2
}

func hexDigit(b byte) (byte, bool) {
	switch {
	case b >= '0' && b <= '9':
		return b - '0', true
	case b >= 'a' && b <= 'f':
		return b - 'a' + 10, true
	case b >= 'A' && b <= 'F':
		return b - 'A' + 10, true
	}
	return 0, false
}

// EscapeTalk writes bytes as the payload of a .talk record.
func EscapeTalk(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case s[i] == '\r':
			b.WriteString(`\r`)
		case s[i] == '\n':
			b.WriteString(`\n`)
		case s[i] == '\t':
			b.WriteString(`\t`)
		case s[i] == 0:
			b.WriteString(`\0`)
		case s[i] == '\\':
			b.WriteString(`\\`)
		case s[i] == ' ' && (i == len(s)-1), s[i] < ' ', s[i] == 0x7f, r == utf8.RuneError, r == 0xfeff, r >= 0x80 && r < 0xa0:
			for _, c := range []byte(s[i : i+size]) {
				fmt.Fprintf(&b, `\x%02x`, c)
			}
		default:
			b.WriteString(s[i : i+size])
		}
		i += size
	}
	return b.String()
}
