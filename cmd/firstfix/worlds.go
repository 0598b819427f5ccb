package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"

	"firstfix/internal/edge/pump"
	"firstfix/internal/virtual/cable"
	"firstfix/internal/virtual/module"
	"firstfix/internal/virtual/world"
)

// loadWorld finds a world: the name of a built-in one, or a file when the name
// looks like one (it has a dot or a slash).
func loadWorld(name string) (*world.World, error) {
	if strings.ContainsAny(name, "./\\") {
		src, err := os.ReadFile(name)
		if err != nil {
			return nil, &stop{Status: statusCannot, Err: fmt.Errorf("read the world: %w", err),
				Hints: []string{"firstfix world list names the built-in ones"}}
		}
		w, err := world.Load(name, src)
		if err != nil {
			return nil, &stop{Status: statusCannot, Err: err, Hints: []string{"docs/formats/world.md says what a world may hold"}}
		}
		return w, nil
	}
	w, _, ok := world.Named(name)
	if !ok {
		return nil, &stop{Status: statusCannot, Err: fmt.Errorf("there is no world %q", name),
			Hints: nearHints(name, worldNames(), "firstfix world list names them all")}
	}
	return w, nil
}

func worldNames() []string {
	var names []string
	for _, e := range world.Builtin() {
		names = append(names, e.Name)
	}
	return names
}

// standIn makes the module of a world with its cable, and the wire that joins it
// to a controller in simulated time. The same seed gives the same bytes.
func standIn(w *world.World, seed uint64, baud int) (*cable.Cable, pump.Wire) {
	lived := *w
	lived.Seed = seed
	m := module.New(&lived, rand.New(rand.NewPCG(seed, 1)))
	return cable.New(m, rand.New(rand.NewPCG(seed, 2))), pump.Wire{Baud: baud}
}
