package bringup

import (
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules/echoback"
	"firstfix/internal/judge/rules/lineend"
	"firstfix/internal/judge/rules/onlyecho"
	"firstfix/internal/judge/rules/restartload"
	"firstfix/internal/judge/rules/supplyvoltage"
	"firstfix/internal/judge/rules/wrongspeed"
)

// Priors and likelihoods in these files are our estimates, see [Cause].

var supplySags = &Cause{
	Name: "supply-sags", Title: "the supply sags when the radio sends", Prior: 0.10,
	Signs:  []sign{{restarting, 0.95}, {afterSend, 0.5}, {whileSearching, 0.6}, {undervoltage, 0.4}, {lowReading, 0.2}},
	Rules:  []*rulebook.Rule{restartload.Rule},
	Remedy: "Use a source that gives 2 A in bursts (2G), leads that are short and thick, ground included, and a low-ESR capacitor at the module's pins; aim for less than 0.3 V of droop.",
	Tests:  []test{{scopeAtPins, 0.95}, {otherSource, 0.9}, {radioOffTest, 0.9}, {idleVolts, 0.15}},
}

var supplyWrong = &Cause{
	Name: "supply-wrong", Title: "the supply's steady voltage is wrong", Prior: 0.03,
	Signs:  []sign{{lowReading, 0.9}, {undervoltage, 0.6}, {restarting, 0.3}},
	Rules:  []*rulebook.Rule{supplyvoltage.Rule},
	Remedy: "Set the regulator at its final input and load, half a volt of headroom included, and keep to the module's range.",
	Tests:  []test{{idleVolts, 0.95}, {otherSource, 0.9}},
}

var brownOutOfController = &Cause{
	Name: "brown-out-of-controller", Title: "the controller itself restarts when the radio sends", Prior: 0.03,
	Signs:  []sign{{setUpAgain, 0.9}},
	Remedy: "Give controller and module regulators of their own from one strong source, with capacitors on both sides, and log the reset cause.",
	Tests:  []test{{resetCause, 0.95}, {scopeAtPins, 0.7}},
}

var moduleOff = &Cause{
	Name: "module-off", Title: "the module is switched off", Prior: 0.06,
	Signs:  []sign{{noBytes, 0.97}},
	Remedy: "Check its supply, hold the power key as long as the manual says, and test with AT or the status pin before you press: the key toggles.",
	Tests:  []test{{statusPin, 0.97}},
}

var wiring = &Cause{
	Name: "wiring", Title: "the two data wires are swapped or one is open", Prior: 0.05,
	Signs:  []sign{{noBytes, 0.9}, {halfHeard, 0.4}},
	Remedy: "Join the controller's sender to the module's receiver and the other way round; write on the drawing who drives which wire.",
	Tests:  []test{{idleHigh, 0.9}, {statusPin, 0.02}},
}

var wrongSpeed = &Cause{
	Name: "wrong-speed", Title: "the two ends do not speak at the same speed", Prior: 0.06,
	Signs:  []sign{{otherSpeed, 0.95}, {onlyNoise, 0.85}, {fitsSpeed, 0.85}, {noBytes, 0.10}, {someNoise, 0.05}},
	Rules:  []*rulebook.Rule{wrongspeed.Rule},
	Remedy: "Open the line at the speed at which AT brings OK; set another with +IPR only if you need it, and store it.",
	Tests:  []test{{otherSpeeds, 0.95}, {shortestBit, 0.97}, {statusPin, 0.02}},
}

var noCommonGround = &Cause{
	Name: "no-common-ground", Title: "controller and module do not share a good ground", Prior: 0.03,
	Signs:  []sign{{onlyNoise, 0.4}, {someNoise, 0.6}, {fitsSpeed, 0.02}, {noBytes, 0.10}},
	Remedy: "Join both grounds with one short thick wire beside the data wires.",
	Tests:  []test{{groundToGround, 0.95}, {otherSpeeds, 0.02}, {shortestBit, 0.3}},
}

var levelMismatch = &Cause{
	Name: "level-mismatch", Title: "the logic levels of the two sides do not fit", Prior: 0.03,
	Signs:  []sign{{halfHeard, 0.6}, {someNoise, 0.3}, {noBytes, 0.25}, {onlyNoise, 0.1}, {fitsSpeed, 0.02}},
	Remedy: "Put a level shifter between them that takes its reference from the module, and never drive a pin above its own supply.",
	Tests:  []test{{idleHigh, 0.7}, {shortestBit, 0.4}, {statusPin, 0.02}},
}

var wrongLineEnd = &Cause{
	Name: "wrong-line-end", Title: "command lines do not end in CR", Prior: 0.04,
	Signs:  []sign{{wrongEnd, 0.95}, {echoOnly, 0.6}, {noBytes, 0.2}},
	Rules:  []*rulebook.Rule{lineend.Rule},
	Remedy: "End every command with one CR (0x0D) and nothing else.",
	Tests:  []test{{hexOfCommand, 0.98}},
}

var stuckInText = &Cause{
	Name: "stuck-in-text", Title: "the module stands in text entry or data state", Prior: 0.02,
	Signs:  []sign{{echoOnly, 0.6}, {openText, 0.4}, {fellSilent, 0.4}},
	Rules:  []*rulebook.Rule{onlyecho.Rule},
	Remedy: "Begin every start with ESC, CR and AT; end every text with Ctrl-Z, and after any doubt send ESC and wait for OK.",
	Tests:  []test{{escapeFirst, 0.95}},
}

var moduleHangs = &Cause{
	Name: "module-hangs", Title: "the module has stopped working", Prior: 0.02,
	Signs:  []sign{{fellSilent, 0.95}},
	Remedy: "Let the controller go up a ladder: try again, ESC, AT+CFUN=4 and 1, the reset line, ten seconds without supply; each with growing pauses.",
	Tests:  []test{{moduleOnlyOff, 0.9}, {escapeFirst, 0.03}},
}

var echoConfusion = &Cause{
	Name: "echo-confusion", Title: "the controller takes the echo for an answer", Prior: 0.02,
	Rules:  []*rulebook.Rule{echoback.Rule},
	Remedy: "Send ATE0 after every start, and still skip a line that equals the command.",
	Tests:  []test{{byHand, 0.8}},
}
