package main

import (
	"fmt"
	"testing"

	"firstfix/internal/virtual/world"
)

// brokenFirst says which link check must name first in each world: written by
// hand from what the fault does. "" is for a world in which everything holds.
var brokenFirst = map[string]string{
	"healthy":             "",
	"restart-on-transmit": "supply",
	"wrong-speed":         "line",
	"no-card":             "card", "pin-wanted": "card", "pin-blocked-soon": "card", "card-contact": "card",
	"weak-signal": "network", "never-registers": "network", "registration-denied": "network", "flapping": "network",
	"no-service-centre": "messages", "blank-texts": "messages", "store-full": "messages",
	"antennas-swapped": "sky", "indoor-sky": "sky", "engine-silent": "sky",
}

// TestWorlds lets check walk every built-in world, with several seeds: the
// planted cause must rank first, the right link must break first, and a healthy
// world must be clean.
func TestWorlds(t *testing.T) {
	seeds := 5
	if testing.Short() {
		seeds = 1
	}
	for _, e := range world.Builtin() {
		w := e.World()
		link, known := brokenFirst[w.Name]
		if !known {
			t.Errorf("world %s: say in worlds_test.go which link it breaks", w.Name)
			continue
		}
		for seed := range seeds {
			t.Run(fmt.Sprintf("%s/%d", w.Name, seed), func(t *testing.T) {
				t.Parallel()
				v, status := runJSON(t, "check", "--world", w.Name, "--seed", fmt.Sprint(w.Seed+uint64(seed)*1000))
				if w.Truth == "none" {
					clean(t, v, status)
					return
				}
				if status != statusFound {
					t.Errorf("exit status %d, want %d", status, statusFound)
				}
				if len(v.Causes) == 0 || v.Causes[0].Cause != w.Truth {
					t.Errorf("planted %s, ranked %+v; %s", w.Truth, v.Causes, v.Headline)
				}
				for _, l := range v.Chain {
					if l.State == "broken" {
						if l.Link != link {
							t.Errorf("the first broken link is %s, want %s: %s", l.Link, link, v.Headline)
						}
						return
					}
				}
				t.Errorf("no link is broken; want %s", link)
			})
		}
	}
}
