package bringup

// Causes are all causes, in the order of the chain. They are values in
// causes_<group>.go; a test compares.
var Causes = []*Cause{
	// supply
	supplySags, supplyWrong, brownOutOfController,
	// line
	moduleOff, wiring, wrongSpeed, noCommonGround, levelMismatch, wrongLineEnd, stuckInText, moduleHangs, echoConfusion,
	// what the controller does
	overlapCause, earlyTextCause, textNotEnded, settingsLost, tooEarly, failureIgnored,
	// card
	noCard, cardContact, pinWanted, pukWanted, lockedDevice,
	// network
	radioSwitchedOff, weakSignal, cellularAntennaMissing, antennasSwapped, neverRegisters, registrationDenied, subscriptionInactive, registrationFlaps, statusMisread,
	// messages
	noServiceCentre, blankTextParameters, characterSet, storeFull, wrongTextMode, networkTrouble, ownTextLoop, numberForm, arrivalsUnseen,
	// positions
	noSky, gnssAntennaMissing, engineOff, sentencesDamaged, dateRollover, voidFixUsed, staleFixUsed, numberNotPrinted, degreesAsDecimals, hemisphereLost, latLonSwapped, digitsLost,
}
