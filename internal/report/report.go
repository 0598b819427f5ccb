// Package report renders a verdict for a person: on a terminal and as one
// self-contained HTML page; and as JSON for a program.
//
// # Where to start
//
// Read [Text], [HTML] and [JSON].
package report
