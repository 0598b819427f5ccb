package bringup

import (
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules/blanktext"
	"firstfix/internal/judge/rules/cnmi"
	"firstfix/internal/judge/rules/gsmalphabet"
	"firstfix/internal/judge/rules/numberformat"
	"firstfix/internal/judge/rules/servicecentre"
	"firstfix/internal/judge/rules/storefull"
	"firstfix/internal/judge/rules/textloop"
	"firstfix/internal/judge/rules/wrongmode"
)

var noServiceCentre = &Cause{
	Name: "no-service-centre", Title: "the service-centre number is missing", Prior: 0.03,
	Signs:  []sign{{noCentre, 0.9}, {centreError, 0.9}, {refused, 0.8}},
	Rules:  []*rulebook.Rule{servicecentre.Rule},
	Remedy: "Set the operator's number once with AT+CSCA, with + and the country code, and store it; never copy one from a script.",
	Tests:  []test{{centreFromOperator, 0.97}, {cardInPhone, 0.6}},
}

var blankTextParameters = &Cause{
	Name: "blank-text-parameters", Title: "the coding that is set makes plain letters blank or foreign", Prior: 0.04,
	Signs:  []sign{{wrongCoding, 0.95}, {unreadable, 0.6}, {refused, 0.05}},
	Rules:  []*rulebook.Rule{blanktext.Rule},
	Remedy: "Set AT+CSMP=17,167,0,0 and AT+CSCS=\"GSM\" at every start for plain letters.",
	Tests:  []test{{testText, 0.97}},
}

var characterSet = &Cause{
	Name: "character-set", Title: "the character set makes the module expect hex digits", Prior: 0.02,
	Signs:  []sign{{oddAlphabet, 0.95}, {formError, 0.4}, {unreadable, 0.4}},
	Rules:  []*rulebook.Rule{gsmalphabet.Rule},
	Remedy: "Set AT+CSCS=\"GSM\" at every start, or write numbers and texts as hex.",
	Tests:  []test{{testText, 0.9}},
}

var storeFull = &Cause{
	Name: "store-full", Title: "the store for messages is full", Prior: 0.03,
	Signs:  []sign{{storeIsFull, 0.97}},
	Rules:  []*rulebook.Rule{storefull.Rule},
	Remedy: "Delete each message after it is handled, and all read ones at every start (AT+CMGD=1,1).",
	Tests:  []test{{deleteOne, 0.97}},
}

var wrongTextMode = &Cause{
	Name: "wrong-text-mode", Title: "a text command in PDU mode, or the other way round", Prior: 0.03,
	Signs:  []sign{{formError, 0.7}},
	Rules:  []*rulebook.Rule{wrongmode.Rule},
	Remedy: "Set AT+CMGF at every start, and count the PDU's octets without the service-centre part.",
	Tests:  []test{{byHand, 0.8}},
}

var networkTrouble = &Cause{
	Name: "network-trouble", Title: "the operator's network or service centre has trouble for now", Prior: 0.02,
	Signs:  []sign{{busyError, 0.9}, {refused, 0.8}, {accountError, 0.005}, {noCentre, 0.005}},
	Remedy: "Wait and try again with growing pauses; keep the text until it is accepted.",
	Tests:  []test{{cardInPhone, 0.5}, {askPortal, 0.3}},
}

var ownTextLoop = &Cause{
	Name: "own-text-loop", Title: "the controller answers its own or automatic texts", Prior: 0.02,
	Rules:  []*rulebook.Rule{textloop.Rule},
	Remedy: "Answer only known commands from known numbers, once each, never your own number or a name, and cap texts per hour.",
	Tests:  []test{{byHand, 0.3}},
}

var numberForm = &Cause{
	Name: "number-form", Title: "telephone numbers are not in international form", Prior: 0.02,
	Rules:  []*rulebook.Rule{numberformat.Rule},
	Remedy: "Store and compare numbers with + and country code, digits only.",
	Tests:  []test{{byHand, 0.8}},
}

var arrivalsUnseen = &Cause{
	Name: "arrivals-not-reported", Title: "the module does not report texts that arrive", Prior: 0.03,
	Rules:  []*rulebook.Rule{cnmi.Rule},
	Remedy: "Set AT+CNMI=2,1,0,0,0 at every start, and look into the store every few minutes besides.",
	Tests:  []test{{deleteOne, 0.05}, {textItself, 0.9}},
}
