package uart

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
)

// A start-up and a stream, spelled by 3GPP TS 27.007 and IEC 61162-1, with
// values that are not in the sample the model has learnt from.
const (
	startUp = "\r\n+CPIN: READY\r\n\r\n+CREG: 2\r\n\r\n+CREG: 5\r\n\r\n+CGREG: 5\r\n"
	stream  = "$GNRMC,094407.00,A,4916.45120,N,12311.12040,W,11.4,084.4,191120,,,A*4E\r\n" +
		"$GNGGA,094407.00,4916.45120,N,12311.12040,W,1,07,1.2,80.0,M,-17.0,M,,*7D\r\n"
)

func heard(text string, sentBaud float64, readBaud int) []byte {
	read, _ := Mishear([]byte(text), sentBaud, float64(readBaud), EightN1)
	return read
}

// TestGuessFindsTheTrueSpeed: for a line read at the speeds people try first.
func TestGuessFindsTheTrueSpeed(t *testing.T) {
	for _, row := range []struct {
		text       string
		sent, read int
		example    string // must be part of what the guess gives as an example
	}{
		{startUp, 9600, 38400, "CPIN"},
		{startUp, 9600, 57600, "CPIN"},
		{startUp, 19200, 115200, "CPIN"},
		{startUp, 38400, 115200, "CPIN"},
		{startUp, 57600, 115200, "CPIN"},
		{startUp, 4800, 9600, "CPIN"},
		{startUp, 19200, 9600, "CPIN"},
		{startUp, 115200, 57600, "CPIN"},
		{stream, 4800, 9600, "$GN"},
		{stream, 9600, 4800, "$GN"},
		{stream, 38400, 9600, "$GN"},
		{stream, 9600, 38400, "$GN"},
		{stream + stream, 57600, 9600, ""},
		{"AT\rAT\rAT\r", 9600, 19200, "AT"},
		{"\r\nOK\r\n\r\nOK\r\n", 9600, 57600, "OK"},
	} {
		t.Run(fmt.Sprintf("%d read at %d", row.sent, row.read), func(t *testing.T) {
			got := GuessSpeed(heard(row.text, float64(row.sent), row.read), row.read)
			if len(got) == 0 || got[0].Baud != row.sent || !strings.Contains(got[0].Example, row.example) {
				t.Errorf("guessed %+v, want %d because of %q", got, row.sent, row.example)
			}
		})
	}
}

// TestGuessAllowsForClocks: a controller whose divider cannot make the speed
// exactly (tolerance_test.go has the figures) reads other bytes of a faster sender.
func TestGuessAllowsForClocks(t *testing.T) {
	for _, skew := range []float64{0.98, 0.99, 1.01, 1.02} {
		for _, speeds := range [][2]int{{19200, 9600}, {38400, 9600}, {115200, 57600}, {9600, 38400}} {
			read := heard(strings.Repeat(stream, 3), float64(speeds[0])*skew, speeds[1])
			got := GuessSpeed(read, speeds[1])
			if len(got) == 0 || got[0].Baud != speeds[0] {
				t.Errorf("%d times %v read at %d: guessed %+v", speeds[0], skew, speeds[1], got)
			}
		}
	}
}

// TestGuessFromShortAnswers: bursts with silence between them.
func TestGuessFromShortAnswers(t *testing.T) {
	var read []byte
	for n := range 40 {
		text := fmt.Sprintf("\r\n+CSQ: %d,99\r\n\r\nOK\r\n", 10+n%19)
		read = append(read, heard(text, 57600, 9600)...)
	}
	if got := GuessSpeed(read, 9600); len(got) == 0 || got[0].Baud != 57600 {
		t.Errorf("guessed %+v", got)
	}
}

