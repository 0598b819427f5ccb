package epoch

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"firstfix/internal/wire/nmea"
)

// drive is what a receiver of two systems says in so many seconds of a drive, once a second:
// RMC VTG GGA GSA×2 GSV×5 GLL, in the form of version 4.1.
func drive(seconds int) []string {
	r := rand.New(rand.NewPCG(4, 11))
	var out []string
	lat, lon := 51.7102, -0.3074
	for t := range seconds {
		clock := fmt.Sprintf("%02d%02d%02d.00", 10+t/3600, t/60%60, t%60)
		lat, lon = lat+(r.Float64()-0.4)*2e-4, lon+(r.Float64()-0.4)*2e-4
		a, o := nmea.Latitude(lat, 5), nmea.Longitude(lon, 5)
		at := fmt.Sprintf("%s,%c,%s,%c", a.Text, a.Side, o.Text, o.Side)
		knots, course := r.Float64()*25, r.Float64()*360
		out = append(out,
			nmea.Format("GNRMC", clock, "A", at, fmt.Sprintf("%.3f,%.2f,040326,,,A,V", knots, course)),
			nmea.Format("GNVTG", fmt.Sprintf("%.2f,T,,M,%.3f,N,%.3f,K,A", course, knots, knots*1.852)),
			nmea.Format("GNGGA", clock, at, fmt.Sprintf("1,%02d,%.2f,%.1f,M,45.7,M,,", 6+r.IntN(7), 0.7+r.Float64(), 60+r.Float64()*60)),
			nmea.Format("GNGSA,A,3,01,02,03,04,06,07,08,09,,,,,1.80,0.92,1.55,1"),
			nmea.Format("GNGSA,A,3,65,66,67,,,,,,,,,,1.80,0.92,1.55,2"))
		view := func(talker string, first, sentences int) {
			for g := range sentences {
				text := ""
				for k := range 4 {
					text += fmt.Sprintf(",%02d,%02d,%03d,%02d", first+g*4+k, r.IntN(90), r.IntN(360), 18+r.IntN(30))
				}
				out = append(out, nmea.Format(talker+"GSV", fmt.Sprintf("%d,%d,%02d%s,1", sentences, g+1, sentences*4, text)))
			}
		}
		view("GP", 1, 3)
		view("GL", 65, 2)
		out = append(out, nmea.Format("GNGLL", at, clock, "A,A"))
	}
	return out
}

// Enough: 100 MB/s with scanning, at most seven allocations to an epoch.
func BenchmarkAssembleHour(b *testing.B) {
	lines := drive(3600)
	var bytes int64
	for _, line := range lines {
		bytes += int64(len(line))
	}
	b.SetBytes(bytes)
	b.ReportAllocs()
	var s nmea.Sentence
	var out []*Epoch
	epochs := 0
	for b.Loop() {
		a := New()
		for i, line := range lines {
			_ = nmea.Scan(line, &s)
			out = a.Add(Source{Record: i, Text: line}, &s, out[:0])
			epochs += len(out)
		}
		out = a.End(out[:0])
		epochs += len(out)
	}
	if epochs != 3600*b.N {
		b.Fatalf("%d epochs in %d hours", epochs, b.N)
	}
}

// An epoch costs its own allocation and that of its sky.
func TestAllocations(t *testing.T) {
	lines := drive(100)
	scanned := make([]nmea.Sentence, len(lines))
	for i, line := range lines {
		if err := nmea.Scan(line, &scanned[i]); err != nil {
			t.Fatal(err)
		}
	}
	a := New()
	out := make([]*Epoch, 0, 1)
	n := testing.AllocsPerRun(10, func() {
		for i := range scanned {
			out = a.Add(Source{Record: i, Text: lines[i]}, &scanned[i], out[:0])
		}
	})
	if perEpoch := n / 100; perEpoch > 2.1 {
		t.Errorf("%.2f allocations to an epoch", perEpoch)
	}
}
