package bringup

// The card.

var noCard = &Cause{
	Name: "no-card", Title: "there is no card in the holder", Prior: 0.06,
	Signs:  []sign{{cardMissing, 0.97}, {cardSeen, 0.01}},
	Remedy: "Put a card in, the right way round, and close the holder.",
	Tests:  []test{otherCard.gives(0.95), pressHolder.gives(0.02), lamp.gives(0.03, 0.9, 0.02)},
}

var cardContact = &Cause{
	Name: "card-contact", Title: "the card loses contact in its holder", Prior: 0.03,
	Signs:  []sign{{cardLost, 0.85}, {cardMissing, 0.25}, {cardFailing, 0.3}, {cardSeen, 0.85}, {comesAndGoes, 0.4}},
	Remedy: "Clean the contacts, use a holder with firm springs, keep its wires short and away from the antenna; for vehicles take a soldered card.",
	Tests:  []test{pressHolder.gives(0.8), otherCard.gives(0.3), watchAnHour.gives(0.03, 0.9)},
}

var pinWanted = &Cause{
	Name: "pin-wanted", Title: "the card asks for its PIN", Prior: 0.05,
	Signs:  []sign{{wantsPIN, 0.98}, {wrongPIN, 0.3}},
	Remedy: "Give the PIN once, by hand, and better switch its question off (AT+CLCK=\"SC\",0 with the PIN). Never let a controller try a PIN twice: after three wrong ones the card wants its PUK.",
	Tests:  []test{givePIN.gives(0.9), otherCard.gives(0.8)},
}

var pukWanted = &Cause{
	Name: "puk-wanted", Title: "the card is blocked after wrong PINs", Prior: 0.02,
	Signs:  []sign{{wantsPUK, 0.98}, {wrongPIN, 0.6}},
	Remedy: "Unblock it in a phone with the PUK from the card's letter. Ten wrong PUKs end the card: do not guess.",
	Tests:  []test{cardInPhone.gives(0.95), otherCard.gives(0.95)},
}

var lockedDevice = &Cause{
	Name: "locked-device", Title: "module or card is locked to another network or device", Prior: 0.02,
	Signs:  []sign{{otherLock, 0.97}, {wantsPIN, 0.8}},
	Remedy: "Ask the seller of the module or of the card for the unlock; a card bound to another device works only there.",
	Tests:  []test{otherCard.gives(0.9), cardInPhone.gives(0.3), askPortal.gives(0.6)},
}

// The network.

var radioSwitchedOff = &Cause{
	Name: "radio-off", Title: "the radio or the search for networks is switched off", Prior: 0.02,
	Signs:  []sign{{radioOff, 0.97}, {notSearching, 0.8}, {neverIn, 0.95}},
	Remedy: "Set AT+CFUN=1 and AT+COPS=0 in the set-up.",
	Tests:  []test{automaticChoice.gives(0.95)},
}

var boundToOperator = &Cause{
	Name: "bound-to-operator", Title: "the module is bound to one operator that is not here", Prior: 0.015,
	Signs:  []sign{{manualChoice, 0.9}, {neverIn, 0.9}, {weakLevel, 0.05}, {deniedSeen, 0.2}},
	Remedy: "Set AT+COPS=0 in the set-up, and clear the card's list of forbidden networks if its operator agrees.",
	Tests:  []test{automaticChoice.gives(0.95), searchAll.gives(0.05)},
}

var weakSignal = &Cause{
	Name: "weak-signal", Title: "the place or the antenna gives too little signal", Prior: 0.08,
	Signs:  []sign{{weakLevel, 0.95}, {noLevel, 0.15}, {neverIn, 0.4}, {comesAndGoes, 0.3}, {noService, 0.2}, {goodSky, 0.75}, {nothingHeard, 0.03}, {heardFaintly, 0.05}},
	Remedy: "Move the antenna out of metal and up, use one made for the bands with its ground plane, keep its cable short; else another place or operator.",
	Tests: []test{toWindow.gives(0.75), phoneHere.gives(0.4), otherAntenna.gives(0.5), changeSockets.gives(0.02), searchAll.gives(0.3),
		lamp.gives(0.02, 0.55, 0.38)},
}

var cellularAntennaMissing = &Cause{
	Name: "cellular-antenna-missing", Title: "the cellular antenna is not connected", Prior: 0.04,
	Signs:  []sign{{noLevel, 0.6}, {weakLevel, 0.85}, {neverIn, 0.8}, {goodSky, 0.75}, {comesAndGoes, 0.05}, {noneFound, 0.8}},
	Remedy: "Put the antenna on its socket until it clicks, and look at the plug: a miniature plug opens easily.",
	Tests:  []test{otherAntenna.gives(0.97), phoneHere.gives(0.95), toWindow.gives(0.25), changeSockets.gives(0.1), searchAll.gives(0.85), lamp.gives(0.02, 0.9, 0.05)},
}

