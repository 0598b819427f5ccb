package bringup

// Causes are all causes, in the order of the chain. They are values in
// causes_<group>.go; a test compares.
var Causes = []*Cause{
	// supply
	supplySags, supplyWrong, lowBattery, overheats, brownOutOfController, watchdogBites, hardCuts, backFed, powerKey,
	// line
	moduleOff, wiring, controllerPort, wrongSpeed, noCommonGround, levelMismatch, softwareSerial, noiseWhileSending, wrongLineEnd, strayLineFeed,
	stuckInText, stuckInData, moduleHangs, flowControl, bufferTooSmall, otherMaster, portVanishes, openingResets, asleep,
	// what the controller does
	overlapCause, waitTooShort, noPauseBetween, earlyTextCause, promptNotSeen, textNotEnded, settingsLost, settingsReset, tooEarly, failureIgnored,
	echoConfusion, answerHalfRead, resultsWordless, reasonHidden, unknownCommand, lineTooMuch, quoteUnescaped, ownCommandCut,
	// card
	noCard, cardContact, pinWanted, pukWanted, lockedDevice,
	// network
	radioSwitchedOff, boundToOperator, weakSignal, cellularAntennaMissing, antennasSwapped, neverRegisters, searchCutShort, registrationDenied,
	subscriptionInactive, emergencyCallsOnly, dataOnlyCard, registrationFlaps, lossUnnoticed, hammering, statusMisread,
	// data
	accessPointWrong, wrongSession, contextLost, halfOpen, clockUnset, offTooSoon, serverRefuses, dataCall,
	// messages
	noServiceCentre, foreignServiceCentre, blankTextParameters, characterSet, foreignLetters, textTooLong, storeFull, wrongTextMode, networkTrouble,
	ownTextLoop, costRunsAway, numberForm, arrivalsUnseen, arrivesAsHex, callerUnseen,
	// positions
	noSky, gnssAntennaMissing, faintSky, sharedRadio, coldStarts, engineOff, sentencesDamaged, tooManySentences, dateRollover, positionJumps,
	voidFixUsed, staleFixUsed, numberNotPrinted, degreesAsDecimals, hemisphereLost, latLonSwapped, digitsLost,
}
