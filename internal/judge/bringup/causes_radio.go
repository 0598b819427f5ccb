package bringup

import (
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules/cardmissing"
	"firstfix/internal/judge/rules/denied"
	"firstfix/internal/judge/rules/fewtries"
	"firstfix/internal/judge/rules/flapping"
	"firstfix/internal/judge/rules/neverregisters"
	"firstfix/internal/judge/rules/pinwanted"
	"firstfix/internal/judge/rules/radiooff"
	"firstfix/internal/judge/rules/resetimpatience"
	"firstfix/internal/judge/rules/searchabort"
	"firstfix/internal/judge/rules/statusfield"
	"firstfix/internal/judge/rules/weaksignal"
)

var noCard = &Cause{
	Name: "no-card", Title: "there is no card in the holder", Prior: 0.06,
	Signs:  []sign{{cardMissing, 0.97}, {cardSeen, 0.01}},
	Rules:  []*rulebook.Rule{cardmissing.Rule},
	Remedy: "Put a card in, the right way round, and close the holder.",
	Tests:  []test{{pressHolder, 0.02}, {otherCard, 0.95}},
}

var cardContact = &Cause{
	Name: "card-contact", Title: "the card loses contact in its holder", Prior: 0.03,
	Signs:  []sign{{cardLost, 0.85}, {cardMissing, 0.25}, {cardFailing, 0.3}, {cardSeen, 0.85}, {comesAndGoes, 0.4}},
	Rules:  []*rulebook.Rule{cardmissing.Rule},
	Remedy: "Clean the contacts, use a holder with firm springs, keep its wires short and away from the antenna; for vehicles take a soldered card.",
	Tests:  []test{{pressHolder, 0.8}, {otherCard, 0.3}, {watchAnHour, 0.9}},
}

var pinWanted = &Cause{
	Name: "pin-wanted", Title: "the card asks for its PIN", Prior: 0.05,
	Signs:  []sign{{wantsPIN, 0.98}},
	Rules:  []*rulebook.Rule{pinwanted.Rule, fewtries.Rule},
	Remedy: "Give the PIN once, by hand, and better switch its question off (AT+CLCK=\"SC\",0 with the PIN). Never let a controller try a PIN twice: after three wrong ones the card wants its PUK.",
	Tests:  []test{{cardInPhone, 0.9}},
}

var pukWanted = &Cause{
	Name: "puk-wanted", Title: "the card is blocked after wrong PINs", Prior: 0.02,
	Signs:  []sign{{wantsPUK, 0.98}},
	Remedy: "Unblock it in a phone with the PUK from the card's letter. Ten wrong PUKs end the card: do not guess.",
	Tests:  []test{{cardInPhone, 0.9}},
}

var lockedDevice = &Cause{
	Name: "locked-device", Title: "module or card is locked to another network or device", Prior: 0.02,
	Signs:  []sign{{otherLock, 0.97}},
	Remedy: "Ask the seller of the module or of the card for the unlock; a card bound to another device works only there.",
	Tests:  []test{{otherCard, 0.9}, {cardInPhone, 0.8}},
}

var radioSwitchedOff = &Cause{
	Name: "radio-off", Title: "the radio or the search for networks is switched off", Prior: 0.02,
	Signs:  []sign{{radioOff, 0.97}, {notSearching, 0.8}, {neverIn, 0.95}},
	Rules:  []*rulebook.Rule{radiooff.Rule},
	Remedy: "Set AT+CFUN=1 and AT+COPS=0 in the set-up.",
	Tests:  []test{{byHand, 0.9}},
}

var weakSignal = &Cause{
	Name: "weak-signal", Title: "the place or the antenna gives too little signal", Prior: 0.08,
	Signs:  []sign{{weakLevel, 0.95}, {noLevel, 0.15}, {neverIn, 0.4}, {comesAndGoes, 0.3}, {noService, 0.2}, {goodSky, 0.75}, {nothingHeard, 0.03}, {heardFaintly, 0.05}},
	Rules:  []*rulebook.Rule{weaksignal.Rule},
	Remedy: "Move the antenna out of metal and up, use one made for the bands with its ground plane, keep its cable short; else another place or operator.",
	Tests:  []test{{phoneHere, 0.4}, {otherAntenna, 0.6}, {changeSockets, 0.02}},
}

