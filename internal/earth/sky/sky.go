// Package sky says what is above a place and when, and what that is worth.
//
// # What it promises
//
// Satellites come from the nominal constellation, which needs no file and gives the
// right geometry but no real satellite's place, or from an almanac, which is good for some
// weeks around its date. Nothing here reads a clock: the time is an argument. What an
// almanac's reader could not read is returned beside what it could.
//
// # What it leaves to others
//
// What a receiver really hears is told by its sentences, see earth/fix. Drawing is the work
// of draw.
//
// # Where to start
//
// Read [Constellation.Above]; then [OverDay] for a day's geometry, [Expect] for first fixes,
// and [ReadAlmanac].
package sky
