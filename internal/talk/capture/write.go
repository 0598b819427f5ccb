package capture

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Version is the version of the capture file that [Writer] writes and [Reader]
// knows in full; docs/formats/capture.md tells what it holds.
const Version = 1

// pieceLimit is the most bytes written as one record: a line of the file stays
// far below the reader's limit even in hexadecimal. Longer records are cut.
const pieceLimit = 128 << 10

// header is the first line of a capture file.
type header struct {
	Firstfix   string      `json:"firstfix"` // always "capture"
	Version    int         `json:"version"`
	Began      string      `json:"began,omitempty"`
	Line       *headerLine `json:"line,omitempty"`
	Times      string      `json:"times,omitempty"`      // "unknown"; missing: known
	Directions string      `json:"directions,omitempty"` // "inferred"; missing: known
	Assumed    []string    `json:"assumed,omitempty"`
	Private    []string    `json:"private,omitempty"`
}

type headerLine struct {
	Baud  int    `json:"baud,omitempty"`
	Frame string `json:"frame,omitempty"`
}

// Writer writes a capture file. Each record is one Write to the writer below,
// so that a kill loses at most the record being written. Secrets are masked.
type Writer struct {
	w      io.Writer
	masker Masker
	buf    []byte
}

// NewWriter writes the header of a capture of which info is known.
func NewWriter(w io.Writer, info Info) (*Writer, error) {
	h := header{Firstfix: "capture", Version: Version, Began: info.Began, Private: info.Private, Assumed: info.Assumed}
	if info.Baud != 0 || info.Frame != "" {
		h.Line = &headerLine{Baud: info.Baud, Frame: info.Frame}
	}
	if !info.TimesKnown {
		h.Times = "unknown"
	}
	if !info.DirectionsKnown {
		h.Directions = "inferred"
	}
	b, err := json.Marshal(h)
	if err != nil {
		return nil, fmt.Errorf("capture: write the header: %w", err)
	}
	if _, err := w.Write(append(b, '\n')); err != nil {
		return nil, fmt.Errorf("capture: write the header: %w", err)
	}
	return &Writer{w: w}, nil
}

// Write writes one record. Its number is not kept: the order in the file is it.
func (w *Writer) Write(r Record) error {
	r = w.masker.Mask(r)
	for first := true; first || r.Bytes != ""; first = false {
		piece := r
		if len(piece.Bytes) > pieceLimit {
			piece.Bytes = piece.Bytes[:pieceLimit]
		}
		r.Bytes = r.Bytes[len(piece.Bytes):]
		w.buf = appendRecord(w.buf[:0], &piece)
		if _, err := w.w.Write(w.buf); err != nil {
			return fmt.Errorf("capture: write a record: %w", err)
		}
	}
	return nil
}

// appendRecord appends the line of one record.
func appendRecord(b []byte, r *Record) []byte {
	b = append(b, `{"t":`...)
	b = append(b, r.At.String()...)
	if r.Event != "" {
		if r.From != Unknown {
			b = append(b, `,"from":"`...)
			b = append(append(b, r.From.String()...), '"')
		}
		b = append(b, `,"event":`...)
		return append(appendJSON(b, strings.ToValidUTF8(r.Event, "\ufffd")), "}\n"...)
	}
	b = append(b, `,"from":"`...)
	b = append(b, r.From.String()...)
	if isText(r.Bytes) {
		b = append(b, `","text":`...)
		return append(appendJSON(b, r.Bytes), "}\n"...)
	}
	b = append(b, `","hex":"`...)
	const digits = "0123456789abcdef"
	for i := range len(r.Bytes) {
		b = append(b, digits[r.Bytes[i]>>4], digits[r.Bytes[i]&15])
	}
	return append(b, "\"}\n"...)
}

// isText says whether bytes are written as text: UTF-8, and nothing in it that
// a person could not see, but for CR, LF and tab.
func isText(s string) bool {
	for i := 0; i < len(s); {
		c := s[i]
		if c < utf8.RuneSelf {
			if c < ' ' && c != '\r' && c != '\n' && c != '\t' || c == 0x7F {
				return false
			}
			i++
			continue
		}
		r, n := utf8.DecodeRuneInString(s[i:])
		if r == utf8.RuneError && n == 1 || !unicode.IsPrint(r) {
			return false
		}
		i += n
	}
	return true
}

// appendJSON appends a JSON string.
func appendJSON(b []byte, s string) []byte {
	b = append(b, '"')
	for i := range len(s) {
		switch c := s[i]; c {
		case '"', '\\':
			b = append(b, '\\', c)
		case '\r':
			b = append(b, '\\', 'r')
		case '\n':
			b = append(b, '\\', 'n')
		case '\t':
			b = append(b, '\\', 't')
		default:
			if c < ' ' {
				b = fmt.Appendf(b, `\u%04x`, c)
				continue
			}
			b = append(b, c)
		}
	}
	return append(b, '"')
}
