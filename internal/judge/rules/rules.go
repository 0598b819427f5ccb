// Package rules is the list of all rules. One folder per rule; each holds the
// rule and, in testdata, a dialogue where it fires and one where it is silent.
//
// # Where to start
//
// Read [All], then any folder.
package rules

import "firstfix/internal/judge/rulebook"

// All is every rule, in the order of the chain: line, module, card, network,
// messages, positions.
var All = []*rulebook.Rule{}
