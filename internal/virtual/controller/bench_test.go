package controller

import "testing"

// emulate runs an image for a given time of the controller's and reports how many of
// its cycles pass in a second of ours.
func emulate(b *testing.B, image string, opts Options, cycles Cycle) {
	opts.StallMS = -1
	c := start(b, image, opts)
	var out []Event
	b.ReportAllocs()
	for b.Loop() {
		var stop Stop
		if stop, out = c.Run(c.Now()+cycles, out[:0]); stop.Final() {
			b.Fatal(stop)
		}
	}
	hz := float64(c.Now()) / b.Elapsed().Seconds()
	b.ReportMetric(hz/1e6, "MHz")
	b.ReportMetric(hz/16e6, "×life")
}

// Enough: 300 MHz, so that a controller that never waits lives at twenty times the
// speed of life on one core.
func BenchmarkCompute(b *testing.B) { emulate(b, "compute.hex", Options{}, 4_000_000) }

// Enough: 30 MHz; it is there to be compared with, and to follow a single instruction.
func BenchmarkComputePlain(b *testing.B) {
	emulate(b, "compute.hex", Options{Plain: true}, 400_000)
}

// Enough: a thousand times the speed of life, where the firmware waits in every way
// there is, with a tick each millisecond.
func BenchmarkWaits(b *testing.B) { emulate(b, "waits.hex", Options{}, 160_000_000) }

// Enough: 300 MHz with every delay run through, which is what a line that is worked bit
// by bit spends its time on.
func BenchmarkBitBangedThrough(b *testing.B) {
	emulate(b, "bitbang.hex", Options{SkipNothing: true}, 4_000_000)
}

// Enough: a thousand times the speed of life with a dialogue on the line.
func BenchmarkBitBangedDialogue(b *testing.B) {
	life := Cycle(0)
	for b.Loop() {
		c := start(b, "bitbang.hex", Options{StallMS: -1})
		answering(b, c, 160_000_000, 1)
		life += c.Now()
	}
	b.ReportMetric(float64(life)/16e6/b.Elapsed().Seconds(), "×life")
}

// Enough: ten milliseconds, so that three hundred lives of a matrix cost seconds to begin.
func BenchmarkLoad(b *testing.B) {
	m := firmware(b, "waits.hex")
	for b.Loop() {
		if err := New(ATmega328P(), Options{}).Load(m); err != nil {
			b.Fatal(err)
		}
	}
}
