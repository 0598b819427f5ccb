// Package rulebook says what a rule is, hands it the dialogue, and collects
// what it finds.
//
// # What it promises
//
// A rule is a plain value. It sees a stream, once, in order, and keeps only
// what it must: the same rules run on a pasted window, on a gigabyte and on a
// line that is still talking. A rule cannot report without evidence.
//
// # What it leaves to others
//
// What the last known settings are, whether the module restarted, which text
// carried which position: judge/witness keeps that for all rules.
//
// # Where to start
//
// Read [Rule] and [Pass], then any folder under judge/rules.
package rulebook

import (
	"firstfix/internal/judge/finding"
)

// Rule is one thing that should hold in a dialogue.
type Rule struct {
	Name     string // the folder's name; never reused for another meaning
	Title    string // small letters, what is wrong: "message text sent before the prompt"
	Severity finding.Severity
	Cites    []string // standard and clause, or "common practice, no source"
	Doc      string   // for a learner: what should happen, why, what to do
	Silent   string   // when the rule stays silent on purpose
	Remedy   string   // one sentence: what to change
	// OneDevice says that the rule compares what was said at different times, and
	// so says nothing about a recording in which several devices talk.
	OneDevice bool
	Watch     func(p *Pass)
}
