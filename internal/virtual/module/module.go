// Package module is a cellular and GNSS module made of software: it listens,
// answers, registers, fixes and fails.
//
// # What it promises
//
// A [Module] is a machine without hands: bytes and time in, bytes out, chance
// from a seed. Everything it does is simulated, and it says so when asked for
// its identity. It shares the spelling (wire) and the ruler (earth) with the
// judge, and nothing else.
//
// # Where to start
//
// Read [Module.Feed].
package module