var cellularAntennaMissing = &Cause{
	Name: "cellular-antenna-missing", Title: "the cellular antenna is not connected", Prior: 0.04,
	Signs:  []sign{{noLevel, 0.6}, {weakLevel, 0.85}, {neverIn, 0.8}, {goodSky, 0.75}, {comesAndGoes, 0.05}},
	Remedy: "Put the antenna on its socket until it clicks, and look at the plug: a miniature plug opens easily.",
	Tests:  []test{{otherAntenna, 0.97}, {phoneHere, 0.95}, {changeSockets, 0.1}},
}

var antennasSwapped = &Cause{
	Name: "antennas-swapped", Title: "the two antennas are on each other's socket", Prior: 0.04,
	Signs:  []sign{{bothFaint, 0.9}, {noLevel, 0.1}, {neverIn, 0.15}, {goodSky, 0.02}},
	Remedy: "Switch off, swap the two plugs, and mark the sockets.",
	Tests:  []test{{changeSockets, 0.97}, {phoneHere, 0.95}, {otherAntenna, 0.9}, {openSky, 0.02}},
}

var neverRegisters = &Cause{
	Name: "never-registers", Title: "no network here takes this module: bands, generation or operator", Prior: 0.05,
	Signs:  []sign{{neverIn, 0.98}, {weakLevel, 0.05}, {noLevel, 0.15}, {deniedSeen, 0.01}, {notSearching, 0.02}, {noneFound, 0.5}, {radioOff, 0.01}},
	Rules:  []*rulebook.Rule{neverregisters.Rule, searchabort.Rule, resetimpatience.Rule},
	Remedy: "Give a first search 15 minutes; compare the module's bands and generations with what operators here still run; take a card whose operator has a partner here.",
	Tests:  []test{{searchAll, 0.6}, {cardInPhone, 0.5}, {otherAntenna, 0.03}},
}

var registrationDenied = &Cause{
	Name: "registration-denied", Title: "the network refuses this card here: roaming, area or operator", Prior: 0.05,
	Signs:  []sign{{deniedSeen, 0.97}, {accountCause, 0.08}, {neverIn, 0.95}, {weakLevel, 0.08}},
	Rules:  []*rulebook.Rule{denied.Rule},
	Remedy: "Ask the operator with the cause number; try another operator or place; do not let the controller hammer on a refusal.",
	Tests:  []test{{causeNumber, 0.9}, {cardInPhone, 0.7}, {otherCard, 0.7}},
}

var subscriptionInactive = &Cause{
	Name: "subscription-inactive", Title: "the card's contract is inactive, barred or without texts", Prior: 0.04,
	Signs:  []sign{{deniedSeen, 0.6}, {accountCause, 0.9}, {neverIn, 0.6}, {accountError, 0.6}, {refused, 0.5}, {weakLevel, 0.08}},
	Rules:  []*rulebook.Rule{denied.Rule},
	Remedy: "Activate or top up the card, and have texts allowed on it, in writing; note the day it runs out.",
	Tests:  []test{{askPortal, 0.95}, {cardInPhone, 0.85}, {otherCard, 0.9}, {causeNumber, 0.6}},
}

var registrationFlaps = &Cause{
	Name: "registration-flaps", Title: "the place lies on the edge of coverage: registration comes and goes", Prior: 0.04,
	Signs:  []sign{{comesAndGoes, 0.97}, {weakLevel, 0.06}, {noService, 0.3}, {cardLost, 0.01}, {restarting, 0.03}},
	Rules:  []*rulebook.Rule{flapping.Rule},
	Remedy: "Raise or move the antenna; let the controller wait, retry with growing pauses and keep what it has to say until it is back.",
	Tests:  []test{{watchAnHour, 0.95}, {phoneHere, 0.3}},
}

var statusMisread = &Cause{
	Name: "status-misread", Title: "the controller waits for a registration it already has", Prior: 0.03,
	Rules:  []*rulebook.Rule{statusfield.Rule},
	Remedy: "Take the status after the first comma, accept 1 and 5 (6 and 7 for texts), and look at CREG, CGREG and CEREG.",
	Tests:  []test{{byHand, 0.95}},
}
