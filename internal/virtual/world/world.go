// Package world says what the stand-in lives through: place, sky, coverage,
// supply, card, faults, in time.
//
// # What it promises
//
// A [World] is read from YAML (docs/formats/world.md) and gives the same life
// for the same seed: [World.Begin] returns a [Life], which is asked what holds
// at an instant and when that changes next. Each world states its truth: the
// fault that was planted. Nothing here moves by itself and nothing reads a clock.
//
// # What it leaves to others
//
// How a module behaves under these conditions is the work of virtual/module.
// Whether anybody finds the planted fault is the work of those who never see
// this package.
//
// # Where to start
//
// Read [World], [Conditions] and [Life], then worlds/healthy.yaml.
package world

import (
	"time"

	"firstfix/internal/earth/sky"
	"firstfix/internal/yamlfile"
)

// World is one scenario: what holds from the start, and what goes wrong when.
type World struct {
	Name  string    `yaml:"name"`  // file name without .yaml; small letters and hyphens
	Title string    `yaml:"title"` // one line for a list
	Story string    `yaml:"story"` // what a person would have seen
	Truth string    `yaml:"truth"` // one of Truths
	Seed  uint64    `yaml:"seed"`  // used when the caller gives none
	Start time.Time `yaml:"start"` // date and time of day when the module gets power, RFC 3339

	Almanac string `yaml:"almanac"` // file of orbits, YUMA or SEM; "": the nominal constellation

	Conditions `yaml:",inline"`

	Route    []RoutePoint `yaml:"route"`    // empty: it stands at place
	Cells    []Cell       `yaml:"cells"`    // empty: coverage is the same everywhere
	Incoming Incoming     `yaml:"incoming"` // texts, calls and broadcasts from outside
	Faults   []Scheduled  `yaml:"faults"`

	read   *yamlfile.File     // where each key stood, for Validate; nil when built in code
	orbits *sky.Constellation // of the almanac; nil: the nominal constellation
}

// Fly puts the satellites of an almanac into the world. Whoever loads a world
// file reads the almanac that it names: nothing here opens files.
func (w *World) Fly(c *sky.Constellation) { w.orbits = c }
