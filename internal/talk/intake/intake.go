// Package intake reads whatever recording of a line a person has, and says
// what it had to assume.
//
// # What it promises
//
// [Open] looks at the first bytes and picks an importer: a capture file, a
// pasted terminal window, a log with time stamps, two one-direction files, raw
// GNSS sentences, the fixture text of docs/formats/talk-text.md. It streams: memory
// stays flat whatever the size. Bytes are never dropped silently.
//
// # Where to start
//
// Read [Open].
package intake
