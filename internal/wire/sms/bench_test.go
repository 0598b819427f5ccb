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

// report prints how many times the bare loop work takes. Both are timed in turns and
// the best turn of each counts, so that a busy machine does not decide.
func report(b *testing.B, work func()) {
	septets := bareSeptets(b)
	var out [140]byte
	bare, own := time.Hour, time.Hour
	for range 15 {
		bare = min(bare, timed(func() { barePack(&out, septets) }))
		own = min(own, timed(work))
	}
	if out[0] == 0 {
		b.Fatal("nothing was packed")
	}
	b.ReportMetric(float64(own)/float64(bare), "x-bare-loop")
	b.ReportMetric(float64(bare.Nanoseconds())/rounds, "bare-ns")
}

const rounds = 5000

// timed is how long rounds calls take.
func timed(work func()) time.Duration {
	start := time.Now()
	for range rounds {
		work()
	}
	return time.Since(start)
}

// Enough: a SUBMIT of 160 characters written in four times the time of the bare
// packing loop of the same run, with one allocation (the hex).
func BenchmarkEncodeSubmit(b *testing.B) {
	m := Submit{To: NewAddress("+12025550143"), Validity: ValidOctet(167), Text: fullText}
	write := func() {
		if _, n, err := m.Encode(); err != nil || n != 154 {
			b.Fatal(n, err)
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		write()
	}
	report(b, write)
}

// Enough: the same SUBMIT read in four times the time of the bare packing loop of
// the same run, with one allocation (number and text).
func BenchmarkDecodeSubmit(b *testing.B) {
	hex, _, err := Submit{To: NewAddress("+12025550143"), Validity: ValidOctet(167), Text: fullText}.Encode()
	if err != nil {
		b.Fatal(err)
	}
	read := func() {
		if p, err := Decode(hex, ToNetwork); err != nil || len(p.Data.Text) != 160 {
			b.Fatal(p.Data.Text, err)
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		read()
	}
	report(b, read)
}

// TestOneAllocation holds the budget of both benchmarks: the string that comes out.
func TestOneAllocation(t *testing.T) {
	m := Submit{To: NewAddress("+12025550143"), Validity: ValidOctet(167), Text: fullText}
	hex, _, err := m.Encode()
	if err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(100, func() { _, _, _ = m.Encode() }); n > 1 {
		t.Errorf("%v allocations to write", n)
	}
	if n := testing.AllocsPerRun(100, func() { _, _ = Decode(hex, ToNetwork) }); n > 1 {
		t.Errorf("%v allocations to read", n)
	}
}