var antennasSwapped = &Cause{
	Name: "antennas-swapped", Title: "the two antennas are on each other's socket", Prior: 0.04,
	Signs:  []sign{{weakLevel, 0.95}, {heardFaintly, 0.6}, {nothingHeard, 0.35}, {noLevel, 0.1}, {neverIn, 0.15}, {goodSky, 0.02}, {bothDeaf, 0.7}, {antennaSays, 0.05}},
	Remedy: "Switch off, swap the two plugs, and mark the sockets.",
	Tests:  []test{changeSockets.gives(0.97), phoneHere.gives(0.95), toWindow.gives(0.2), otherAntenna.gives(0.9), openSky.gives(0.02)},
}

var neverRegisters = &Cause{
	Name: "never-registers", Title: "no network here takes this module: bands, generation or operator", Prior: 0.05,
	Signs:  []sign{{neverIn, 0.98}, {weakLevel, 0.05}, {noLevel, 0.15}, {deniedSeen, 0.01}, {notSearching, 0.02}, {noneFound, 0.5}, {radioOff, 0.01}},
	Remedy: "Give a first search 15 minutes; compare the module's bands and generations with what operators here still run; take a card whose operator has a partner here.",
	Tests:  []test{searchAll.gives(0.6), leaveAlone.gives(0.1), cardInPhone.gives(0.3), otherAntenna.gives(0.03), lamp.gives(0.02, 0.93, 0.03)},
}

var searchCutShort = &Cause{
	Name: "search-cut-short", Title: "the controller restarts the module or gives up before a network can be found", Prior: 0.03,
	Signs:  []sign{{impatient, 0.95}, {neverIn, 0.8}, {gaveUpEarly, 0.1}},
	Remedy: "Give a first search 15 minutes and later ones three, without a reset; remember what worked last.",
	Tests:  []test{leaveAlone.gives(0.9), lamp.gives(0.05, 0.9, 0.03)},
}

var registrationDenied = &Cause{
	Name: "registration-denied", Title: "the network refuses this card here: roaming, area or operator", Prior: 0.05,
	Signs:  []sign{{deniedSeen, 0.97}, {accountCause, 0.08}, {neverIn, 0.95}, {weakLevel, 0.05}, {onlyData, 0.05}},
	Remedy: "Ask the operator with the cause number; try another operator or place; do not let the controller hammer on a refusal.",
	Tests:  []test{causeNumber.gives(0.08), cardInPhone.gives(0.6), otherCard.gives(0.7), lamp.gives(0.02, 0.9, 0.05)},
}

var subscriptionInactive = &Cause{
	Name: "subscription-inactive", Title: "the card's contract is inactive, barred or without texts", Prior: 0.04,
	Signs:  []sign{{deniedSeen, 0.6}, {accountCause, 0.9}, {neverIn, 0.6}, {accountError, 0.6}, {refused, 0.5}, {weakLevel, 0.05}},
	Remedy: "Activate or top up the card, and have texts allowed on it, in writing; note the day it runs out.",
	Tests:  []test{askPortal.gives(0.95), cardInPhone.gives(0.85), otherCard.gives(0.9), causeNumber.gives(0.85)},
}

var emergencyCallsOnly = &Cause{
	Name: "emergency-only", Title: "the network takes emergency calls only: this card has no service here", Prior: 0.01,
	Signs:  []sign{{emergencyStat, 0.95}, {neverIn, 0.9}},
	Remedy: "Have the card activated, or take one whose operator has a partner here.",
	Tests:  []test{askPortal.gives(0.8), otherCard.gives(0.9), cardInPhone.gives(0.8)},
}

var dataOnlyCard = &Cause{
	Name: "data-only", Title: "the card or the network has data for this module and no texts", Prior: 0.025,
	Signs:  []sign{{onlyData, 0.95}, {refused, 0.7}, {deniedSeen, 0.4}, {neverIn, 0.01}, {accountError, 0.2}},
	Remedy: "Ask the operator whether texts may leave from this module, try AT+CGSMS=2, or send over data.",
	Tests:  []test{askPortal.gives(0.7), otherCard.gives(0.7), cardInPhone.gives(0.3)},
}

var registrationFlaps = &Cause{
	Name: "registration-flaps", Title: "the place lies on the edge of coverage: registration comes and goes", Prior: 0.04,
	Signs:  []sign{{comesAndGoes, 0.97}, {weakLevel, 0.06}, {noService, 0.3}, {cardLost, 0.01}, {restarting, 0.03}},
	Remedy: "Raise or move the antenna; let the controller wait, retry with growing pauses and keep what it has to say until it is back.",
	Tests:  []test{watchAnHour.gives(0.92, 0.02), phoneHere.gives(0.3), toWindow.gives(0.6)},
}

