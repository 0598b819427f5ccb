// Package intake reads whatever recording of a line a person has, and says
// what it had to assume.
//
// # What it promises
//
// [Open] looks at the first bytes and picks an importer: a capture file, a
// pasted terminal window, a log with time stamps, two one-direction files, raw
// GNSS sentences, the fixture text of docs/formats/talk-text.md. It streams: memory
// stays flat whatever the size. Bytes are never dropped silently. What cannot be
// read at all is an [Unreadable] that says why and what would help.
//
// # What it leaves to others
//
// Which answer belongs to which command is the work of talk/dialogue. An
// importer only puts back what a recording loses: sides and line ends.
//
// # Where to start
//
// Read [Open], then the speaker, which decides who said what.
package intake

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"firstfix/internal/talk/capture"
)

// Options are what a caller may choose.
type Options struct {
	// Kind is the kind of recording when the caller knows it: "capture", "talk",
	// "stamped", "window", "nmea". Empty: look.
	Kind string
}

// An Unreadable is a file that holds no recording.
type Unreadable struct {
	Name string
	Why  string // what was understood
	Hint string // what would help
	Err  error  // what lies under it; may be nil
}

// Error says what was understood. The hint is not in it: who shows the error
// shows the hint beside it.
func (e *Unreadable) Error() string {
	if e.Err != nil {
		return fmt.Sprintf("intake: %s: %s: %v", e.Name, e.Why, e.Err)
	}
	return fmt.Sprintf("intake: %s: %s", e.Name, e.Why)
}

func (e *Unreadable) Unwrap() error { return e.Err }

// sniffLimit is how much of a file is looked at before it is read: a thousand
// lines, enough to see its shape.
const sniffLimit = 64 << 10

// sampleLines bounds the lines looked at.
const sampleLines = 500

// Open looks at a recording and returns the records in it. name is used in
// messages and, by its ending, as a hint.
func Open(r io.Reader, name string, opt Options) (capture.Source, error) {
	l, err := look(r, name)
	if err != nil {
		return nil, err
	}
	s, err := l.open(opt)
	if err != nil {
		return nil, err
	}
	return watch(s), nil
}

// open picks the importer and begins to read.
func (l *looked) open(opt Options) (capture.Source, error) {
	name := l.name
	kind := opt.Kind
	if kind == "" {
		kind = l.kind()
	}
	switch kind {
	case "capture":
		c, err := capture.NewReader(l.r)
		if err != nil {
			return nil, &Unreadable{name, "it begins like a capture, but its header cannot be read", "compare its first line with docs/formats/capture.md", err}
		}
		return c, nil
	case "talk":
		return &talkSource{reader: newTalkReader(l.r), assumed: l.assumed}, nil
	case "nmea":
		return newSentences(l), nil
	case "stamped":
		f, ok := lookStamped(l.lines)
		if !ok {
			return nil, &Unreadable{name, "its lines have no time stamps that could be read", "firstfix knows dates with times, times of day and seconds since the start", nil}
		}
		return newStamped(l, f), nil
	case "window":
		return newWindow(l), nil
	case "":
		return nil, l.unreadable()
	}
	return nil, &Unreadable{name, fmt.Sprintf("%q is no kind of recording", kind), "kinds are capture, talk, stamped, window and nmea", nil}
}

// looked is what a look at the first bytes has shown.
type looked struct {
	name    string
	r       io.Reader // UTF-8, or bytes as they are, from the start
	sample  string
	lines   []string // of the sample, without empty ones
	byCR    bool
	assumed []string
}

