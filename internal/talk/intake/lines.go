package intake

import (
	"errors"
	"io"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// pieceLimit is the longest piece of a line that is handed on at once. No line
// of a dialogue comes near it; memory stays flat on a file that has no line ends.
const pieceLimit = 64 << 10

// A textLine is one line of a file.
type textLine struct {
	text   string // without its end
	raw    string // with it, as it stands in the file
	number int    // from 1
	more   bool   // the line is longer than pieceLimit: this is not its last piece
	rest   bool   // this is not its first piece
}

// lineReader cuts a file into lines without copying them: the lines of one
// block are parts of one string.
type lineReader struct {
	r      io.Reader
	buf    []byte
	block  string // read and not yet handed out
	number int
	byCR   bool // the file has no LF: lines end in CR
	inside bool // the last line handed out was not whole
	err    error
}

func newLineReader(r io.Reader, byCR bool) *lineReader {
	return &lineReader{r: r, buf: make([]byte, pieceLimit), byCR: byCR}
}

// next returns the next line; io.EOF at the end.
func (l *lineReader) next() (textLine, error) {
	for {
		if i := l.end(); i >= 0 {
			return l.take(i), nil
		}
		if len(l.block) >= pieceLimit {
			return l.piece(pieceLimit), nil
		}
		if l.err != nil {
			if l.block != "" && errors.Is(l.err, io.EOF) {
				return l.take(len(l.block)), nil
			}
			return textLine{}, l.err
		}
		n, err := io.ReadFull(l.r, l.buf[:pieceLimit])
		var b strings.Builder
		b.Grow(len(l.block) + n)
		b.WriteString(l.block)
		b.Write(l.buf[:n])
		l.block = b.String()
		if errors.Is(err, io.ErrUnexpectedEOF) {
			err = io.EOF
		}
		l.err = err
	}
}

// end returns the offset behind the first line end in the block, or -1.
func (l *lineReader) end() int {
	if !l.byCR {
		if i := strings.IndexByte(l.block, '\n'); i >= 0 {
			return i + 1
		}
		return -1
	}
	i := strings.IndexByte(l.block, '\r')
	switch {
	case i < 0:
		return -1
	case i+1 < len(l.block) && l.block[i+1] == '\n':
		return i + 2
	case i+1 == len(l.block) && l.err == nil:
		return -1 // an LF may follow
	}
	return i + 1
}

func (l *lineReader) take(n int) textLine {
	raw := l.block[:n]
	l.block = l.block[n:]
	if !l.inside {
		l.number++
	}
	text := raw
	for text != "" && (text[len(text)-1] == '\n' || text[len(text)-1] == '\r') {
		text = text[:len(text)-1]
	}
	t := textLine{text: text, raw: raw, number: l.number, rest: l.inside}
	l.inside = false
	return t
}

func (l *lineReader) piece(n int) textLine {
	t := l.take(n)
	t.text, t.more = t.raw, true
	l.inside = true
	return t
}

// utf16Reader turns UTF-16 into UTF-8.
type utf16Reader struct {
	r   io.Reader
	big bool
	in  []byte // bytes read and not yet turned
	out []byte // turned and not yet handed out
	err error
}

func (u *utf16Reader) Read(p []byte) (int, error) {
	for len(u.out) == 0 {
		if u.err != nil {
			return 0, u.err
		}
		var buf [4096]byte
		n, err := u.r.Read(buf[:])
		u.in = append(u.in, buf[:n]...)
		u.err = err
		u.turn()
	}
	n := copy(p, u.out)
	u.out = u.out[n:]
	return n, nil
}

// turn turns what is complete.
func (u *utf16Reader) turn() {
	u.out = u.out[:0]
	i := 0
	for ; i+1 < len(u.in); i += 2 {
		c := u.unit(i)
		r := rune(c)
		if utf16.IsSurrogate(r) {
			if i+3 >= len(u.in) && u.err == nil {
				break // its second half has not come
			}
			second := rune(0)
			if i+3 < len(u.in) {
				second = rune(u.unit(i + 2))
			}
			if r = utf16.DecodeRune(r, second); r != utf8.RuneError {
				i += 2
			}
		}
		if r != 0xfeff {
			u.out = utf8.AppendRune(u.out, r)
		}
	}
	u.in = append(u.in[:0], u.in[i:]...)
	if u.err != nil && len(u.in) == 1 {
		u.out = append(u.out, u.in[0]) // an odd last byte is not lost
		u.in = nil
	}
}

func (u *utf16Reader) unit(i int) uint16 {
	if u.big {
		return uint16(u.in[i])<<8 | uint16(u.in[i+1])
	}
	return uint16(u.in[i+1])<<8 | uint16(u.in[i])
}
