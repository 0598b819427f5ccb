package world

import (
	"embed"

	"firstfix/internal/yamlfile"
)

//go:embed worlds/*.yaml
var builtinFiles embed.FS

// builtinNames lists the built-in worlds in the order of the chain from supply
// to position. A test compares it with the folder worlds/.
var builtinNames = []string{
	"healthy",
	"restart-on-transmit",
	"wrong-speed",
	"no-card", "pin-wanted", "pin-blocked-soon", "card-contact",
	"weak-signal", "never-registers", "registration-denied", "flapping",
	"no-service-centre", "blank-texts", "store-full",
	"antennas-swapped", "indoor-sky", "engine-silent",
}

// Entry is one built-in world.
type Entry struct {
	Name   string
	Source []byte // the file as it stands in worlds/, with its comments
}

// Builtin returns the built-in worlds, in the order of the chain from supply to
// position, the healthy one first.
func Builtin() []Entry {
	all := make([]Entry, len(builtinNames))
	for i, name := range builtinNames {
		all[i] = entry(name)
	}
	return all
}

func entry(name string) Entry {
	src, err := builtinFiles.ReadFile("worlds/" + name + ".yaml")
	if err != nil {
		panic("world: a built-in world is listed and not there: " + name)
	}
	return Entry{Name: name, Source: src}
}

// World reads the entry. The built-in worlds are proved good by a test, so
// that an error here is a fault of this program.
func (e Entry) World() *World {
	w, err := Load("worlds/"+e.Name+".yaml", e.Source)
	if err != nil {
		panic(err)
	}
	return w
}

// Named returns a built-in world; false, and the nearest name, when there is none.
func Named(name string) (w *World, near string, ok bool) {
	for _, known := range builtinNames {
		if known == name {
			return entry(name).World(), name, true
		}
	}
	return nil, yamlfile.Nearest(name, builtinNames), false
}