// look reads the first bytes and undoes the encoding.
func look(r io.Reader, name string) (*looked, error) {
	b := bufio.NewReaderSize(r, sniffLimit)
	head, err := b.Peek(sniffLimit)
	if err != nil && !errors.Is(err, io.EOF) && len(head) == 0 {
		return nil, fmt.Errorf("intake: read %s: %w", name, err)
	}
	if len(head) == 0 {
		return nil, &Unreadable{name, "the file is empty", "record the line again, or check that the log was saved", nil}
	}
	l := &looked{name: name, r: b}
	if what := magic(head); what != "" {
		return nil, &Unreadable{name, "it looks like " + what + ", not like the recording of a line", "unpack or export it as text first", nil}
	}
	if big, found := wide(head); found {
		l.r = bufio.NewReaderSize(&utf16Reader{r: b, big: big}, sniffLimit)
		l.assumed = append(l.assumed, "the file is UTF-16: it was read as such")
	} else if bytes.HasPrefix(head, []byte("\ufeff")) {
		_, _ = b.Discard(len("\ufeff"))
	}
	head, err = l.r.(*bufio.Reader).Peek(sniffLimit)
	if len(head) == 0 {
		return nil, &Unreadable{name, "the file is empty but for its encoding mark", "record the line again, or check that the log was saved", nil}
	}
	l.sample = string(head)
	whole := errors.Is(err, io.EOF)
	text := l.sample
	if !whole {
		text = strings.TrimRightFunc(text, func(r rune) bool { return r == utf8.RuneError })
	}
	if !utf8.ValidString(text) && foreignShare(text) < 5 {
		l.assumed = append(l.assumed, "the file is not UTF-8: letters outside ASCII were taken as the bytes they are")
	}
	l.byCR = strings.IndexByte(l.sample, '\n') < 0 && strings.IndexByte(l.sample, '\r') >= 0
	l.cut(whole)
	return l, nil
}

// cut cuts the sample into lines.
func (l *looked) cut(whole bool) {
	rest := l.sample
	for rest != "" && len(l.lines) < sampleLines {
		i := strings.IndexAny(rest, "\r\n")
		line := rest
		if i >= 0 {
			line, rest = rest[:i], rest[i+1:]
		} else {
			rest = ""
			if !whole && len(l.lines) > 0 {
				return // cut off by the end of the sample
			}
		}
		if strings.TrimSpace(line) != "" {
			l.lines = append(l.lines, line)
		}
	}
}

// magic names what a file is by its first bytes; "" when nothing speaks against text.
func magic(head []byte) string {
	for _, m := range [...]struct{ start, what string }{
		{"\x1f\x8b", "a gzip archive"}, {"PK\x03\x04", "a zip archive or an office document"}, {"%PDF", "a PDF document"},
		{"\x89PNG", "a picture (PNG)"}, {"\xff\xd8\xff", "a picture (JPEG)"}, {"\x7fELF", "a program"}, {"MZ\x90", "a program"},
		{"BZh", "a bzip2 archive"}, {"\xfd7zXZ", "an xz archive"}, {"(\xb5/\xfd", "a zstd archive"}, {"SQLite format 3", "a database"},
		{"\xd4\xc3\xb2\xa1", "a network capture"}, {"\n\r\r\n\x1c", "a network capture"}, {"Rar!", "a rar archive"}, {"7z\xbc\xaf", "a 7z archive"},
		{"RIFF", "a sound or a film"}, {"GIF8", "a picture (GIF)"},
	} {
		if bytes.HasPrefix(head, []byte(m.start)) {
			return m.what
		}
	}
	return ""
}

// wide says whether a file is UTF-16: by its mark, or since every other byte of it is NUL.
func wide(head []byte) (big, found bool) {
	if bytes.HasPrefix(head, []byte{0xff, 0xfe}) || bytes.HasPrefix(head, []byte{0xfe, 0xff}) {
		// A wrong speed also gives such bytes: what follows must look like text.
		big = head[0] == 0xfe
		zeros := 0
		for i := 2; i+1 < len(head) && i < 400; i += 2 {
			if z := head[i+1]; !big && z == 0 || big && head[i] == 0 {
				zeros++
			}
		}
		return big, zeros*4 >= min(len(head), 400)/2 || len(head) == 2
	}
	n := min(len(head), 400) &^ 1
	if n < 8 {
		return false, false
	}
	even, odd := 0, 0
	for i := 0; i < n; i += 2 {
		if head[i] == 0 && head[i+1] != 0 {
			even++
		}
		if head[i] != 0 && head[i+1] == 0 {
			odd++
		}
	}
	return even*10 >= n/2*9, even*10 >= n/2*9 || odd*10 >= n/2*9
}

