package controller

import (
	"math/rand/v2"
	"testing"
)

// sameState compares everything that a program can see.
func sameState(t *testing.T, a, b *Core) bool {
	t.Helper()
	if a.stateLine() != b.stateLine() || a.data != b.data || a.raised != b.raised || a.enabled != b.enabled || a.asleep != b.asleep {
		t.Errorf("different:\n%s\n%s", a.stateLine(), b.stateLine())
		for i := range a.data {
			if a.data[i] != b.data[i] {
				t.Errorf("data 0x%04X: 0x%02X and 0x%02X", i, a.data[i], b.data[i])
				break
			}
		}
		return false
	}
	return true
}

// TestSprintIsPlain runs random programs the plain and the fast way, cut at random
// cycles, and wants the same state after every cut.
func TestSprintIsPlain(t *testing.T) {
	for seed := range uint64(30) {
		r := rand.New(rand.NewPCG(seed, 1))
		code := program(r, 3000)
		plain := load(t, code, Options{Plain: true, StallMS: -1})
		fast := load(t, code, Options{StallMS: -1})
		for until := Cycle(0); until < 60_000; {
			until += Cycle(1 + r.IntN(200))
			plain.Run(until, nil)
			fast.Run(until, nil)
			if !sameState(t, plain, fast) {
				t.Fatalf("seed %d, cycle %d", seed, until)
			}
		}
	}
}