var lossUnnoticed = &Cause{
	Name: "loss-unnoticed", Title: "the network was lost and the controller does nothing about it", Prior: 0.02,
	Signs:  []sign{{longLost, 0.95}, {comesAndGoes, 0.6}},
	Remedy: "Ask AT+CREG? every few minutes; after five without a network AT+COPS=0, then AT+CFUN=4 and 1, then a restart, with growing pauses.",
	Tests:  []test{automaticChoice.gives(0.4), watchAnHour.gives(0.3, 0.05)},
}

var hammering = &Cause{
	Name: "told-to-wait", Title: "too many tries: the network has told the module to wait", Prior: 0.015,
	Signs:  []sign{{tooManyTries, 0.9}, {deniedSeen, 0.3}, {noSession, 0.2}},
	Remedy: "Wait an hour, then one try; afterwards growing pauses with some chance in them, and a cap for the day.",
	Tests:  []test{restOneHour.gives(0.8)},
}

var statusMisread = &Cause{
	Name: "status-misread", Title: "the controller waits for a registration it already has", Prior: 0.03,
	Signs:  []sign{{waitsForOther, 0.95}, {neverIn, 0.02}},
	Remedy: "Take the status after the first comma, accept 1 and 5 (6 and 7 for texts), and look at CREG, CGREG and CEREG.",
	Tests:  []test{byHand.gives(0.95), lamp.gives(0.01, 0.04, 0.92)},
}

// The data session.

var accessPointWrong = &Cause{
	Name: "apn-wrong", Title: "the access point name, its type or its password is wrong", Prior: 0.03,
	Signs:  []sign{{noSession, 0.9}, {nameless, 0.4}, {contextGone, 0.03}},
	Remedy: "Take name, type, user and password from the card's contract, read them back with AT+CGDCONT?, and try once after each change.",
	Tests:  []test{accessPoint.gives(0.9), askPortal.gives(0.3)},
}

var contextLost = &Cause{
	Name: "context-lost", Title: "the network has ended the data session and nobody rebuilds it", Prior: 0.02,
	Signs:  []sign{{contextGone, 0.95}, {noSession, 0.1}},
	Remedy: "When connecting fails twice, look at AT+CGPADDR and rebuild the session below before the connection above; switch AT+CGEREP on.",
	Tests:  []test{contextNow.gives(0.95)},
}

var halfOpen = &Cause{
	Name: "half-open", Title: "the way to the server was forgotten in a pause, and the device thinks it is connected", Prior: 0.015,
	Signs:  []sign{{deadLink, 0.95}, {contextGone, 0.05}},
	Remedy: "Keep the connection alive well within the operator's idle time, or open one for each report, and want an answer from the server itself.",
	Tests:  []test{contextNow.gives(0.03)},
}

var clockUnset = &Cause{
	Name: "clock-unset", Title: "the module's clock is wrong, so certificates and times do not fit", Prior: 0.015,
	Signs:  []sign{{clockWrong, 0.9}},
	Remedy: "Set the clock at every start, by the network (AT+CTZU=1), the satellites or a time server, before the first secure connection.",
	Tests:  []test{byHand.gives(0.2)},
}

var offTooSoon = &Cause{
	Name: "off-too-soon", Title: "the radio is switched off before the data has left", Prior: 0.015,
	Signs:  []sign{{cutTooSoon, 0.95}},
	Remedy: "Wait for the server's answer, or for an empty buffer, before AT+CFUN=0; keep what was not confirmed.",
	Tests:  []test{byHand.gives(0.9)},
}

var serverRefuses = &Cause{
	Name: "server-refuses", Title: "the server does not take what is sent", Prior: 0.015,
	Signs:  []sign{{serverSaysNo, 0.95}},
	Remedy: "Look at the status of every answer, send the same request from a PC, and count the bytes you announce.",
	Tests:  []test{compareGood.gives(0.8)},
}

var wrongSession = &Cause{
	Name: "wrong-context", Title: "another session number is opened than was defined", Prior: 0.01,
	Signs:  []sign{{otherContext, 0.95}, {noSession, 0.3}},
	Remedy: "Use one number for AT+CGDCONT, AT+CGACT and the dial string.",
	Tests:  []test{accessPoint.gives(0.2)},
}

var dataCall = &Cause{
	Name: "data-call", Title: "a voice call is dialled as a data call", Prior: 0.01,
	Signs:  []sign{{dialsData, 0.95}},
	Remedy: "End the dial string of a voice call with a semicolon: ATD+…;",
	Tests:  []test{byHand.gives(0.1)},
}
