package controller

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// every pin of the part.
func allPins() []Pin {
	var pins []Pin
	for _, port := range "BCD" {
		for bit := range 8 {
			pins = append(pins, PinOf(byte(port), bit))
		}
	}
	return pins
}

// lockstep runs one image in two ways, cut at random places and with the same edges
// on a pin, and wants the same events and the same state throughout.
func lockstep(t *testing.T, image string, a, b Options, until Cycle, seed uint64, noisy ...Pin) (x, y *Core) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 3))
	x, y = start(t, image, a), start(t, image, b)
	both := []*Core{x, y}
	for _, c := range both {
		c.Watch(allPins()...)
		for _, p := range noisy {
			c.Drive(p, High, 0)
		}
	}
	edge := Cycle(1_000_000)
	for now := Cycle(0); now < until; {
		step := Cycle(1 + r.IntN(2_000_000))
		if r.IntN(4) == 0 {
			step = Cycle(1 + r.IntN(300))
		}
		now += step
		for len(noisy) > 0 && edge < now+100_000 {
			p, d := noisy[r.IntN(len(noisy))], Low+Drive(r.IntN(2))
			for _, c := range both {
				if err := c.Drive(p, d, edge); err != nil {
					t.Fatal(err)
				}
			}
			edge += Cycle(1 + r.IntN(60_000))
		}
		stopX, eventsX := x.Run(now, nil)
		stopY, eventsY := y.Run(now, nil)
		if stopX != stopY {
			t.Fatalf("%v and %v", stopX, stopY)
		}
		if !slices.Equal(eventsX, eventsY) {
			t.Fatalf("cycle %d: events differ: %s", now, firstDifference(eventsX, eventsY))
		}
		if !sameState(t, x, y) {
			t.Fatalf("cycle %d", now)
		}
		if stopX.Final() {
			break
		}
	}
	return x, y
}

func firstDifference(a, b []Event) string {
	for i := range max(len(a), len(b)) {
		switch {
		case i >= len(a):
			return fmt.Sprintf("%d: nothing and %+v", i, b[i])
		case i >= len(b):
			return fmt.Sprintf("%d: %+v and nothing", i, a[i])
		case a[i] != b[i]:
			return fmt.Sprintf("%d: %+v and %+v", i, a[i], b[i])
		}
	}
	return "none"
}

// TestSkippingIsInvisible runs every image with waits skipped and without, fast and
// plain, with quiet and with noisy pins.
func TestSkippingIsInvisible(t *testing.T) {
	for _, row := range []struct {
		image string
		until Cycle
		noisy []Pin
		least float64 // the share that must have been skipped
	}{
		{"waits.hex", 40_000_000, nil, 0.9},
		{"waits.hex", 24_000_000, []Pin{PinOf('D', 0)}, 0.5},
		{"bitbang.hex", 24_000_000, nil, 0},
		{"bitbang.hex", 12_000_000, []Pin{PinOf('D', 2)}, 0},
		{"compute.hex", 3_000_000, nil, 0},
	} {
		for seed, slow := range []Options{{SkipNothing: true, StallMS: -1}, {Plain: true, StallMS: -1}} {
			until := row.until
			if slow.Plain {
				until /= 8
			}
			x, _ := lockstep(t, row.image, Options{StallMS: -1}, slow, until, uint64(seed), row.noisy...)
			if share := float64(x.Skipped) / float64(x.Now()); share < row.least && !slow.Plain {
				t.Errorf("%s: only %.0f %% of the time were skipped; want %.0f", row.image, 100*share, 100*row.least)
			}
		}
	}
}

// TestCuttingDoesNotMatter runs once in one piece and once in many.
func TestCuttingDoesNotMatter(t *testing.T) {
	for _, image := range []string{"waits.hex", "bitbang.hex"} {
		r := rand.New(rand.NewPCG(2, 2))
		whole, cut := start(t, image, Options{StallMS: -1}), start(t, image, Options{StallMS: -1})
		const life = 20_000_000
		whole.Watch(allPins()...)
		cut.Watch(allPins()...)
		_, events := whole.Run(life, nil)
		var pieces []Event
		for cut.Now() < whole.Now() {
			_, pieces = cut.Run(min(whole.Now(), cut.Now()+Cycle(1+r.IntN(1<<(4+r.IntN(18))))), pieces)
		}
		if !slices.Equal(events, pieces) {
			t.Errorf("%s: %s", image, firstDifference(events, pieces))
		}
		sameState(t, whole, cut)
	}
}
