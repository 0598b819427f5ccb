package bringup_test

import (
	"fmt"
	"io"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"firstfix/internal/judge/bringup"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/intake"
	"firstfix/internal/when"
)

// A day is what passes the line of a tracker that does all at once: ten fixes a
// second, a look at signal and registration every ten seconds, a question and its
// answer by text every ten minutes. It is written in one of the shapes in which
// recordings come, as far as somebody reads: it is never in memory as a whole.
// The seed is fixed: the same day each time.
type day struct {
	shape  string
	hz     int
	chance *rand.Rand
	ms     int // since the day began, of the next fix
	setup  bool
	file   *capture.Writer // of the shapes that are captures
	out    []byte          // written and not yet read
	body   []byte          // a sentence being built
	left   int64           // bytes to write, roughly
}

func newDay(shape string, hz int, bytes int64) *day {
	d := &day{shape: shape, hz: hz, chance: rand.New(rand.NewPCG(7, 2026)), ms: 10_000, left: bytes}
	if shape == "capture" || shape == "chunks" {
		d.file, _ = capture.NewWriter(d, capture.Info{Began: "2026-03-04T00:00:00Z", Baud: 115200, TimesKnown: true, DirectionsKnown: true})
	}
	return d
}

// Read writes as much of the day as is asked for.
func (d *day) Read(p []byte) (int, error) {
	for len(d.out) < len(p) && d.left > 0 {
		n := len(d.out)
		d.moment()
		d.left -= int64(len(d.out) - n)
	}
	n := copy(p, d.out)
	d.out = d.out[:copy(d.out, d.out[n:])]
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

// say writes bytes that one side sends at a time.
func (d *day) say(ms int, from byte, text string) {
	switch d.shape {
	case "nmea":
		if text[0] == '$' {
			d.out = append(d.out, text...)
		}
	case "window":
		d.out = append(d.out, strings.ReplaceAll(strings.TrimSuffix(text, "\r"), "\r\n", "\n")...)
		if from == '>' {
			d.out = append(d.out, '\n')
		}
	case "stamped":
		for line := range strings.SplitSeq(strings.Trim(text, "\r\n"), "\r\n") {
			if line != "" {
				d.out = appendStamp(d.out, ms)
				if from == '>' {
					d.out = append(d.out, " TX: "...)
				} else {
					d.out = append(d.out, " RX: "...)
				}
				d.out = append(append(d.out, strings.ReplaceAll(line, "\x1a", "<SUB>")...), '\n')
			}
		}
	case "chunks": // as a program reads the line every ten milliseconds
		for text != "" {
			n := min(len(text), 16+d.chance.IntN(100))
			d.record(ms, from, text[:n])
			text = text[n:]
			ms++
		}
	default:
		d.record(ms, from, text)
	}
}

func (d *day) record(ms int, from byte, text string) {
	r := capture.Record{At: when.Instant(ms) * when.Millisecond, From: capture.Module, Bytes: text}
	if from == '>' {
		r.From = capture.Controller
	}
	_ = d.file.Write(r) // writing to memory does not fail
}

// Write takes what the capture's writer has to say.
func (d *day) Write(b []byte) (int, error) {
	d.out = append(d.out, b...)
	return len(b), nil
}

func appendStamp(b []byte, ms int) []byte {
	s := ms / 1000
	return fmt.Appendf(b, "2026-03-%02d %02d:%02d:%02d.%03d", 4+s/86400, s/3600%24, s/60%60, s%60, ms%1000)
}

// sentence says a sentence with its checksum.
func (d *day) sentence(ms int, format string, a ...any) {
	d.body = append(d.body[:0], '$')
	d.body = fmt.Appendf(d.body, format, a...)
	var sum byte
	for _, c := range d.body[1:] {
		sum ^= c
	}
	d.body = fmt.Appendf(d.body, "*%02X\r\n", sum)
	d.say(ms, '<', string(d.body))
}

func (d *day) ask(ms int, command, answer string) {
	d.say(ms, '>', command+"\r")
	d.say(ms+30, '<', "\r\n"+answer+"\r\n")
}

// moment writes what belongs to one fix.
func (d *day) moment() {
	if !d.setup {
		for i, c := range []string{"ATE0", "AT+CMEE=1", "AT+CMGF=1", `AT+CSCS="GSM"`, "AT+CSMP=49,167,0,0", "AT+CNMI=2,2,0,1,0"} {
			d.ask(1000+200*i, c, "OK")
		}
		d.setup = true
	}
	ms := d.ms
	d.ms += 1000 / d.hz
	s := ms / 1000
	clock := fmt.Sprintf("%02d%02d%02d.%02d", s/3600%24, s/60%60, s%60, ms/10%100)
	lat, lon := 18.44120+d.chance.Float64()*2e-4, 37.22900+d.chance.Float64()*2e-4
	place := fmt.Sprintf("52%08.5f,N,008%08.5f,E", lat, lon)
	d.sentence(ms+60, "GNRMC,%s,A,%s,0.0,,%02d0326,,,A", clock, place, 4+s/86400)
	d.sentence(ms+62, "GNGGA,%s,%s,1,08,1.1,61.3,M,45.2,M,,", clock, place)
	d.sentence(ms+64, "GNVTG,,T,,M,0.0,N,0.0,K,A")
	if ms%1000 != 0 {
		return
	}
	d.sentence(ms+66, "GNGSA,A,3,02,05,12,18,25,29,31,06,,,,,2.0,1.1,1.6")
	d.sentence(ms+68, "GPGSV,2,1,08,02,71,118,%d,05,38,254,41,12,22,043,37,18,55,301,44", 40+d.chance.IntN(6))
	d.sentence(ms+70, "GPGSV,2,2,08,25,64,067,45,29,19,190,35,31,12,330,33,06,30,160,40")
	if s%10 == 0 {
		d.ask(ms+75, "AT+CSQ", fmt.Sprintf("+CSQ: %d,0\r\n\r\nOK", 15+d.chance.IntN(6)))
	}
	if s%10 == 5 {
		d.ask(ms+75, "AT+CREG?", "+CREG: 0,1\r\n\r\nOK")
	}
	if s%600 == 599 && d.hz > 0 {
		d.say(ms+72, '<', "\r\n+CMT: \"+447700900123\",,\"26/03/04,10:15:30+00\"\r\nWHERE\r\n")
		d.say(ms+73, '>', "AT+CMGS=\"+447700900123\"\r")
		d.say(ms+73, '<', "\r\n> ")
		d.say(ms+74, '>', fmt.Sprintf("T07 %.6f,%.6f\x1a", 52+lat/60, 8+lon/60))
		d.say(ms+99, '<', "\r\n+CMGS: 4\r\n\r\nOK\r\n")
	}
}

// heapWatch notes the highest heap while it is read from.
type heapWatch struct {
	r    io.Reader
	next int64
	read int64
	peak uint64
}

func (h *heapWatch) Read(p []byte) (int, error) {
	n, err := h.r.Read(p)
	h.read += int64(n)
	if h.read >= h.next {
		h.next = h.read + 1<<20
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		h.peak = max(h.peak, m.HeapInuse)
	}
	return n, err
}

func reviewDay(tb testing.TB, r io.Reader, list []*rulebook.Rule) *verdict.Verdict {
	tb.Helper()
	src, err := intake.Open(r, "day", intake.Options{})
	if err != nil {
		tb.Fatal(err)
	}
	v, err := bringup.Review(src, bringup.Options{Rules: list})
	if err != nil {
		tb.Fatal(err)
	}
	return v
}

var dayShapes = []string{"capture", "chunks", "stamped", "window", "nmea"}

// piece is a part of a day in memory, for what measures the review alone.
func piece(tb testing.TB, shape string, hz int, bytes int64) []byte {
	tb.Helper()
	b, err := io.ReadAll(newDay(shape, hz, bytes))
	if err != nil {
		tb.Fatal(err)
	}
	return b
}

// Enough: 100 MB/s, so that a day of a line at 115200 bit/s (1 GB of log) takes
// 10 s on one core; peak-heap-MB under 64.
func BenchmarkReviewDay(b *testing.B) {
	for _, shape := range dayShapes {
		for _, hz := range []int{1, 10} {
			b.Run(fmt.Sprintf("%s-%dHz", shape, hz), func(b *testing.B) {
				text := string(piece(b, shape, hz, 8<<20))
				b.SetBytes(int64(len(text)))
				b.ReportAllocs()
				var peak uint64
				for b.Loop() {
					w := &heapWatch{r: strings.NewReader(text)}
					reviewDay(b, w, rules.All)
					peak = max(peak, w.peak)
				}
				b.ReportMetric(float64(peak-min(peak, uint64(len(text))))/(1<<20), "peak-heap-MB")
			})
		}
	}
}

// TestDayIsHealthy: a benchmark that spends its time on findings measures nothing.
func TestDayIsHealthy(t *testing.T) {
	for _, shape := range dayShapes {
		v := reviewDay(t, newDay(shape, 10, 4<<20), rules.All)
		for _, f := range v.Findings {
			t.Errorf("%s: %s: %s (%q)", shape, f.Rule, f.Message, f.Evidence[0].Text)
		}
		if v.Counts.Epochs < 1000 || v.Counts.Garbled+v.Counts.Stray > 0 || shape != "nmea" && v.Counts.Messages < 2 {
			t.Errorf("%s: %+v", shape, v.Counts)
		}
	}
}

// TestDayTakesFlatMemory: whatever the length, the heap stays under the 64 MiB of
// the design. It counts and does not measure time; the race detector, under which
// all is ten times slower, gets a shorter day.
func TestDayTakesFlatMemory(t *testing.T) {
	const most = 64 << 20
	for _, c := range []struct {
		shape string
		bytes int64
	}{{"stamped", 200 << 20}, {"capture", 30 << 20}, {"chunks", 30 << 20}, {"window", 30 << 20}, {"nmea", 30 << 20}} {
		t.Run(c.shape, func(t *testing.T) {
			if raceDetector {
				c.bytes /= 10
			}
			runtime.GC()
			w := &heapWatch{r: newDay(c.shape, 10, c.bytes)}
			v := reviewDay(t, w, rules.All)
			if w.read < c.bytes*9/10 {
				t.Errorf("only %d bytes of the day were read", w.read)
			}
			if w.peak > most {
				t.Errorf("after %d bytes the heap took %d MiB; want at most %d", w.read, w.peak>>20, most>>20)
			}
			t.Logf("%d MiB read, %d records, heap at most %.1f MiB", w.read>>20, v.Counts.Records, float64(w.peak)/(1<<20))
		})
	}
}
