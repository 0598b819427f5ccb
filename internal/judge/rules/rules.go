// Package rules is the list of all rules. One folder per rule; each holds the
// rule and, in testdata, a dialogue where it fires and one where it is silent.
//
// # Where to start
//
// Read [All], then any folder.
package rules

import (
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules/bareerror"
	"firstfix/internal/judge/rules/cardmissing"
	"firstfix/internal/judge/rules/denied"
	"firstfix/internal/judge/rules/fewtries"
	"firstfix/internal/judge/rules/flapping"
	"firstfix/internal/judge/rules/neverregisters"
	"firstfix/internal/judge/rules/notready"
	"firstfix/internal/judge/rules/pinwanted"
	"firstfix/internal/judge/rules/restartload"
	"firstfix/internal/judge/rules/servicecentre"
	"firstfix/internal/judge/rules/settingslost"
	"firstfix/internal/judge/rules/smsprompt"
	"firstfix/internal/judge/rules/statusfield"
	"firstfix/internal/judge/rules/weaksignal"
)

// All is every rule, in the order of the chain: line, module, card, network,
// messages, positions.
var All = []*rulebook.Rule{
	// supply
	restartload.Rule,
	settingslost.Rule,
	// line
	// dialogue
	smsprompt.Rule,
	bareerror.Rule,
	// card
	notready.Rule,
	cardmissing.Rule,
	pinwanted.Rule,
	fewtries.Rule,
	// network
	weaksignal.Rule,
	neverregisters.Rule,
	denied.Rule,
	statusfield.Rule,
	flapping.Rule,
	// messages
	servicecentre.Rule,
}
