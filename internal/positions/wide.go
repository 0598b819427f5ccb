package positions

import (
	"bufio"
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// wide says whether a file begins with the mark of UTF-16 (RFC 2781, 3.2), as spreadsheets
// write it, and returns it as UTF-8.
func wide(b *bufio.Reader, head []byte) (io.Reader, bool) {
	if len(head) < 2 {
		return nil, false
	}
	switch {
	case head[0] == 0xff && head[1] == 0xfe:
		return &wideReader{r: b}, true
	case head[0] == 0xfe && head[1] == 0xff:
		return &wideReader{r: b, big: true}, true
	}
	return nil, false
}

type wideReader struct {
	r     *bufio.Reader
	big   bool
	begun bool
	held  []byte // of a character that did not fit
	room  [utf8.UTFMax]byte
}

func (w *wideReader) unit() (rune, error) {
	a, err := w.r.ReadByte()
	if err != nil {
		return 0, err
	}
	b, err := w.r.ReadByte()
	if err != nil {
		return utf8.RuneError, nil // half a character at the end
	}
	if w.big {
		return rune(a)<<8 | rune(b), nil
	}
	return rune(b)<<8 | rune(a), nil
}

func (w *wideReader) Read(p []byte) (n int, err error) {
	for n < len(p) {
		if len(w.held) > 0 {
			k := copy(p[n:], w.held)
			n, w.held = n+k, w.held[k:]
			continue
		}
		r, err := w.unit()
		if err != nil {
			if n > 0 {
				return n, nil
			}
			return 0, err
		}
		if utf16.IsSurrogate(r) {
			low, err := w.unit()
			if err != nil {
				low = utf8.RuneError
			}
			r = utf16.DecodeRune(r, low)
		}
		if !w.begun {
			w.begun = true
			if r == 0xfeff {
				continue
			}
		}
		w.held = w.room[:utf8.EncodeRune(w.room[:], r)]
	}
	return n, nil
}
