package capture

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"firstfix/internal/when"

	"pgregory.net/rapid"
)

func readAll(t testing.TB, file string) ([]Record, Info, error) {
	t.Helper()
	r, err := NewReader(strings.NewReader(file))
	if err != nil {
		return nil, Info{}, err
	}
	var all []Record
	var first error
	for {
		rec, err := r.Next()
		if errors.Is(err, io.EOF) {
			return all, r.Info(), first
		}
		if err != nil {
			if first == nil {
				first = err
			}
			var le *LineError
			if !errors.As(err, &le) {
				return all, r.Info(), err
			}
			continue
		}
		all = append(all, rec)
	}
}

const head = `{"firstfix":"capture","version":1,"began":"2026-03-04T10:15:00Z","line":{"baud":9600,"frame":"8N1"}}` + "\n"

// The example of docs/formats/capture.md.
func TestReadExample(t *testing.T) {
	got, info, err := readAll(t, head+`{"t":0.125,"from":"controller","text":"AT\r"}
{"t":0.131,"from":"module","hex":"0d0a4f4b0d0a"}

{"t":9.2,"event":"line-lost"}
`)
	if err != nil {
		t.Fatal(err)
	}
	want := []Record{
		{Number: 1, SourceLine: 2, At: 125 * when.Millisecond, From: Controller, Bytes: "AT\r"},
		{Number: 2, SourceLine: 3, At: 131 * when.Millisecond, From: Module, Bytes: "\r\nOK\r\n"},
		{Number: 3, SourceLine: 5, At: 9200 * when.Millisecond, Event: "line-lost"},
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %v\nwant %v", got, want)
	}
	if info.Kind != "capture" || info.Began != "2026-03-04T10:15:00Z" || info.Baud != 9600 || info.Frame != "8N1" ||
		!info.TimesKnown || !info.DirectionsKnown {
		t.Errorf("info %+v", info)
	}
}

// A torn last line is a note; a bad line in the middle is a record that says so.
func TestReadDamaged(t *testing.T) {
	got, info, err := readAll(t, head+`{"t":1.000,"from":"module","text":"OK\r\n"}
{"t":2.000,"from":"module","te
{"t":"x","from":"module","text":"OK"}
{"t":3.000,"from":"nobody","text":"OK"}
{"t":3.000,"from":"module","hex":"0x"}
{"t":3.000,"from":"module","hex":"00","text":"OK"}
{"t":4.000,"from":"module","text":"still here"}
{"t":5.000,"from":"mod`)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 7 || got[6].Bytes != "still here" || got[6].SourceLine != 8 {
		t.Fatalf("got %v", got)
	}
	for i := 1; i < 6; i++ {
		if !strings.HasPrefix(got[i].Event, fmt.Sprintf("unreadable line %d: ", i+2)) {
			t.Errorf("line %d: %q", i+2, got[i].Event)
		}
	}
	if len(info.Assumed) != 1 || !strings.Contains(info.Assumed[0], "line, 9, is torn") {
		t.Errorf("assumed %q", info.Assumed)
	}
}

func TestReadUnknownKey(t *testing.T) {
	got, _, err := readAll(t, head+`{"t":1.000,"from":"module","txet":"OK"}
{"t":2.000,"from":"module","text":"OK"}
`)
	var le *LineError
	if !errors.As(err, &le) || le.Line != 2 || !strings.Contains(le.Error(), `"text"`) {
		t.Errorf("error %v", err)
	}
	if len(got) != 1 {
		t.Errorf("did not go on: %v", got)
	}
	newer := strings.Replace(head, `"version":1`, `"version":2,"colour":"blue"`, 1)
	got, info, err := readAll(t, newer+`{"t":1.000,"from":"module","text":"OK","mood":3}`+"\n")
	if err != nil || len(got) != 1 || len(info.Assumed) != 1 {
		t.Errorf("a newer version: %v %v %v", got, info.Assumed, err)
	}
}

