package capture

import (
	"bufio"
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"firstfix/internal/when"
)

// lineLimit is the longest line of a capture file that is read. The writer's
// longest record is a quarter of it.
const lineLimit = 1 << 20

// A LineError is a line of a capture file that does not fit.
type LineError struct {
	Line int
	Was  string
	Want string
}

func (e *LineError) Error() string {
	return fmt.Sprintf("capture: line %d: %s: want %s", e.Line, e.Was, e.Want)
}

// Reader reads a capture file, record by record. A line that cannot be read
// becomes a record with the event "unreadable line N: …": nothing is dropped silently.
type Reader struct {
	r       *bufio.Reader
	long    []byte // a line longer than the buffer of r
	line    int
	records int
	last    when.Instant
	info    Info
	newer   bool // written by a later version: unknown keys are let be
}

// NewReader reads the header of a capture file.
func NewReader(r io.Reader) (*Reader, error) {
	c := &Reader{r: bufio.NewReaderSize(r, 64<<10)}
	line, whole, err := c.next()
	if errors.Is(err, io.EOF) {
		return nil, &LineError{1, "the file is empty", `a header, as in {"firstfix":"capture","version":1}`}
	}
	if err != nil {
		return nil, err
	}
	h := header{}
	line = bytes.TrimPrefix(line, []byte("\ufeff"))
	if !whole || json.Unmarshal(line, &h) != nil || h.Firstfix != "capture" || h.Version < 1 {
		return nil, &LineError{1, quote(line), `a header, as in {"firstfix":"capture","version":1}`}
	}
	c.newer = h.Version > Version
	if key := strange(line, "firstfix", "version", "began", "line", "times", "directions", "assumed", "private"); key != "" && !c.newer {
		return nil, keyError(1, key, headerKeys[:])
	}
	c.info = Info{Kind: "capture", Began: h.Began, TimesKnown: h.Times != "unknown", DirectionsKnown: h.Directions != "inferred",
		Assumed: h.Assumed, Private: h.Private}
	if h.Line != nil {
		c.info.Baud, c.info.Frame = h.Line.Baud, h.Line.Frame
	}
	if c.newer {
		c.assume(fmt.Sprintf("the capture has version %d, this program knows %d: what is new in it was let be", h.Version, Version))
	}
	return c, nil
}

var (
	headerKeys = [...]string{"firstfix", "version", "began", "line", "times", "directions", "assumed", "private"}
	recordKeys = [...]string{"t", "from", "text", "hex", "event"}
)

// Info is what the header says, and what was met so far.
func (c *Reader) Info() Info { return c.info }

func (c *Reader) assume(s string) { c.info.Assumed = append(slices.Clip(c.info.Assumed), s) }

// Next returns the next record; io.EOF at the end. An unknown key is a
// *[LineError]; Next may be called again and goes on with the next line.
func (c *Reader) Next() (Record, error) {
	for {
		line, whole, err := c.next()
		if err != nil {
			return Record{}, err
		}
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		r, why, err := c.parse(line)
		if err != nil {
			return Record{}, err
		}
		if why != "" && !whole {
			c.assume(fmt.Sprintf("the last line, %d, is torn: what was being written when the capture stopped is lost", c.line))
			return Record{}, io.EOF
		}
		if why != "" {
			r = Record{At: c.last, Event: fmt.Sprintf("unreadable line %d: %s: %s", c.line, why, keep(line))}
		}
		c.records++
		c.last = r.At
		r.Number, r.SourceLine = c.records, c.line
		return r, nil
	}
}

// next returns the next line without its end. whole: it had an end. The line
// is valid until the next call.
func (c *Reader) next() (line []byte, whole bool, err error) {
	line, err = c.r.ReadSlice('\n')
	c.line++
	if err == nil {
		return trimEnd(line), true, nil
	}
	c.long = append(c.long[:0], line...)
	for errors.Is(err, bufio.ErrBufferFull) {
		line, err = c.r.ReadSlice('\n')
		if len(c.long) <= lineLimit {
			c.long = append(c.long, line...)
		}
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, false, fmt.Errorf("capture: line %d: %w", c.line, err)
	}
	if len(c.long) == 0 {
		c.line--
		return nil, false, io.EOF
	}
	return trimEnd(c.long), err == nil, nil
}

func trimEnd(b []byte) []byte {
	b = bytes.TrimSuffix(b, []byte("\n"))
	return bytes.TrimSuffix(b, []byte("\r"))
}

// parse reads one record. why says what does not fit; err is an unknown key.
func (c *Reader) parse(line []byte) (r Record, why string, err error) {
	if len(line) > lineLimit {
		return r, fmt.Sprintf("longer than %d bytes", lineLimit), nil
	}
	if r, ok := parsePlain(line); ok {
		return r, "", nil
	}
	var v struct {
		T     json.Number `json:"t"`
		From  string      `json:"from"`
		Text  *string     `json:"text"`
		Hex   *string     `json:"hex"`
		Event string      `json:"event"`
	}
	if err := json.Unmarshal(line, &v); err != nil {
		return r, "no JSON object of a record", nil
	}
	if key := strange(line, recordKeys[:]...); key != "" && !c.newer {
		return r, "", keyError(c.line, key, recordKeys[:])
	}
	if r.At, err = when.Parse(v.T.String()); err != nil {
		return r, `"t" is not seconds as 12.345`, nil
	}
	switch v.From {
	case "controller":
		r.From = Controller
	case "module":
		r.From = Module
	case "unknown", "":
	default:
		return r, `"from" is not controller, module or unknown`, nil
	}
	switch {
	case v.Event != "" && v.Text == nil && v.Hex == nil:
		r.Event = v.Event
	case v.Text != nil && v.Hex == nil && v.Event == "":
		r.Bytes = *v.Text
	case v.Hex != nil && v.Text == nil && v.Event == "":
		b, err := hex.DecodeString(*v.Hex)
		if err != nil {
			return r, `"hex" is not pairs of hexadecimal digits`, nil
		}
		r.Bytes = string(b)
	default:
		return r, `not one of "text", "hex" and "event"`, nil
	}
	return r, "", nil
}

