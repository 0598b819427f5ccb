package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"firstfix/internal/virtual/world"
)

// brokenFirst says which link check must name first in each world whose planted
// fault it must rank first: written by hand from what the fault does. "" is for
// a world in which everything holds. All other worlds stand in weakFirst or in
// beyondCauses.
var brokenFirst = map[string]string{
	"healthy":             "",
	"restart-on-transmit": "supply", "supply-low": "supply", "capacitor-dry": "supply",
	"wrong-speed": "line", "module-deaf": "line",
	"hangs":   "module",
	"no-card": "card", "pin-wanted": "card", "pin-blocked-soon": "card", "card-contact": "card", "network-lock": "card", "device-lock": "card",
	"weak-signal": "network", "never-registers": "network", "registration-denied": "network", "flapping": "network", "radio-left-off": "network",
	"no-service-centre": "messages", "blank-texts": "messages", "store-full": "messages", "no-texts": "messages", "data-only": "messages", "congestion": "messages",
	"antennas-swapped": "sky", "indoor-sky": "sky", "gnss-antenna-missing": "sky", "gnss-antenna-short": "sky", "engine-silent": "sky",
}

// weakFirst are worlds whose cause must rank first though it breaks no link:
// "~line" is a link that is weak, "-" none.
var weakFirst = map[string]string{"damaged-sentences": "~line", "merged-sentences": "-", "week-rollover": "-"}

// TestWorlds lets check walk every built-in world that it has a cause for, with
// several seeds: the planted cause must rank first, the right link must break
// first, and a healthy world must be clean.
func TestWorlds(t *testing.T) {
	seeds := 5
	if testing.Short() {
		seeds = 1
	}
	for _, e := range world.Builtin() {
		w := e.World()
		link, known := brokenFirst[w.Name]
		if !known {
			link, known = weakFirst[w.Name]
		}
		if !known {
			if _, beyond := beyondCauses[w.Name]; !beyond {
				t.Errorf("world %s: say in worlds_test.go which link it breaks, or in worlds_beyond_test.go how it shows", w.Name)
			}
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
				if got := firstTrouble(v); got != link {
					t.Errorf("the first link in trouble is %s, want %s: %s", got, link, v.Headline)
				}
			})
		}
	}
}

// firstTrouble is the first broken link; "~" and the first weak one when none is
// broken; "-" when all hold.
func firstTrouble(v reviewed) string {
	for _, state := range []string{"broken", "weak"} {
		for _, l := range v.Chain {
			if l.State == state {
				return strings.Repeat("~", truthOf(state == "weak")) + l.Link
			}
		}
	}
	return "-"
}

func truthOf(b bool) int {
	if b {
		return 1
	}
	return 0
}

// TestEveryWorldIsHeld: no world stands in both tables, and none of them names a
// world that is not there.
func TestEveryWorldIsHeld(t *testing.T) {
	names := worldNames()
	for name := range weakFirst {
		if _, both := brokenFirst[name]; both || !slices.Contains(names, name) {
			t.Errorf("%s: in both tables, or no world", name)
		}
	}
	for name := range brokenFirst {
		if _, both := beyondCauses[name]; both || !slices.Contains(names, name) {
			t.Errorf("%s: in both tables, or no world", name)
		}
	}
	for name := range beyondCauses {
		if !slices.Contains(names, name) {
			t.Errorf("%s is no world", name)
		}
	}
}
