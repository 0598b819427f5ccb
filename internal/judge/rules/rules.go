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
	"firstfix/internal/judge/rules/batterylife"
	"firstfix/internal/judge/rules/batteryloop"
	"firstfix/internal/judge/rules/batterylow"
	"firstfix/internal/judge/rules/blanktext"
	"firstfix/internal/judge/rules/cardmissing"
	"firstfix/internal/judge/rules/cnmi"
	"firstfix/internal/judge/rules/codingunset"
	"firstfix/internal/judge/rules/controllerrestart"
	"firstfix/internal/judge/rules/deafmodule"
	"firstfix/internal/judge/rules/degreesminutes"
	"firstfix/internal/judge/rules/denied"
	"firstfix/internal/judge/rules/echoback"
	"firstfix/internal/judge/rules/fewdigits"
	"firstfix/internal/judge/rules/fewtries"
	"firstfix/internal/judge/rules/fixedwait"
	"firstfix/internal/judge/rules/flapping"
	"firstfix/internal/judge/rules/floatdigits"
	"firstfix/internal/judge/rules/gsmalphabet"
	"firstfix/internal/judge/rules/hardpoweroff"
	"firstfix/internal/judge/rules/heardnotused"
	"firstfix/internal/judge/rules/hemisphere"
	"firstfix/internal/judge/rules/impossiblejump"
	"firstfix/internal/judge/rules/lineend"
	"firstfix/internal/judge/rules/longtext"
	"firstfix/internal/judge/rules/lostzeros"
	"firstfix/internal/judge/rules/mergedsentences"
	"firstfix/internal/judge/rules/missingend"
	"firstfix/internal/judge/rules/neverregisters"
	"firstfix/internal/judge/rules/noanswer"
	"firstfix/internal/judge/rules/noheard"
	"firstfix/internal/judge/rules/noreport"
	"firstfix/internal/judge/rules/notready"
	"firstfix/internal/judge/rules/numberformat"
	"firstfix/internal/judge/rules/offunasked"
	"firstfix/internal/judge/rules/onlyecho"
	"firstfix/internal/judge/rules/overlap"
	"firstfix/internal/judge/rules/pinwanted"
	"firstfix/internal/judge/rules/promptunseen"
	"firstfix/internal/judge/rules/radiooff"
	"firstfix/internal/judge/rules/reportrate"
	"firstfix/internal/judge/rules/resetimpatience"
	"firstfix/internal/judge/rules/restartfar"
	"firstfix/internal/judge/rules/restartload"
	"firstfix/internal/judge/rules/restartloop"
	"firstfix/internal/judge/rules/searchabort"
	"firstfix/internal/judge/rules/secretsinlog"
	"firstfix/internal/judge/rules/sentencesum"
	"firstfix/internal/judge/rules/servicecentre"
	"firstfix/internal/judge/rules/sessionrefused"
	"firstfix/internal/judge/rules/settingslost"
	"firstfix/internal/judge/rules/shortwait"
	"firstfix/internal/judge/rules/sleeploss"
	"firstfix/internal/judge/rules/smsprompt"
	"firstfix/internal/judge/rules/stalefix"
	"firstfix/internal/judge/rules/statusfield"
	"firstfix/internal/judge/rules/storefull"
	"firstfix/internal/judge/rules/straylf"
	"firstfix/internal/judge/rules/supplyvoltage"
	"firstfix/internal/judge/rules/swallowed"
	"firstfix/internal/judge/rules/swappedaxes"
	"firstfix/internal/judge/rules/textloop"
	"firstfix/internal/judge/rules/ucs2hex"
	"firstfix/internal/judge/rules/unchecked"
	"firstfix/internal/judge/rules/unprinted"
	"firstfix/internal/judge/rules/voidfix"
	"firstfix/internal/judge/rules/voltagedrop"
	"firstfix/internal/judge/rules/watchdogshort"
	"firstfix/internal/judge/rules/weaksignal"
	"firstfix/internal/judge/rules/weekrollover"
	"firstfix/internal/judge/rules/wentsilent"
	"firstfix/internal/judge/rules/wrongmode"
	"firstfix/internal/judge/rules/wrongspeed"
)

// All is every rule, in the order of the chain: supply, line, dialogue, card,
// network, messages, positions.
var All = []*rulebook.Rule{
	// supply
	restartload.Rule,
	restartloop.Rule,
	supplyvoltage.Rule,
	settingslost.Rule,
	hardpoweroff.Rule,
	batterylow.Rule,
	batterylife.Rule,
	voltagedrop.Rule,
	restartfar.Rule,
	batteryloop.Rule,
	offunasked.Rule,
	controllerrestart.Rule,
	watchdogshort.Rule,
	// line
	wrongspeed.Rule,
	lineend.Rule,
	straylf.Rule,
	onlyecho.Rule,
	echoback.Rule,
	noanswer.Rule,
	wentsilent.Rule,
	deafmodule.Rule,
	sleeploss.Rule,
	// dialogue
	overlap.Rule,
	shortwait.Rule,
	fixedwait.Rule,
	unchecked.Rule,
	bareerror.Rule,
	secretsinlog.Rule,
	// card
	notready.Rule,
	cardmissing.Rule,
	pinwanted.Rule,
	fewtries.Rule,
	// network
	radiooff.Rule,
	weaksignal.Rule,
	neverregisters.Rule,
	denied.Rule,
	statusfield.Rule,
	flapping.Rule,
	searchabort.Rule,
	resetimpatience.Rule,
	sessionrefused.Rule,
	// messages
	smsprompt.Rule,
	promptunseen.Rule,
	missingend.Rule,
	swallowed.Rule,
	wrongmode.Rule,
	servicecentre.Rule,
	numberformat.Rule,
	blanktext.Rule,
	codingunset.Rule,
	gsmalphabet.Rule,
	longtext.Rule,
	noreport.Rule,
	ucs2hex.Rule,
	cnmi.Rule,
	storefull.Rule,
	textloop.Rule,
	reportrate.Rule,
	// positions
	noheard.Rule,
	heardnotused.Rule,
	sentencesum.Rule,
	mergedsentences.Rule,
	weekrollover.Rule,
	impossiblejump.Rule,
	voidfix.Rule,
	stalefix.Rule,
	degreesminutes.Rule,
	hemisphere.Rule,
	swappedaxes.Rule,
	lostzeros.Rule,
	floatdigits.Rule,
	fewdigits.Rule,
	unprinted.Rule,
}
