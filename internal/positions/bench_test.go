package positions

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"time"

	"firstfix/internal/earth/track"
	"firstfix/internal/wire/nmea"
)

// drive is what a receiver says in so many seconds, once a second: RMC and GGA, 160 bytes,
// which makes 5 GB in a year; with more, also GSA, VTG, GLL and five GSV.
func drive(seconds int, more bool) []byte {
	r := rand.New(rand.NewPCG(4, 11))
	var b bytes.Buffer
	put := func(s string) { b.WriteString(s); b.WriteString("\r\n") }
	lat, lon := 51.7102, -0.3074
	for t := range seconds {
		clock := fmt.Sprintf("%02d%02d%02d.00", t/3600%24, t/60%60, t%60)
		lat, lon = lat+(r.Float64()-0.4)*2e-4, lon+(r.Float64()-0.4)*2e-4
		a, o := nmea.Latitude(lat, 5), nmea.Longitude(lon, 5)
		at := fmt.Sprintf("%s,%c,%s,%c", a.Text, a.Side, o.Text, o.Side)
		knots, course := r.Float64()*25, r.Float64()*360
		put(nmea.Format("GNRMC", clock, "A", at, fmt.Sprintf("%.3f,%.2f,040326,,,A,V", knots, course)))
		put(nmea.Format("GNGGA", clock, at, fmt.Sprintf("1,%02d,%.2f,%.1f,M,45.7,M,,", 6+r.IntN(7), 0.7+r.Float64(), 60+r.Float64()*60)))
		if !more {
			continue
		}
		put(nmea.Format("GNVTG", fmt.Sprintf("%.2f,T,,M,%.3f,N,%.3f,K,A", course, knots, knots*1.852)))
		put(nmea.Format("GNGSA,A,3,01,02,03,04,06,07,08,09,,,,,1.80,0.92,1.55,1"))
		for g := range 5 {
			sky := ""
			for k := range 4 {
				sky += fmt.Sprintf(",%02d,%02d,%03d,%02d", g*4+k+1, r.IntN(90), r.IntN(360), 18+r.IntN(30))
			}
			put(nmea.Format("GPGSV", fmt.Sprintf("5,%d,20%s,1", g+1, sky)))
		}
		put(nmea.Format("GNGLL", at, clock, "A,A"))
	}
	return b.Bytes()
}

// figures runs a stream through everything that makes figures.
func figures(r io.Reader, o Options) (*track.Figures, track.About, error) {
	src, err := Open(r, "f", o)
	if err != nil {
		return nil, track.About{}, err
	}
	v, p, m := track.NewSieve(track.Usual), track.NewPacer(0), track.NewMeter(track.Scale{})
	count := func(list []track.Judged) {
		for i := range list {
			m.Add(&list[i])
		}
	}
	var s track.Sighting
	var out []track.Judged
	for {
		if err = src.Next(&s); err != nil {
			break
		}
		out = v.Add(&s, out[:0])
		count(p.Add(out))
	}
	count(p.Add(v.End(out[:0])))
	count(p.End())
	if err == io.EOF {
		err = nil
	}
	return m.End(), src.About(), err
}

func exclusiveOr(b []byte) (sum byte) {
	for _, c := range b {
		sum ^= c
	}
	return sum
}

// Enough: 200 MB/s from sentences to figures on one core, whatever the receiver says, and
// within 25 times (x-xor) of merely XOR-ing the same bytes as one run: a sighting of 160
// bytes is scanned, grouped, judged, measured and looked at for stops in 0.8 µs.
func BenchmarkDay(b *testing.B) {
	const seconds = 12 * 3600 // half a day: making it takes a second
	for _, test := range []struct {
		name string
		more bool
	}{{"rmc-gga", false}, {"all-sentences", true}} {
		data := drive(seconds, test.more)
		b.Run(test.name, func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			var yardstick, work time.Duration
			sum := byte(0)
			n := 0
			for b.Loop() {
				began := b.Elapsed()
				sum ^= exclusiveOr(data)
				between := b.Elapsed()
				f, _, err := figures(bytes.NewReader(data), Options{})
				if err != nil || f.Kept != seconds {
					b.Fatal(err, f.Kept)
				}
				yardstick, work = yardstick+between-began, work+b.Elapsed()-between
				n++
			}
			if n%2 == 0 && sum != 0 {
				b.Fatal("an even number of equal sums is 0")
			}
			b.ReportMetric(work.Seconds()/yardstick.Seconds(), "x-xor")
			b.ReportMetric(float64(len(data))*float64(n)/work.Seconds()/1e6, "MB/s-net")
		})
	}
}

// endless repeats an hour with another date and time of day for as long as it is asked: a
// year without five gigabytes of file.
type endless struct {
	hour []byte
	left int
	at   int
}

func (e *endless) Read(p []byte) (int, error) {
	if e.at == len(e.hour) {
		if e.left--; e.left <= 0 {
			return 0, io.EOF
		}
		e.at = 0
	}
	n := copy(p, e.hour[e.at:])
	e.at += n
	return n, nil
}

// Memory stays flat: 40 times the bytes hold no more of the heap.
func TestFlatMemory(t *testing.T) {
	hour := drive(600, false)
	held := func(times int) (peak uint64) {
		src, err := Open(&endless{hour: hour, left: times}, "f", Options{})
		if err != nil {
			t.Fatal(err)
		}
		v, p, m := track.NewSieve(track.Usual), track.NewPacer(0), track.NewMeter(track.Scale{})
		var s track.Sighting
		var out []track.Judged
		for n := 0; src.Next(&s) == nil; n++ {
			out = v.Add(&s, out[:0])
			list := p.Add(out)
			for i := range list {
				m.Add(&list[i])
			}
			if n%2000 == 0 {
				var mem runtime.MemStats
				runtime.GC()
				runtime.ReadMemStats(&mem)
				peak = max(peak, mem.HeapAlloc)
			}
		}
		return peak
	}
	held(1)
	few, many := held(4), held(160)
	if many > few+1<<20 {
		t.Errorf("%d KB are held of four pieces, %d KB of forty times as many", few>>10, many>>10)
	}
}

func TestDriveIsRight(t *testing.T) {
	f, _, err := figures(strings.NewReader(string(drive(600, true))), Options{})
	if err != nil || f.Kept != 600 || f.Every.UsualS.Or(0) != 1 || f.SpanS.Or(0) != 599 {
		t.Errorf("%v %+v", err, f)
	}
}