// parsePlain reads a line in the very shape that Writer writes, which is nearly
// every line there is. False: look closer.
func parsePlain(line []byte) (Record, bool) {
	var r Record
	rest, ok := bytes.CutPrefix(line, []byte(`{"t":`))
	if !ok {
		return r, false
	}
	i := bytes.IndexByte(rest, ',')
	if i < 0 {
		return r, false
	}
	if r.At, ok = plainTime(rest[:i]); !ok {
		return r, false
	}
	rest = rest[i:]
	if after, ok := bytes.CutPrefix(rest, []byte(`,"from":"module","`)); ok {
		r.From, rest = Module, after
	} else if after, ok := bytes.CutPrefix(rest, []byte(`,"from":"controller","`)); ok {
		r.From, rest = Controller, after
	} else {
		return r, false
	}
	if rest, ok = bytes.CutPrefix(rest, []byte(`text":"`)); !ok {
		return r, false
	}
	rest, ok = bytes.CutSuffix(rest, []byte(`"}`))
	if !ok {
		return r, false
	}
	r.Bytes, ok = plainText(rest)
	return r, ok
}

// plainTime reads digits, a point and up to nine digits.
func plainTime(b []byte) (when.Instant, bool) {
	whole, frac, digits := int64(0), int64(0), 0
	i := 0
	for ; i < len(b) && b[i] >= '0' && b[i] <= '9'; i++ {
		whole = whole*10 + int64(b[i]-'0')
	}
	if i == 0 || i > 9 || i >= len(b) || b[i] != '.' {
		return 0, false
	}
	for i++; i < len(b) && b[i] >= '0' && b[i] <= '9'; i++ {
		frac = frac*10 + int64(b[i]-'0')
		digits++
	}
	if i != len(b) || digits == 0 || digits > 9 {
		return 0, false
	}
	for ; digits < 9; digits++ {
		frac *= 10
	}
	return when.Instant(whole*1e9 + frac), true
}

// plainText resolves the escapes that Writer uses.
func plainText(b []byte) (string, bool) {
	i := bytes.IndexByte(b, '\\')
	if i < 0 {
		return string(b), bytes.IndexByte(b, '"') < 0 && isText(string(b))
	}
	out := make([]byte, 0, len(b))
	for {
		out = append(out, b[:i]...)
		if i == len(b) {
			break
		}
		if i+1 >= len(b) {
			return "", false
		}
		switch b[i+1] {
		case 'r':
			out = append(out, '\r')
		case 'n':
			out = append(out, '\n')
		case 't':
			out = append(out, '\t')
		case '"', '\\':
			out = append(out, b[i+1])
		default:
			return "", false
		}
		b = b[i+2:]
		if i = bytes.IndexByte(b, '\\'); i < 0 {
			i = len(b)
		}
		if bytes.IndexByte(b[:i], '"') >= 0 {
			return "", false
		}
	}
	s := string(out)
	return s, isText(s)
}

// strange returns the first key of a JSON object that is not known; "" for none.
func strange(line []byte, known ...string) string {
	d := json.NewDecoder(bytes.NewReader(line))
	depth, key := 0, true
	for {
		t, err := d.Token()
		if err != nil {
			return ""
		}
		switch v := t.(type) {
		case json.Delim:
			switch v {
			case '{', '[':
				depth++
				key = depth == 1
				continue
			}
			depth--
		case string:
			if depth == 1 && key {
				if !slices.Contains(known, v) {
					return v
				}
				key = false
				continue
			}
		}
		key = depth == 1
	}
}

func keyError(line int, key string, known []string) error {
	want := fmt.Sprintf("one of %s", strings.Join(known, ", "))
	if near := nearest(key, known); near != "" {
		want = fmt.Sprintf("%q, or another of %s", near, strings.Join(known, ", "))
	}
	return &LineError{line, fmt.Sprintf("unknown key %q", clip(key)), want}
}

// nearest returns the known key that shares the most letters, in order, with key.
func nearest(key string, known []string) string {
	best, most := "", 0
	for _, k := range known {
		n := 0
		for i, j := 0, 0; i < len(key) && j < len(k); j++ {
			if key[i]|0x20 == k[j] {
				i, n = i+1, n+1
			}
		}
		if n > most && 2*n >= len(k) {
			best, most = k, n
		}
	}
	return best
}

// quote shows the start of a line, its secrets masked.
func quote(line []byte) string { return fmt.Sprintf("%q", clip(Mask(string(line)))) }

// keep shows an unreadable line as it is, its secrets masked, as far as a note can hold it.
func keep(line []byte) string {
	const most = 4096 // a screenful; a line this long that cannot be read is no line of a capture
	s := Mask(string(line[:min(len(line), most)]))
	if len(line) > most {
		return fmt.Sprintf("%q and %d bytes more", s, len(line)-most)
	}
	return fmt.Sprintf("%q", s)
}

func clip(s string) string {
	const most = 120
	if len(s) <= most {
		return s
	}
	return s[:most] + "…"
}
