package bringup

var noServiceCentre = &Cause{
	Name: "no-service-centre", Title: "the service-centre number is missing", Prior: 0.03,
	Signs:  []sign{{noCentre, 0.9}, {centreError, 0.9}, {refused, 0.8}, {centreForeign, 0.1}},
	Remedy: "Set the operator's number once with AT+CSCA, with + and the country code, and store it; never copy one from a script.",
	Tests:  []test{centreFromOperator.gives(0.97), cardInPhone.gives(0.6)},
}

var foreignServiceCentre = &Cause{
	Name: "foreign-service-centre", Title: "the service-centre number belongs to another operator", Prior: 0.015,
	Signs:  []sign{{centreForeign, 0.95}, {refused, 0.7}, {noCentre, 0.01}, {busyError, 0.3}},
	Remedy: "Read the number off the card before the first write, and take the script's AT+CSCA line out.",
	Tests:  []test{centreFromOperator.gives(0.95), cardInPhone.gives(0.1)},
}

var blankTextParameters = &Cause{
	Name: "blank-text-parameters", Title: "the coding that is set makes plain letters blank or foreign", Prior: 0.04,
	Signs:  []sign{{wrongCoding, 0.95}, {unreadable, 0.6}, {refused, 0.05}},
	Remedy: "Set AT+CSMP=17,167,0,0 and AT+CSCS=\"GSM\" at every start for plain letters.",
	Tests:  []test{testText.gives(0.97)},
}

var characterSet = &Cause{
	Name: "character-set", Title: "the character set makes the module expect hex digits", Prior: 0.02,
	Signs:  []sign{{oddAlphabet, 0.95}, {formError, 0.4}, {unreadable, 0.4}},
	Remedy: "Set AT+CSCS=\"GSM\" at every start, or write numbers and texts as hex.",
	Tests:  []test{testText.gives(0.9)},
}

var foreignLetters = &Cause{
	Name: "foreign-letters", Title: "texts hold letters that the 7-bit alphabet does not have", Prior: 0.02,
	Signs:  []sign{{oddLetters, 0.95}, {oddAlphabet, 0.05}, {wrongCoding, 0.02}, {formError, 0.05}},
	Remedy: "Keep to letters, digits and . , : ; - + / ? =, or send the text as UCS2.",
	Tests:  []test{shortText.gives(0.9), testText.gives(0.9)},
}

var textTooLong = &Cause{
	Name: "text-too-long", Title: "the text is longer than one message holds", Prior: 0.02,
	Signs:  []sign{{tooLong, 0.95}, {refused, 0.4}, {formError, 0.2}},
	Remedy: "Keep to 160 plain letters (70 with one foreign one), or send parts with a header as PDUs.",
	Tests:  []test{shortText.gives(0.95)},
}

var storeFull = &Cause{
	Name: "store-full", Title: "the store for messages is full", Prior: 0.03,
	Signs:  []sign{{storeIsFull, 0.97}},
	Remedy: "Delete each message after it is handled, and all read ones at every start (AT+CMGD=1,1).",
	Tests:  []test{deleteOne.gives(0.97)},
}

var wrongTextMode = &Cause{
	Name: "wrong-text-mode", Title: "a text command in PDU mode, or the other way round", Prior: 0.03,
	Signs:  []sign{{otherMode, 0.9}, {formError, 0.7}, {oddAlphabet, 0.02}},
	Remedy: "Set AT+CMGF at every start, and count the PDU's octets without the service-centre part.",
	Tests:  []test{byHand.gives(0.3), testText.gives(0.5)},
}

var networkTrouble = &Cause{
	Name: "network-trouble", Title: "the operator's network or service centre has trouble for now", Prior: 0.02,
	Signs:  []sign{{busyError, 0.9}, {refused, 0.8}, {accountError, 0.005}, {noCentre, 0.005}},
	Remedy: "Wait and try again with growing pauses; keep the text until it is accepted.",
	Tests:  []test{restOneHour.gives(0.8), cardInPhone.gives(0.5), askPortal.gives(0.3)},
}

var ownTextLoop = &Cause{
	Name: "own-text-loop", Title: "the controller answers its own or automatic texts", Prior: 0.02,
	Signs:  []sign{{looping, 0.9}, {costly, 0.4}, {accountError, 0.05}},
	Remedy: "Answer only known commands from known numbers, once each, never your own number or a name, and cap texts per hour.",
	Tests:  []test{whoSends.gives(0.95)},
}

var costRunsAway = &Cause{
	Name: "cost-runs-away", Title: "texts leave without a cap", Prior: 0.01,
	Signs:  []sign{{costly, 0.9}},
	Remedy: "Keep a cap for the hour and the day that survives a restart, and a dead band around every alarm.",
	Tests:  []test{whoSends.gives(0.1)},
}

var numberForm = &Cause{
	Name: "number-form", Title: "telephone numbers are not in international form", Prior: 0.02,
	Signs:  []sign{{nationalForm, 0.9}, {refused, 0.3}},
	Remedy: "Store and compare numbers with + and country code, digits only.",
	Tests:  []test{internationalForm.gives(0.9)},
}

var arrivalsUnseen = &Cause{
	Name: "arrivals-not-reported", Title: "the module does not report texts that arrive", Prior: 0.03,
	Signs:  []sign{{unreported, 0.9}, {storeIsFull, 0.01}},
	Remedy: "Set AT+CNMI=2,1,0,0,0 at every start, and look into the store every few minutes besides.",
	Tests:  []test{textItself.gives(0.9), deleteOne.gives(0.03)},
}

var arrivesAsHex = &Cause{
	Name: "received-as-hex", Title: "texts with a foreign sign arrive as hex digits, and the program does not read them", Prior: 0.02,
	Signs:  []sign{{hexArrives, 0.95}, {oddAlphabet, 0.1}},
	Remedy: "Decode bodies of hex digits in groups of four as UCS2, and accept command words in both forms.",
	Tests:  []test{testText.gives(0.05), whoSends.gives(0.05)},
}

var callerUnseen = &Cause{
	Name: "caller-unknown", Title: "calls are not told with the caller's number", Prior: 0.015,
	Signs:  []sign{{namelessRings, 0.95}, {forgotten, 0.1}},
	Remedy: "Set AT+CLIP=1 in the set-up and after every start, and refuse calls without a number.",
	Tests:  []test{callTest.gives(0.95)},
}
