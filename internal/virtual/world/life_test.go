package world

import (
	"testing"
	"time"

	"firstfix/internal/when"

	"pgregory.net/rapid"
)

func mustTime(t testing.TB) time.Time {
	t.Helper()
	at, err := time.Parse(time.RFC3339, "2026-03-04T10:15:00Z")
	if err != nil {
		t.Fatal(err)
	}
	return at
}

// TestChangesAreAnnounced: between two announced changes nothing changes, and a
// life that is asked at every step agrees with one that jumps from change to change.
func TestChangesAreAnnounced(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		every := rapid.IntRange(0, 20).Draw(t, "every_s")
		s := Scheduled{Fault: "no-card", AtS: float64(rapid.IntRange(0, 30).Draw(t, "at_s"))}
		if every > 0 {
			s.EveryS = float64(every)
			s.ForS = rapid.Float64Range(0.1, s.EveryS).Draw(t, "for_s")
			s.JitterS = rapid.Float64Range(0, s.EveryS-s.ForS).Draw(t, "jitter_s")
		}
		if rapid.Bool().Draw(t, "ends") {
			s.UntilS = s.AtS + float64(rapid.IntRange(1, 60).Draw(t, "length"))
		}
		w := &World{Conditions: Default(), Faults: []Scheduled{s}}
		seed := rapid.Uint64().Draw(t, "seed")
		jumping, steady := w.Begin(seed), w.Begin(seed)
		changes := 0
		for at := when.Instant(0); at < 120*when.Second; {
			next := jumping.NextChange(at)
			if next <= at {
				t.Fatalf("at %v the next change is at %v", at, next)
			}
			present := jumping.At(at).Card.Present
			for probe := at; probe < min(next, 120*when.Second); probe += 170 * when.Millisecond {
				if steady.At(probe).Card.Present != present {
					t.Fatalf("card %v at %v and %v at %v; the next change was to be at %v", present, at, !present, probe, next)
				}
			}
			if changes++; changes > 1000 {
				t.Fatalf("more than a thousand changes in two minutes")
			}
			at = next
		}
	})
}

// TestFaultsComeAndGo: a schedule, read by a person.
func TestFaultsComeAndGo(t *testing.T) {
	w := &World{Conditions: Default(), Faults: []Scheduled{
		{Fault: "no-card", AtS: 10, UntilS: 20},
		{Fault: "no-sky", AtS: 15, EveryS: 10, ForS: 2},
	}}
	l := w.Begin(7)
	for _, c := range []struct {
		atS    int
		card   bool
		view   string
		change int
	}{
		{0, true, "open", 10}, {10, false, "open", 15}, {15, false, "indoor", 17}, {18, false, "open", 20}, {20, true, "open", 25}, {26, true, "indoor", 27},
	} {
		at := when.Instant(c.atS) * when.Second
		now := l.At(at)
		if now.Card.Present != c.card || now.Sky.View != c.view {
			t.Errorf("at %d s: card %v, sky %s; want %v, %s", c.atS, now.Card.Present, now.Sky.View, c.card, c.view)
		}
		if got := l.NextChange(at); got != when.Instant(c.change)*when.Second {
			t.Errorf("at %d s the next change is said to be at %v; want %d", c.atS, got, c.change)
		}
	}
}

// TestSwappedAntennasHurtBoth, and a roof only the sky: the judge must be able
// to tell them apart, so the stand-in must.
func TestSwappedAntennasHurtBoth(t *testing.T) {
	measure := func(name string) (dBm, bestCN0 float64) {
		w, _, _ := Named(name)
		l := w.Begin(w.Seed)
		bestCN0 = -100
		for _, s := range l.Sky(60*when.Second, nil) {
			bestCN0 = max(bestCN0, s.CN0dBHz)
		}
		return l.SignalDBm(60 * when.Second), bestCN0
	}
	for _, c := range []struct {
		world            string
		leastDBm, mostDB float64 // level
		least, most      float64 // best C/N0
	}{
		{"healthy", -80, -60, 42, 50},
		{"weak-signal", -115, -100, 42, 50},
		{"indoor-sky", -80, -60, 18, 31},
		{"antennas-swapped", -104, -90, 10, 26},
	} {
		dBm, cn0 := measure(c.world)
		if dBm < c.leastDBm || dBm > c.mostDB {
			t.Errorf("%s: level %.1f dBm; want %g to %g", c.world, dBm, c.leastDBm, c.mostDB)
		}
		if cn0 < c.least || cn0 > c.most {
			t.Errorf("%s: best C/N0 %.1f; want %g to %g", c.world, cn0, c.least, c.most)
		}
	}
}
