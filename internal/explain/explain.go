// Package explain puts one line into plain words, field by field: a command,
// an answer, a sentence, a PDU, a coordinate.
//
// # Where to start
//
// Read [Text].
package explain
