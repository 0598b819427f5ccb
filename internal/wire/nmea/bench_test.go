package nmea

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// drive is what a receiver of two systems says in so many seconds of a drive, once a second:
// RMC VTG GGA GSA GSV×3 GLL, in the spelling of version 4.1 with fixed decimals.
func drive(seconds int) []string {
	r := rand.New(rand.NewPCG(4, 11))
	var out []string
	lat, lon := 51.7102, -0.3074
	for t := range seconds {
		clock := fmt.Sprintf("%02d%02d%02d.00", 10+t/3600, t/60%60, t%60)
		lat, lon = lat+(r.Float64()-0.4)*2e-4, lon+(r.Float64()-0.4)*2e-4
		a, o := Latitude(lat, 5), Longitude(lon, 5)
		at := fmt.Sprintf("%s,%c,%s,%c", a.Text, a.Side, o.Text, o.Side)
		knots, course := r.Float64()*25, r.Float64()*360
		out = append(out,
			Format("GNRMC", clock, "A", at, fmt.Sprintf("%.3f", knots), fmt.Sprintf("%.2f", course), "040326,,,A,V"),
			Format("GNVTG", fmt.Sprintf("%.2f,T,,M,%.3f,N,%.3f,K,A", course, knots, knots*1.852)),
			Format("GNGGA", clock, at, fmt.Sprintf("1,%02d,%.2f,%.1f,M,%.1f,M,,", 6+r.IntN(7), 0.7+r.Float64(), 60+r.Float64()*60, 45.7)),
			Format("GNGSA", fmt.Sprintf("A,3,04,05,09,12,24,25,29,31%s,%.2f,%.2f,%.2f,1", strings.Repeat(",", 4),
				1+r.Float64(), 0.7+r.Float64(), 0.8+r.Float64())))
		for g := range 3 {
			sky := ""
			for k := range 4 {
				cn0 := fmt.Sprintf("%02d", 18+r.IntN(30))
				if r.IntN(8) == 0 {
					cn0 = ""
				}
				sky += fmt.Sprintf(",%02d,%02d,%03d,%s", g*5+k+1, r.IntN(90), r.IntN(360), cn0)
			}
			out = append(out, Format("GPGSV", fmt.Sprintf("3,%d,12%s,1", g+1, sky)))
		}
		out = append(out, Format("GNGLL", at, clock, "A,A"))
	}
	return out
}

// An ear holds a record of each kind, as a listener does.
type ear struct {
	s   Sentence
	rmc RMC
	gga GGA
	gsa GSA
	gsv GSV
	gll GLL
	vtg VTG
}

func (e *ear) hear(text string) error {
	if err := Scan(text, &e.s); err != nil {
		return err
	}
	switch e.s.Type {
	case "RMC":
		return e.rmc.Decode(&e.s)
	case "GGA":
		return e.gga.Decode(&e.s)
	case "GSA":
		return e.gsa.Decode(&e.s)
	case "GSV":
		return e.gsv.Decode(&e.s)
	case "GLL":
		return e.gll.Decode(&e.s)
	case "VTG":
		return e.vtg.Decode(&e.s)
	}
	return fmt.Errorf("not for this ear: %q", text)
}

// exclusiveOr is the yardstick: a loop that XORs each byte and does nothing else.
func exclusiveOr(texts []string) (sum byte) {
	for _, text := range texts {
		for i := range len(text) {
			sum ^= text[i]
		}
	}
	return sum
}

// Enough: an hour of sentences scanned and decoded within 4 times (x-xor) of XOR-ing
// their bytes in the same run, without an allocation.
func BenchmarkDecodeHour(b *testing.B) {
	texts := drive(3600)
	var bytes int64
	for _, text := range texts {
		bytes += int64(len(text))
	}
	e := new(ear)
	sum := byte(0)
	var decoding time.Duration
	leastXOR, least := time.Duration(math.MaxInt64), time.Duration(math.MaxInt64) // the least disturbed pass of each
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N { // both in turn, so that a busy machine slows both
		began := b.Elapsed()
		sum ^= exclusiveOr(texts)
		between := b.Elapsed()
		for _, text := range texts {
			if err := e.hear(text); err != nil {
				b.Fatal(err)
			}
		}
		pass := b.Elapsed() - between
		leastXOR, least = min(leastXOR, between-began), min(least, pass)
		decoding += pass
	}
	if b.N%2 == 0 && sum != 0 || decoding <= 0 {
		b.Fatal("an even number of equal sums is 0")
	}
	b.ReportMetric(least.Seconds()/leastXOR.Seconds(), "x-xor")
	b.ReportMetric(float64(decoding.Nanoseconds())/float64(b.N), "ns/op")
	b.ReportMetric(float64(decoding.Nanoseconds())/float64(b.N)/float64(len(texts)), "ns/sentence")
	b.ReportMetric(float64(bytes)*float64(b.N)/decoding.Seconds()/1e6, "MB/s")
}
