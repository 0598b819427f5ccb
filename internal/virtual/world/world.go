// Package world says what the stand-in lives through: place, sky, coverage,
// supply, card, faults, in time.
//
// # What it promises
//
// A [World] is read from YAML (docs/formats/world.md) and gives the same life
// for the same seed. Each world states its truth: the fault that was planted.
//
// # Where to start
//
// Read [World], then worlds/healthy.yaml.
package world
