package sms

import (
	"strings"
	"testing"
	"time"
)

// fullText is 160 septets of what a tracker sends.
var fullText = strings.Repeat("trailer 07 52.10023,6.88111 ok. ", 5)

// bareSeptets is fullText before packing.
func bareSeptets(tb testing.TB) []byte {
	septets, stopped := Shift{}.AppendSeptets(nil, fullText)
	if stopped >= 0 || len(septets) != 160 {
		tb.Fatalf("%d septets, stopped at %d", len(septets), stopped)
	}
	return septets
}

// barePack is the least that any writer must do: 160 septets into 140 octets, one
// by one.
func barePack(dst *[140]byte, septets []byte) {
	acc, bits, n := uint(0), uint(0), 0
	for _, s := range septets {
		acc |= uint(s) << bits
		bits += 7
		if bits >= 8 {
			dst[n] = byte(acc)
			n++
			acc >>= 8
			bits -= 8
		}
	}
}

// bareTime is how long barePack takes in this run.
func bareTime(tb testing.TB, septets []byte) time.Duration {
	const rounds = 20000
	var out [140]byte
	best := time.Hour
	for range 5 {
		start := time.Now()
		for range rounds {
			barePack(&out, septets)
		}
		best = min(best, time.Since(start)/rounds)
	}
	if out[0] == 0 {
		tb.Fatal("nothing was packed")
	}
	return best
}

// Enough: a SUBMIT of 160 characters written in four times the time of the bare
// packing loop of the same run, with one allocation (the hex).
func BenchmarkEncodeSubmit(b *testing.B) {
	bare := bareTime(b, bareSeptets(b))
	s := Submit{To: NewAddress("+12025550143"), Validity: ValidOctet(167), Text: fullText}
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		if _, n, err := s.Encode(); err != nil || n != 154 {
			b.Fatal(n, err)
		}
	}
	report(b, bare)
}

// Enough: the same SUBMIT read in four times the time of the bare packing loop of
// the same run, with one allocation (number and text).
func BenchmarkDecodeSubmit(b *testing.B) {
	bare := bareTime(b, bareSeptets(b))
	hex, _, err := Submit{To: NewAddress("+12025550143"), Validity: ValidOctet(167), Text: fullText}.Encode()
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		p, err := Decode(hex, ToNetwork)
		if err != nil || len(p.Data.Text) != 160 {
			b.Fatal(p.Data.Text, err)
		}
	}
	report(b, bare)
}

// report prints the ratio that the budget speaks of.
func report(b *testing.B, bare time.Duration) {
	own := float64(b.Elapsed().Nanoseconds()) / float64(b.N)
	b.ReportMetric(own/float64(bare.Nanoseconds()), "x-bare-loop")
	b.ReportMetric(float64(bare.Nanoseconds()), "bare-ns")
}