// TestGuessStaysSilent: text that is right already, lines that are stuck, and too little.
func TestGuessStaysSilent(t *testing.T) {
	for name, read := range map[string][]byte{
		"nothing":              nil,
		"text at this speed":   []byte(startUp),
		"sentences":            []byte(stream),
		"held low":             make([]byte, 100),
		"floating high":        bytes.Repeat([]byte{0xFF}, 100),
		"a break and a glitch": {0, 0, 0xFF},
		"ringing":              bytes.Repeat([]byte{0x00, 0xFF}, 50),
		"one byte":             {0xE0},
		"text in another code": []byte("gr\u00fc\u00df dich, \u00fcberall \u00f6l"),
	} {
		if got := GuessSpeed(read, 9600); got != nil {
			t.Errorf("%s: guessed %+v", name, got)
		}
	}
}

const falseRuns = 8

// TestGuessFalseRate: measured over 1,000 stretches of each kind before this was
// written: no guess for random bytes, none for a line that flips at random.
// The test repeats a part of it, with the same seeds.
func TestGuessFalseRate(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2013))
	for range falseRuns {
		read := make([]byte, 8+r.IntN(100))
		for i := range read {
			read[i] = byte(r.Uint32())
		}
		if got := GuessSpeed(read, 9600); got != nil {
			t.Errorf("random bytes % x: guessed %+v", read, got)
		}
		if read = flipping(r, 8+r.IntN(100)); GuessSpeed(read, 9600) != nil {
			t.Errorf("a flipping line % x: guessed %+v", read, GuessSpeed(read, 9600))
		}
	}
}

// flipping returns what is read of a line that flips by itself, as an open
// input does, with pulses a third of a bit to eight bits long on average.
func flipping(r *rand.Rand, n int) []byte {
	const parts = 8 // of a bit
	mean := parts * []float64{0.3, 0.6, 1, 2, 4, 8}[r.IntN(6)]
	level, left := byte(1), r.ExpFloat64()*mean
	pass := func(steps int) {
		for range steps {
			for left--; left < 0; left += r.ExpFloat64() * mean {
				level ^= 1
			}
		}
	}
	var read []byte
	for len(read) < n {
		for level == 1 {
			pass(1)
		}
		if pass(parts / 2); level == 1 {
			continue
		}
		var b byte
		for k := range 8 {
			pass(parts)
			b |= level << k
		}
		pass(parts)
		read = append(read, b)
		for level == 0 {
			pass(1)
		}
	}
	return read
}

func TestSlowerThan(t *testing.T) {
	// 9600 read at 115200: each low bit lasts twelve of the receiver's.
	read := heard(startUp, 9600, 115200)
	baud, ok := SlowerThan(read, 115200)
	if !ok || baud < 9600 || baud > 19200 {
		t.Errorf("% x: %d %v", read[:8], baud, ok)
	}
	if _, ok := SlowerThan(heard(startUp, 19200, 115200), 115200); ok {
		t.Error("19200 at 115200 is not all zeros")
	}
}

func FuzzGuessSpeed(f *testing.F) {
	f.Add(heard(startUp, 9600, 38400), 38400)
	f.Add(heard(stream, 38400, 9600), 9600)
	f.Add([]byte{0, 0xFF, 0x80}, 1)
	f.Fuzz(func(t *testing.T, read []byte, baud int) {
		for _, g := range GuessSpeed(read[:min(len(read), 6)], baud) {
			if g.Score <= 0 || g.Score > 1 || g.Bits < 0 || g.Baud == baud {
				t.Errorf("%+v", g)
			}
		}
	})
}

// Enough: 200 ms for a stretch of garbage that can be explained. It is asked once
// for a stretch, by a person who has waited longer than that already.
func BenchmarkGuessSpeed(b *testing.B) {
	read := heard(strings.Repeat(startUp, 4), 9600, 38400)
	b.ReportAllocs()
	for b.Loop() {
		GuessSpeed(read, 38400)
	}
}

// Enough: 4 MB/s sent, forty times the fastest line.
func BenchmarkMishear(b *testing.B) {
	sent := []byte(strings.Repeat(stream, 20))
	b.SetBytes(int64(len(sent)))
	for b.Loop() {
		Mishear(sent, 9600, 115200, EightN1)
	}
}
