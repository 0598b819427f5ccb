package bringup

var overlapCause = &Cause{
	Name: "overlap", Title: "the controller does not wait for the final result", Prior: 0.06,
	Signs:   []sign{{overlapping, 0.97}, {fixedPace, 0.7}},
	Besides: []sign{{gaveUpEarly, 0.4}},
	Remedy:  "Keep one command in flight: send the next only after OK, ERROR or the command's own limit, and 100 ms later.",
	Tests:   []test{byHand.gives(0.9)},
}

var waitTooShort = &Cause{
	Name: "wait-too-short", Title: "the controller gives up before the command's own limit", Prior: 0.04,
	Signs:   []sign{{gaveUpEarly, 0.97}, {fixedPace, 0.01}},
	Besides: []sign{{overlapping, 0.85}},
	Remedy:  "Give each command its own limit: 180 s for AT+COPS=?, 60 s and more for a text, 150 s for a session, 5 s for most.",
	Tests:   []test{waitLonger.gives(0.95), byHand.gives(0.85)},
}

var noPauseBetween = &Cause{
	Name: "no-pause-between", Title: "the controller sends the next command too soon after a result", Prior: 0.015,
	Signs:   []sign{{noBreath, 0.95}},
	Besides: []sign{{overlapping, 0.6}},
	Remedy:  "Wait 50 to 100 ms after every final result.",
	Tests:   []test{byHand.gives(0.95)},
}

var earlyTextCause = &Cause{
	Name: "early-text", Title: "the controller sends the text before the prompt", Prior: 0.04,
	Signs:  []sign{{earlyText, 0.97}, {refused, 0.5}},
	Remedy: "After AT+CMGS wait for the two characters \"> \", then 50 to 100 ms, then send the text and Ctrl-Z.",
	Tests:  []test{byHand.gives(0.95)},
}

var promptNotSeen = &Cause{
	Name: "prompt-not-seen", Title: "the controller waits for a line end behind the prompt and misses it", Prior: 0.02,
	Signs:  []sign{{promptIgnored, 0.95}, {openText, 0.02}},
	Remedy: "Look for the two bytes \"> \" as they come: the prompt has no line end.",
	Tests:  []test{byHand.gives(0.95)},
}

var textNotEnded = &Cause{
	Name: "text-not-ended", Title: "the controller does not end its text with Ctrl-Z", Prior: 0.03,
	Signs:  []sign{{openText, 0.97}, {fellSilent, 0.4}},
	Remedy: "Write the one byte 0x1A behind the text, not the digits 26 and no line end after it.",
	Tests:  []test{hexOfCommand.gives(0.95), byHand.gives(0.9)},
}

var settingsLost = &Cause{
	Name: "settings-lost", Title: "settings are gone after a restart nobody noticed", Prior: 0.03,
	Signs:   []sign{{forgotten, 0.95}, {afterSend, 0.02}, {whileSearching, 0.05}},
	Besides: []sign{{formError, 0.4}, {otherMode, 0.5}, {echoAgain, 0.3}},
	Remedy:  "Run the whole set-up again at every ready line and whenever a setting reads back wrong.",
	Tests:   []test{radioOffTest.gives(0.3), byHand.gives(0.3)},
}

var settingsReset = &Cause{
	Name: "settings-reset", Title: "the controller resets the settings it has just made", Prior: 0.01,
	Signs:   []sign{{resetLate, 0.95}},
	Besides: []sign{{forgotten, 0.2}, {otherMode, 0.5}, {formError, 0.3}},
	Remedy:  "Send ATZ or AT&F first, and the settings behind it.",
	Tests:   []test{byHand.gives(0.3)},
}

var tooEarly = &Cause{
	Name: "too-early", Title: "the controller talks before module and card are ready", Prior: 0.03,
	Signs:  []sign{{tooSoon, 0.9}, {cardMissing, 0.03}},
	Remedy: "Wait in order: AT brings OK, +CPIN is READY, +CREG is 1 or 5, then work.",
	Tests:  []test{byHand.gives(0.9)},
}

var failureIgnored = &Cause{
	Name: "failure-ignored", Title: "the controller goes on after an error as if it had worked", Prior: 0.03,
	Signs:  []sign{{unheeded, 0.9}, {onAndOn, 0.15}, {sentUnserved, 0.3}},
	Remedy: "Look at every final result, and let each error have its own way: try again, set up again, or tell somebody.",
	Tests:  []test{byHand.gives(0.6)},
}

var echoConfusion = &Cause{
	Name: "echo-confusion", Title: "the controller takes the echo for an answer", Prior: 0.02,
	Signs:  []sign{{echoAgain, 0.9}, {forgotten, 0.05}},
	Remedy: "Send ATE0 after every start, and still skip a line that equals the command.",
	Tests:  []test{byHand.gives(0.8)},
}

var answerHalfRead = &Cause{
	Name: "answer-half-read", Title: "the controller takes a part of an answer for the whole", Prior: 0.03,
	Signs:  []sign{{actsTooEarly, 0.95}},
	Remedy: "Collect bytes up to the line end, compare whole lines, and go on only after a line that is a final result.",
	Tests:  []test{byHand.gives(0.9)},
}

var resultsWordless = &Cause{
	Name: "results-wordless", Title: "results come as digits, or not at all, and the program waits for OK", Prior: 0.015,
	Signs:  []sign{{wordless, 0.95}, {echoOnly, 0.1}},
	Remedy: "Send ATV1 and ATQ0 at every start.",
	Tests:  []test{byHand.gives(0.1), escapeFirst.gives(0.02)},
}

var reasonHidden = &Cause{
	Name: "reason-hidden", Title: "error codes are off, so that ERROR hides its reason", Prior: 0.02,
	Signs:  []sign{{bareErrors, 0.95}},
	Remedy: "Send AT+CMEE=1 or 2 after every start, and repeat what failed: then the reason is named.",
	Tests:  []test{errorCodes.gives(0.9)},
}

var unknownCommand = &Cause{
	Name: "unknown-command", Title: "this module does not know the command, or not with these values", Prior: 0.03,
	Signs:  []sign{{neverTaken, 0.95}, {onAndOn, 0.3}, {bareErrors, 0.6}},
	Remedy: "Look the command up in this module's manual, ask its test form (=?), and leave it out or replace it.",
	Tests:  []test{testForm.gives(0.95), errorCodes.gives(0.6)},
}

var lineTooMuch = &Cause{
	Name: "chained-commands", Title: "several commands on one line: one fails and nobody knows which", Prior: 0.015,
	Signs:  []sign{{lostInChain, 0.95}, {quoteInside, 0.1}},
	Remedy: "Send one command a line and read each result.",
	Tests:  []test{byHand.gives(0.7), testForm.gives(0.5)},
}

var quoteUnescaped = &Cause{
	Name: "quote-unescaped", Title: "a quote or an end sign inside a value ends it too early", Prior: 0.01,
	Signs:  []sign{{quoteInside, 0.95}, {endInText, 0.3}},
	Remedy: "Use the form with a length or in hex, or write the quote as \\22 where the module takes it.",
	Tests:  []test{hexOfCommand.gives(0.2), byHand.gives(0.1)},
}

var ownCommandCut = &Cause{
	Name: "own-memory", Title: "the controller runs out of memory and cuts its own commands", Prior: 0.015,
	Signs:  []sign{{ownCommandsCut, 0.95}, {slower, 0.05}},
	Remedy: "Use fixed buffers and bounded printing instead of joining strings, begin libraries once, and log the least free memory.",
	Tests:  []test{hexOfCommand.gives(0.7), resetCause.gives(0.05, 0.3)},
}
