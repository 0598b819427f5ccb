package main

import (
	"bytes"
	"testing"
)

// Enough: a whole check on the stand-in, minutes of simulated time, in 200 ms;
// with the start of the process it must stay under a second.
func BenchmarkCheck(b *testing.B) {
	for _, world := range []string{"healthy", "antennas-swapped"} {
		b.Run(world, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				var out, errs bytes.Buffer
				run([]string{"check", "--world", world}, &streams{Out: &out, Err: &errs})
				if errs.Len() > 0 {
					b.Fatal(errs.String())
				}
			}
		})
	}
}
