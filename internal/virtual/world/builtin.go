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
	// Supply.
	"restart-on-transmit", "supply-drift", "supply-low", "supply-high", "supply-gone", "cell-tired", "capacitor-dry", "heat", "power-key",
	// Line.
	"wrong-speed", "wrong-frame", "slow-to-train", "wires-crossed", "module-deaf", "noisy-ground", "burst-noise", "bytes-lost",
	"flow-characters", "flow-stall", "controller-buffer", "software-serial", "other-master", "boot-text", "start-noise",
	// The module's manners.
	"echo-stays", "numeric-results", "no-results", "sleeps", "breaks-in", "late-prompt", "lost-prompt", "deaf-after-prompt",
	"slow-answers", "slow-start", "hangs", "resets", "charset-left",
	// Card.
	"no-card", "pin-wanted", "pin-blocked-soon", "puk-wanted", "card-contact", "card-dead", "card-busy", "network-lock", "device-lock", "store-fails",
	// Network.
	"weak-signal", "cellular-antenna-missing", "never-registers", "network-switched-off", "registration-denied", "subscription-ended",
	"limited-service", "slow-registration", "roaming", "flapping", "registration-stuck", "cells-change", "radio-left-off", "deregistered",
	"no-network-time", "wrong-zone",
	// Texts.
	"no-service-centre", "centre-wrong", "blank-texts", "store-full", "no-texts", "data-only", "congestion", "centre-refuses", "quota",
	"texts-late", "texts-doubled", "texts-shuffled", "texts-lost", "reports-failed", "reports-missing", "indications-forgotten",
	"adverts", "flash-texts", "foreign-letters", "long-texts", "flood", "old-texts",
	// Calls and packet data.
	"no-voice", "caller-withheld", "caller-missing", "calls-repeat", "attach-refused", "context-refused", "context-dropped", "no-address",
	// Sky and position.
	"antennas-swapped", "indoor-sky", "gnss-antenna-missing", "gnss-antenna-short", "weak-sky", "half-sky", "jammed", "desensitised", "shared-radio",
	"engine-silent", "engine-stops", "cold-every-time", "week-rollover", "leap-seconds", "early-date", "no-date",
	"reflections", "false-signals", "frozen-position", "estimated-position", "void-filled",
	"damaged-sentences", "merged-sentences", "other-talkers", "too-fast",
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
