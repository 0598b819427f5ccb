package main

import (
	"fmt"
	"os"
	"strings"

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
