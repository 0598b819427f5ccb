package intake

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"firstfix/internal/talk/capture"

	"pgregory.net/rapid"
)

func records(t testing.TB, s capture.Source) []capture.Record {
	t.Helper()
	var all []capture.Record
	for {
		r, err := s.Next()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, r)
	}
}

func open(t testing.TB, file, name string) capture.Source {
	t.Helper()
	s, err := Open(strings.NewReader(file), name, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The same window says the same whatever its lines end in.
func TestLineEnds(t *testing.T) {
	b, err := os.ReadFile("testdata/in/window-plain.txt")
	if err != nil {
		t.Fatal(err)
	}
	want := dump(string(b), "w.txt")
	for _, end := range []string{"\r\n", "\r", "\r\r\n"} {
		if got := dump(strings.ReplaceAll(string(b), "\n", end), "w.txt"); got != want {
			t.Errorf("lines ended in %q:\n%s\nwant\n%s", end, got, want)
		}
	}
	// No end behind the last line.
	if got := dump(strings.TrimRight(string(b), "\n"), "w.txt"); got != want {
		t.Errorf("without the last end:\n%s", got)
	}
}

// A line of ten megabytes is handed on in pieces; memory stays flat and no byte is lost.
func TestLongLine(t *testing.T) {
	long := strings.Repeat("x", 10<<20)
	for name, file := range map[string]string{
		"window": "AT\r\nOK\r\n" + long + "\r\nAT\r\n",
		"nmea":   strings.Repeat("$GPGGA,,,,,,0,,,,,,,,*66\r\n", 9) + long + "\r\n",
	} {
		s := open(t, file, name)
		total, most := 0, 0
		for _, r := range records(t, s) {
			total += strings.Count(r.Bytes, "x")
			most = max(most, len(r.Bytes))
		}
		if total != len(long) || most > pieceLimit+2 {
			t.Errorf("%s: %d bytes of %d, longest record %d", name, total, len(long), most)
		}
		if a := fmt.Sprint(s.Info().Assumed); !strings.Contains(a, "longer than 65536 bytes") {
			t.Errorf("%s: it is not said: %s", name, a)
		}
	}
	_, err := Open(strings.NewReader(long), "long.txt", Options{})
	var u *Unreadable
	if !errors.As(err, &u) || !strings.Contains(u.Why, "one line") {
		t.Errorf("one long line of nothing: %v", err)
	}
}

// endless is a recording without an end: only a streaming reader gets through the first records.
type endless struct{ line string }

func (e endless) Read(p []byte) (int, error) {
	n := 0
	for len(p)-n >= len(e.line) {
		n += copy(p[n:], e.line)
	}
	if n == 0 {
		n = copy(p, e.line[:len(p)])
	}
	return n, nil
}

func TestStreams(t *testing.T) {
	for _, line := range []string{"$GPGGA,,,,,,0,,,,,,,,*66\r\n", "AT\r\nOK\r\n", "10:15:00.000 > AT\n10:15:00.100 < OK\n"} {
		s, err := Open(endless{line}, "endless", Options{})
		if err != nil {
			t.Fatal(err)
		}
		for range 10000 {
			if _, err := s.Next(); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// What fails below is an error, not the end.
type failing struct{ n int }

func (f *failing) Read(p []byte) (int, error) {
	if f.n++; f.n > 2 {
		return 0, errors.New("unplugged")
	}
	return copy(p, strings.Repeat("AT\r\nOK\r\n", 8192)), nil
}

func TestReadFails(t *testing.T) {
	s, err := Open(&failing{}, "failing", Options{})
	for err == nil {
		_, err = s.Next()
	}
	if errors.Is(err, io.EOF) || !strings.Contains(err.Error(), "unplugged") {
		t.Errorf("got %v", err)
	}
}

func TestPair(t *testing.T) {
	cases := []struct{ name, controller, module, want string }{
		{"by time", "09:00:00.000 AT\n09:00:01.500 AT+CPIN?\n", "09:00:00.020 OK\n08:59:59.000 DEMO READY\n09:00:01.540 ERROR\n",
			`line 1: 0.000 > AT\r
line 1: 0.020 < OK\r\n
line 2: 0.020 < DEMO READY\r\n
line 2: 1.500 > AT+CPIN?\r
line 3: 1.540 < ERROR\r\n
`},
		{"by time, different starts", "[09:00:01.000] AT\n", "[09:00:00.500] DEMO READY\n[09:00:01.020] OK\n",
			`line 1: 0.000 < DEMO READY\r\n
line 1: 0.500 > AT\r
line 2: 0.520 < OK\r\n
`},
		{"by order, echo off", "AT\nAT+CSQ\nAT+CMGS=\"+12025550143\"\nhello^Z\nAT\n",
			"OK\n+CREG: 1\n+CSQ: 17,0\nOK\n> \n+CMGS: 12\nOK\n+CMTI: \"SM\",1\nOK\n",
			`line 1: 0.000000001 > AT\r
line 1: 0.000000002 < OK\r\n
line 2: 0.000000003 < +CREG: 1\r\n
line 2: 0.000000004 > AT+CSQ\r
line 3: 0.000000005 < +CSQ: 17,0\r\n
line 4: 0.000000006 < OK\r\n
line 3: 0.000000007 > AT+CMGS="+12025550143"\r
line 5: 0.000000008 < \r\n>\x20
line 4: 0.000000009 > hello\x1a
line 6: 0.00000001 < +CMGS: 12\r\n
line 7: 0.000000011 < OK\r\n
line 8: 0.000000012 < +CMTI: "SM",1\r\n
line 5: 0.000000013 > AT\r
line 9: 0.000000014 < OK\r\n
`},
		{"by order, echo on", "AT\r\nAT+CSQ\r\n", "DEMO READY\r\nAT\r\r\nOK\r\nAT+CSQ\r\r\n+CSQ: 17,0\r\n\r\nOK\r\n",
			`line 1: 0.000000001 > AT\r
line 1: 0.000000002 < DEMO READY\r\n
line 2: 0.000000003 < AT\r\r\n
line 3: 0.000000004 < OK\r\n
line 2: 0.000000005 > AT+CSQ\r
line 4: 0.000000006 < AT+CSQ\r\r\n
line 5: 0.000000007 < +CSQ: 17,0\r\n
line 6: 0.000000008 < \r\n
line 7: 0.000000009 < OK\r\n
`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s, err := OpenPair(strings.NewReader(c.controller), strings.NewReader(c.module), Options{})
			if err != nil {
				t.Fatal(err)
			}
			var b strings.Builder
			for _, r := range records(t, s) {
				describe(&b, r)
			}
			if b.String() != c.want {
				t.Errorf("got\n%s\nwant\n%s\nassumed %q", b.String(), c.want, s.Info().Assumed)
			}
			if info := s.Info(); info.Kind != "pair" || !info.DirectionsKnown || info.TimesKnown == strings.HasPrefix(c.name, "by order") || len(info.Assumed) == 0 {
				t.Errorf("info %+v", info)
			}
		})
	}
	_, err := OpenPair(strings.NewReader("AT\n"), strings.NewReader(""), Options{})
	var u *Unreadable
	if !errors.As(err, &u) || u.Name != "the module's file" {
		t.Errorf("an empty half: %v", err)
	}
}

// Escapes of .talk texts are undone to the very bytes.
func TestEscapeRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes"))
		got, err := unescapeTalk(EscapeTalk(in))
		if err != nil || got != in {
			t.Fatalf("%q became %q, %v", in, got, err)
		}
		if strings.ContainsAny(EscapeTalk(in), "\r\n") {
			t.Fatalf("a line end in %q", EscapeTalk(in))
		}
	})
}

func TestParseTalk(t *testing.T) {
	talk, err := ParseTalk(strings.NewReader("Why it is there,\nin two lines.\n\n@ began 2026-03-04T10:15:00Z\n0.100 > AT\\r\n^ rule-one: a \\d+ pattern: with a colon\n^ two: .\n\n0.2 < \\r\\nO\\x4b\\r\\n\\0\\\\\n9.2 = line-lost\n"))
	if err != nil {
		t.Fatal(err)
	}
	if talk.Intro != "Why it is there,\nin two lines." || talk.Info.Began != "2026-03-04T10:15:00Z" || !talk.Info.TimesKnown {
		t.Errorf("intro %q info %+v", talk.Intro, talk.Info)
	}
	want := []Expectation{{1, "rule-one", `a \d+ pattern: with a colon`, 6}, {1, "two", ".", 7}}
	if fmt.Sprint(talk.Expectations) != fmt.Sprint(want) {
		t.Errorf("expectations %v", talk.Expectations)
	}
	if len(talk.Records) != 3 || talk.Records[1].Bytes != "\r\nOK\r\n\x00\\" || talk.Records[1].SourceLine != 9 || talk.Records[2].Event != "line-lost" {
		t.Errorf("records %+v", talk.Records)
	}
}

// What does not fit is an error that names the line.
func TestParseTalkStrict(t *testing.T) {
	for text, line := range map[string]int{
		"why\n\n0.1 > AT\\q\n":                 1 + 2,
		"why\n\n0.1 > AT\\x1\n":                3,
		"why\n\n0.1 > AT\\\n":                  3,
		"why\n\n0.1 >\n":                       3,
		"why\n\n0.1 ! AT\n":                    3,
		"why\n\n0.2 > AT\n0.1 < OK\n":          4,
		"why\n\n^ rule: x\n":                   3,
		"why\n\n0.1 > AT\n^ rule\n":            4,
		"why\n\n0.1 > AT\n@ times unknown\n":   4,
		"why\n\n@ colour blue\n":               3,
		"why\n\nsomething\n":                   3,
		"why\n\n1e3 > AT\n":                    3,
		"why\n\n0.1 =  \n":                     3,
		"0.1 > AT\n0.2 >AT\n":                  2,
		"why\n\n0.1 > AT\n# no comments are\n": 4,
	} {
		_, err := ParseTalk(strings.NewReader(text))
		var te *TalkError
		if !errors.As(err, &te) || te.Line != line {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// FuzzOpen: whatever the file, no panic, records in order, and what was read is
// all there: each byte of a raw recording comes out once.
func FuzzOpen(f *testing.F) {
	files, _ := filepath.Glob("testdata/in/*")
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(b), uint8(0))
		f.Add(string(b), uint8(1))
		f.Add(string(b), uint8(2))
	}
	kinds := []string{"", "window", "stamped", "nmea", "talk", "capture"}
	f.Fuzz(func(t *testing.T, file string, kind uint8) {
		s, err := Open(strings.NewReader(file), "fuzz", Options{Kind: kinds[int(kind)%len(kinds)]})
		if err != nil {
			var u *Unreadable
			if !errors.As(err, &u) {
				t.Fatalf("not an Unreadable: %v", err)
			}
			return
		}
		n, lastLine, all := 0, 0, ""
		var last capture.Record
		for {
			r, err := s.Next()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				var te *TalkError
				var le *capture.LineError
				if errors.As(err, &te) || errors.As(err, &le) {
					return
				}
				t.Fatal(err)
			}
			n++
			if r.Number != n || r.SourceLine < lastLine || s.Info().Kind != "capture" && r.At < last.At {
				t.Fatalf("record %d: %+v after %+v", n, r, last)
			}
			if r.Bytes == "" && r.Event == "" && s.Info().Kind != "capture" {
				t.Fatalf("record %d is empty", n)
			}
			last, lastLine = r, r.SourceLine
			all += r.Bytes
		}
		if s.Info().Kind == "nmea" && len(all) < len(file) && !strings.HasPrefix(file, "\ufeff") && len(s.Info().Assumed) < 3 {
			t.Fatalf("%d bytes of %d", len(all), len(file))
		}
		if s.Info().Kind == "window" && n == 0 && strings.TrimSpace(strings.Trim(file, "\x00\ufeff")) != "" {
			t.Fatalf("nothing came of %q", file)
		}
	})
}

func FuzzPair(f *testing.F) {
	f.Add("AT\nAT+CSQ\n", "OK\n+CSQ: 17,0\nOK\n")
	f.Add("09:00:00.000 AT\n", "09:00:00.020 OK\n")
	f.Add("AT+CMGS=\"+12025550143\"\rhello^Z\r", "> \r\n+CMGS: 12\r\n\r\nOK\r\n")
	f.Fuzz(func(t *testing.T, controller, module string) {
		s, err := OpenPair(strings.NewReader(controller), strings.NewReader(module), Options{})
		if err != nil {
			return
		}
		var last capture.Record
		for i, r := range records(t, s) {
			if r.Number != i+1 || r.At < last.At {
				t.Fatalf("%+v after %+v", r, last)
			}
			last = r
		}
		s.Info()
	})
}

func bench(b *testing.B, file string) {
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	for b.Loop() {
		s, err := Open(strings.NewReader(file), "bench", Options{})
		for err == nil {
			_, err = s.Next()
		}
	}
}

const rmc = "$GPRMC,101530.00,A,5142.61260,N,00018.44160,W,0.012,,040326,,,A*6F"

// Enough: 200 MB/s, so that opening is a small part of a review of 1 GB in 10 s.
func BenchmarkSentences(b *testing.B) { bench(b, strings.Repeat(rmc+"\r\n", 100000)) }

// Enough: 100 MB/s, for the same reason; most of such a window is sentences.
func BenchmarkWindow(b *testing.B) {
	bench(b, strings.Repeat("AT+CSQ\r\n+CSQ: 17,0\r\n\r\nOK\r\n"+strings.Repeat(rmc+"\r\n", 10), 10000))
}

// Enough: 100 MB/s, for the same reason.
func BenchmarkStamped(b *testing.B) {
	bench(b, strings.Repeat("2026-03-04 10:15:00.000 > AT+CSQ\n2026-03-04 10:15:00.010 < +CSQ: 17,0\n2026-03-04 10:15:00.011 < OK\n"+
		strings.Repeat("2026-03-04 10:15:00.100 < "+rmc+"\n", 10), 10000))
}
