package main

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"
)

// TestBadInput gives review what people give by mistake: it must neither crash
// nor be silent, and say in plain words what was understood.
func TestBadInput(t *testing.T) {
	window := "AT\nOK\nAT+CSQ\n+CSQ: 17,0\n\nOK\n"
	noise := make([]byte, 200_000)
	chance := rand.New(rand.NewPCG(1, 2))
	for i := range noise {
		noise[i] = byte(chance.Uint32())
	}
	utf16le := []byte{0xFF, 0xFE}
	for _, unit := range utf16.Encode([]rune(window)) {
		utf16le = binary.LittleEndian.AppendUint16(utf16le, unit)
	}
	capture, err := os.ReadFile("../../examples/trailer-12-restart-on-transmit.capture")
	if err != nil {
		t.Fatal(err)
	}
	roof, err := os.ReadFile("../../examples/trailer-16-under-the-roof.nmea")
	if err != nil {
		t.Fatal(err)
	}
	old, err := os.ReadFile("../../examples/trailer-18-old-date.nmea")
	if err != nil {
		t.Fatal(err)
	}

	for _, in := range []struct {
		name   string
		bytes  string
		status int
		says   string // in what is written to either stream
	}{
		{"empty", "", statusCannot, "the file is empty"},
		{"only line ends", "\r\n\r\n\r\n", statusCannot, ""},
		{"a program", "\x7fELF\x02\x01\x01" + string(noise[:4096]), statusCannot, "looks like a program"},
		{"noise", string(noise), statusCannot, "it is binary"},
		{"prose", "Dear all,\nmy tracker does not work.\nWhat could it be?\n", statusCannot, "none of its first 3 lines is an AT command"},
		{"one line of 10 MB", strings.Repeat("A", 10_000_000), statusCannot, "one line of more than"},
		{"a line of 10 MB inside", "AT\r\nOK\r\n" + strings.Repeat("x", 10_000_000) + "\r\nAT+CSQ\r\n+CSQ: 17,0\r\n\r\nOK\r\n", -1, "2 of 2 commands answered"},
		{"torn capture", string(capture[:2000]), statusFound, "torn"},
		{"capture with a broken line", string(bytes.Replace(capture, []byte(`"from":"module"`), []byte(`"from":module`), 1)), statusFound, "chain breaks at the supply"},
		{"two receivers mixed", interleave(string(roof), string(old)), -1, "More than one device"},
		{"UTF-16", string(utf16le), statusFine, "2 of 2 commands answered"},
		{"UTF-8 with a mark", "\xEF\xBB\xBF" + window, statusFine, "2 of 2 commands answered"},
		{"Latin-1", "AT+CMGF=1\nOK\nAT+CMGS=\"+447700900123\"\n> H\xe4nger 7\x1a\n+CMGS: 4\n\nOK\n", -1, "Latin-1"},
		{"NUL bytes", strings.ReplaceAll(window, "OK", "\x00OK\x00"), -1, "4 stretches of noise among what could be read"},
		{"CR only", strings.ReplaceAll(window, "\n", "\r"), statusFine, "2 of 2 commands answered"},
		{"CR LF", strings.ReplaceAll(window, "\n", "\r\n"), statusFine, "2 of 2 commands answered"},
		{"CR CR LF", strings.ReplaceAll(window, "\n", "\r\r\n"), statusFine, "2 of 2 commands answered"},
		{"unknown commands", "AT+WHATEVER=1\nERROR\nAT+NOSUCH?\nERROR\n", -1, "2 of 2 commands answered"},
		{"no line end at the end", strings.TrimRight(window, "\n"), statusFine, "2 of 2 commands answered"},
	} {
		t.Run(in.name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "given.txt")
			if err := os.WriteFile(file, []byte(in.bytes), 0o644); err != nil {
				t.Fatal(err)
			}
			var out, errs bytes.Buffer
			status := run([]string{"review", file}, &streams{In: strings.NewReader(""), Out: &out, Err: &errs})
			said := strings.Join(strings.Fields(out.String()+errs.String()), " ")
			if said == "" {
				t.Error("nothing was said")
			}
			if in.status >= 0 && status != in.status {
				t.Errorf("exit status %d, want %d; said: %.600s", status, in.status, said)
			}
			if !strings.Contains(said, in.says) {
				t.Errorf("want %q; said: %.1500s", in.says, said)
			}
			if len(said) > 60_000 {
				t.Errorf("%d bytes were said: too much to read", len(said))
			}
		})
	}
}

// interleave takes lines of a and b in turn.
func interleave(a, b string) string {
	var mixed strings.Builder
	left, right := strings.SplitAfter(a, "\n"), strings.SplitAfter(b, "\n")
	for i := range min(len(left), len(right)) {
		mixed.WriteString(left[i])
		mixed.WriteString(right[i])
	}
	return mixed.String()
}