func TestReadNoCapture(t *testing.T) {
	for _, file := range []string{"", "\n", "AT\r\n", `{"firstfix":"capture"}` + "\n", `{"version":1}`, "{}", `{"firstfix":"capture","version":1,"colour":2}` + "\n"} {
		_, _, err := readAll(t, file)
		var le *LineError
		if !errors.As(err, &le) || le.Line != 1 {
			t.Errorf("%q: %v", file, err)
		}
	}
}

func TestReadLongLine(t *testing.T) {
	file := head + `{"t":1.000,"from":"module","text":"` + strings.Repeat("a", 2*lineLimit) + "\"}\n" + `{"t":2.000,"from":"module","text":"OK"}` + "\n"
	got, _, err := readAll(t, file)
	if err != nil || len(got) != 2 || !strings.Contains(got[0].Event, "unreadable line 2: longer") || got[1].Bytes != "OK" {
		t.Errorf("%d records, %v", len(got), err)
	}
}

func recordGen() *rapid.Generator[Record] {
	return rapid.Custom(func(t *rapid.T) Record {
		r := Record{At: when.Instant(rapid.Int64Range(0, 1e18).Draw(t, "at"))}
		if rapid.IntRange(0, 5).Draw(t, "kind") == 0 {
			r.Event = rapid.SampledFrom([]string{"line-lost", "line-found", "speed 9600", "note: \"näher\" \\ \t am Fenster"}).Draw(t, "event")
			return r
		}
		r.From = Direction(rapid.IntRange(0, 2).Draw(t, "from"))
		r.Bytes = rapid.OneOf(
			rapid.SampledFrom([]string{"AT\r", "\r\nOK\r\n", "\r\n> ", "hello\x1a", "caf\u00e9", "\u2028", "\ufeff", "\"\\/", "\x7f", "a\xffb"}),
			rapid.Map(rapid.SliceOfN(rapid.Byte(), 1, 60), func(b []byte) string { return string(b) }),
		).Draw(t, "bytes")
		return r
	})
}

// What is written is read back to the byte and the nanosecond, secrets apart,
// and a file cut anywhere gives the records that were whole.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		info := Info{Kind: "capture", Began: "2026-03-04T10:15:00Z", Baud: 115200, Frame: "8N1",
			TimesKnown: rapid.Bool().Draw(t, "times"), DirectionsKnown: rapid.Bool().Draw(t, "directions")}
		records := rapid.SliceOfN(recordGen(), 0, 8).Draw(t, "records")
		var file bytes.Buffer
		w, err := NewWriter(&file, info)
		if err != nil {
			t.Fatal(err)
		}
		var m Masker
		for i := range records {
			if err := w.Write(records[i]); err != nil {
				t.Fatal(err)
			}
			records[i] = m.Mask(records[i])
			records[i].Number, records[i].SourceLine = i+1, i+2
		}
		text := file.String()
		cutAt := rapid.IntRange(strings.IndexByte(text, '\n')+1, len(text)).Draw(t, "cut")
		r, err := NewReader(strings.NewReader(text[:cutAt]))
		if err != nil {
			t.Fatal(err)
		}
		whole := strings.Count(text[:cutAt], "\n") - 1
		for i := 0; ; i++ {
			got, err := r.Next()
			if errors.Is(err, io.EOF) {
				if i < whole {
					t.Fatalf("%d records of %d", i, whole)
				}
				break
			}
			if err != nil || got != records[i] {
				t.Fatalf("record %d: got %+v, %v\nwant %+v", i+1, got, err, records[i])
			}
		}
		if got := r.Info(); got.Began != info.Began || got.Baud != info.Baud || got.TimesKnown != info.TimesKnown || got.DirectionsKnown != info.DirectionsKnown {
			t.Fatalf("info %+v", got)
		}
	})
}

// countingWriter fails when a record is written in pieces.
type countingWriter struct{ writes []string }

func (c *countingWriter) Write(b []byte) (int, error) {
	c.writes = append(c.writes, string(b))
	return len(b), nil
}

