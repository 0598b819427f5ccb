// Package bringup walks the chain: supply, line, module, card, network,
// messages, sky, fix, report. It says which link holds, which does not, what
// could be the cause and what to measure next.
//
// # What it promises
//
// The same checks judge a live line, the stand-in and a capture that already
// holds the answers. A link that was not reached says so.
//
// # Where to start
//
// Read [Check], then check_simcard.go.
package bringup