// kind picks the importer; "" for none.
func (l *looked) kind() string {
	if first := strings.TrimSpace(l.sample); strings.HasPrefix(first, "{") {
		line, _, _ := strings.Cut(first, "\n")
		if strings.Contains(line, `"firstfix"`) && strings.Contains(line, `"capture"`) {
			return "capture"
		}
	}
	if l.isTalk() {
		return "talk"
	}
	sentences, speech := 0, 0
	for _, t := range l.lines {
		t = strings.Trim(t, "\x00 ")
		switch {
		case isSentence(t):
			sentences++
		case isCommand(t), isResult(t), isAnswer(t):
			speech++
		}
	}
	if sentences*2 >= len(l.lines) && speech == 0 && sentences > 0 {
		return "nmea"
	}
	if f, ok := lookStamped(l.lines); ok && l.speaks(f) {
		return "stamped"
	}
	if sentences+speech == 0 && !l.whispers() {
		return ""
	}
	return "window"
}

// isTalk says whether this is a .talk text: by its name, or since it has its
// records and shows line ends as it does.
func (l *looked) isTalk() bool {
	records, escapes, after := 0, 0, 0
	for _, t := range l.lines {
		if isTalkLine(t) {
			records++
			if strings.HasSuffix(t, `\r`) || strings.HasSuffix(t, `\n`) || strings.HasPrefix(t, "@ ") {
				escapes++
			}
		} else if records > 0 {
			after++
		}
	}
	return records > 0 && (strings.HasSuffix(l.name, ".talk") || escapes*2 >= records && after <= records)
}

// speaks says whether stamped lines hold a dialogue.
func (l *looked) speaks(f *stampedFormat) bool {
	for _, t := range l.lines {
		_, _, body, ok := f.payload(t)
		if !ok {
			continue
		}
		body, hexed := f.unwrap(body)
		body = strings.Trim(undoPictures(body, true), "\r\n \x00")
		if hexed || isCommand(body) || isResult(body) || isAnswer(body) || isSentence(body) {
			return true
		}
	}
	return false
}

// whispers says whether a sample without one clean line still holds a piece of
// a dialogue, as a recording at a wrong speed or without line ends may.
func (l *looked) whispers() bool {
	u := strings.ToUpper(l.sample)
	for _, word := range [...]string{"AT+", "AT\r", "OK\r", "\nOK", "ERROR", "$GP", "$GN", "$GL", "$GA", "$GB", "+CM"} {
		if strings.Contains(u, word) {
			return true
		}
	}
	return false
}

// unreadable says why nothing could be made of the file.
func (l *looked) unreadable() error {
	const hint = "firstfix reads captures, pasted terminal windows, logs with time stamps and raw GNSS sentences"
	if n := foreignShare(l.sample) + highShare(l.sample); n > 30 {
		return &Unreadable{l.name, fmt.Sprintf("it is binary: %d of 100 bytes are no text, and no AT command, answer or GNSS sentence is among them", n), hint, nil}
	}
	if len(l.lines) == 0 {
		return &Unreadable{l.name, "it holds nothing but blanks", hint, nil}
	}
	if len(l.lines) == 1 && len(l.sample) >= sniffLimit {
		return &Unreadable{l.name, fmt.Sprintf("it is text in one line of more than %d bytes, without an AT command, answer or GNSS sentence", sniffLimit), hint, nil}
	}
	return &Unreadable{l.name, fmt.Sprintf("it is text, but none of its first %d lines is an AT command, an answer or a GNSS sentence", len(l.lines)), hint, nil}
}

// highShare returns how many bytes in a hundred are outside ASCII in a text that is not UTF-8.
func highShare(s string) int {
	if utf8.ValidString(s) || s == "" {
		return 0
	}
	n := 0
	for i := range len(s) {
		if s[i] >= 0x80 {
			n++
		}
	}
	return n * 100 / len(s)
}