func TestWriteOnePerRecord(t *testing.T) {
	var c countingWriter
	w, err := NewWriter(&c, Info{TimesKnown: true, DirectionsKnown: true})
	if err != nil {
		t.Fatal(err)
	}
	long := strings.Repeat("x", pieceLimit+1)
	for _, r := range []Record{{From: Controller, Bytes: "AT+CPIN=12"}, {From: Controller, Bytes: "34\r"}, {From: Module, Bytes: long}} {
		if err := w.Write(r); err != nil {
			t.Fatal(err)
		}
	}
	want := []string{
		`{"firstfix":"capture","version":1}` + "\n",
		`{"t":0.000,"from":"controller","text":"AT+CPIN=**"}` + "\n",
		`{"t":0.000,"from":"controller","text":"**\r"}` + "\n",
		`{"t":0.000,"from":"module","text":"` + long[1:] + `"}` + "\n",
		`{"t":0.000,"from":"module","text":"x"}` + "\n",
	}
	if fmt.Sprint(c.writes) != fmt.Sprint(want) {
		t.Errorf("writes %.200q", c.writes)
	}
}

func FuzzReader(f *testing.F) {
	f.Add(head + `{"t":0.125,"from":"controller","text":"AT\r"}` + "\n" + `{"t":0.131,"from":"module","hex":"0d0a4f4b0d0a"}` + "\n" + `{"t":9.2,"event":"line-lost"}`)
	f.Add(head + `{"t":1,"from":"unknown","text":"\u0041\ud83d\ude9c"}` + "\n{\n\n[]\n" + `{"t":1e3,"from":"module","text":"x"}`)
	f.Add(`{"firstfix":"capture","version":9,"x":{"y":[1]}}` + "\n")
	f.Fuzz(func(t *testing.T, file string) {
		records, info, err := readAll(t, file)
		if err != nil {
			return
		}
		// What was read can be written and read again to the same.
		var again bytes.Buffer
		w, err := NewWriter(&again, info)
		if err != nil {
			t.Fatal(err)
		}
		var m Masker
		for i := range records {
			if err := w.Write(records[i]); err != nil {
				t.Fatal(err)
			}
			records[i] = m.Mask(records[i])
			records[i].Event = strings.ToValidUTF8(records[i].Event, "\ufffd")
			records[i].SourceLine = i + 2
		}
		back, _, err := readAll(t, again.String())
		if err != nil || len(back) != len(records) {
			t.Fatalf("%d records became %d: %v", len(records), len(back), err)
		}
		for i := range back {
			if back[i] != records[i] && records[i].Event == "" {
				t.Fatalf("record %d: %+v became %+v", i+1, records[i], back[i])
			}
		}
	})
}

// Enough: 200 MB/s of capture file, so that reading is a small part of a review
// of 1 GB in 10 s.
func BenchmarkRead(b *testing.B) {
	var file bytes.Buffer
	w, _ := NewWriter(&file, Info{TimesKnown: true, DirectionsKnown: true})
	for i := range 10000 {
		_ = w.Write(Record{At: when.Instant(i) * 20 * when.Millisecond, From: Module, Bytes: "$GPRMC,101530.00,A,5142.61260,N,00018.44160,W,0.012,,040326,,,A*6F\r\n"})
	}
	b.SetBytes(int64(file.Len()))
	b.ReportAllocs()
	for b.Loop() {
		r, err := NewReader(bytes.NewReader(file.Bytes()))
		for err == nil {
			_, err = r.Next()
		}
	}
}

// Enough: 200 MB/s of capture file; a line at 921600 baud gives 0.1 MB/s.
func BenchmarkWrite(b *testing.B) {
	r := Record{At: 1234567890, From: Module, Bytes: "$GPRMC,101530.00,A,5142.61260,N,00018.44160,W,0.012,,040326,,,A*6F\r\n"}
	w, _ := NewWriter(io.Discard, Info{TimesKnown: true, DirectionsKnown: true})
	b.SetBytes(int64(len(appendRecord(nil, &r))))
	b.ReportAllocs()
	for b.Loop() {
		_ = w.Write(r)
	}
}
