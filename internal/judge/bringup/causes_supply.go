package bringup

// Priors and likelihoods in these files are our estimates, see [Cause].

var supplySags = &Cause{
	Name: "supply-sags", Title: "the supply sags when the radio sends", Prior: 0.10,
	Signs:   []sign{{restarting, 0.95}, {afterSend, 0.5}, {whileSearching, 0.6}, {undervoltage, 0.4}, {lowReading, 0.2}, {sagging, 0.4}, {farAway, 0.3}},
	Besides: []sign{{forgotten, 0.1}, {noiseOnSend, 0.05}, {overlapping, 0.2}, {echoAgain, 0.2}},
	Remedy:  "Use a source that gives 2 A in bursts (2G), leads that are short and thick, ground included, and a low-ESR capacitor at the module's pins; aim for less than 0.3 V of droop.",
	Tests:   []test{scopeAtPins.gives(0.95), otherSource.gives(0.9), radioOffTest.gives(0.9), idleVolts.gives(0.15), lamp.gives(0.1, 0.75, 0.1)},
}

var supplyWrong = &Cause{
	Name: "supply-wrong", Title: "the supply's steady voltage is wrong", Prior: 0.03,
	Signs:  []sign{{lowReading, 0.9}, {undervoltage, 0.6}, {restarting, 0.3}, {offByItself, 0.1}},
	Remedy: "Set the regulator at its final input and load, half a volt of headroom included, and keep to the module's range.",
	Tests:  []test{idleVolts.gives(0.95), otherSource.gives(0.9), lamp.gives(0.3, 0.5, 0.1)},
}

var lowBattery = &Cause{
	Name: "low-battery", Title: "the battery is empty, old or cold", Prior: 0.03,
	Signs:   []sign{{cellLoop, 0.5}, {lowCharge, 0.9}, {restarting, 0.5}, {whileSearching, 0.5}, {undervoltage, 0.3}, {lowReading, 0.4}, {sagging, 0.3}},
	Besides: []sign{{forgotten, 0.1}},
	Remedy:  "Charge or change the cell; let the firmware stop sending below 15 % and begin again only when the voltage has recovered by 0.3 V, with growing pauses.",
	Tests:   []test{otherSource.gives(0.95), idleVolts.gives(0.7), scopeAtPins.gives(0.8)},
}

var overheats = &Cause{
	Name: "overheats", Title: "the regulator or the module gets too hot", Prior: 0.02,
	Signs:  []sign{{offByItself, 0.4}, {fellSilent, 0.3}, {restarting, 0.25}, {undervoltage, 0.1}},
	Remedy: "Give the regulator less to burn (a switching one, or a lower input), copper to cool it, and the module room.",
	Tests:  []test{heat.gives(0.9), idleVolts.gives(0.4), otherSource.gives(0.7)},
}

var brownOutOfController = &Cause{
	Name: "brown-out-of-controller", Title: "the controller itself restarts when the radio sends", Prior: 0.03,
	Signs:   []sign{{setUpAgain, 0.9}, {sameMoment, 0.02}},
	Besides: []sign{{overlapping, 0.7}, {gaveUpEarly, 0.6}},
	Remedy:  "Give controller and module regulators of their own from one strong source, with capacitors on both sides, and log the reset cause.",
	Tests:   []test{resetCause.gives(0.9, 0.03), scopeAtPins.gives(0.7)},
}

var watchdogBites = &Cause{
	Name: "watchdog-too-short", Title: "the controller's watchdog is shorter than a wait that is needed", Prior: 0.02,
	Signs:   []sign{{sameMoment, 0.9}},
	Besides: []sign{{setUpAgain, 0.85}, {overlapping, 0.7}, {gaveUpEarly, 0.6}},
	Remedy:  "Feed the watchdog from the waiting loop, only while each task makes progress, or split the long wait.",
	Tests:   []test{resetCause.gives(0.03, 0.92)},
}

var hardCuts = &Cause{
	Name: "hard-power-cuts", Title: "the supply is cut without switching the module off", Prior: 0.02,
	Signs:  []sign{{cutOff, 0.9}, {forgotten, 0.2}, {offByItself, 0.05}},
	Remedy: "Switch off with the module's command or AT+CFUN=0, wait up to 12 s for its word, and only then cut.",
	Tests:  []test{orderlyOff.gives(0.85)},
}

var backFed = &Cause{
	Name: "back-fed", Title: "the controller's pins feed the module while it should be off", Prior: 0.015,
	Signs:  []sign{{noBytes, 0.6}, {fellSilent, 0.3}, {halfHeard, 0.05}},
	Remedy: "Make the controller's pins inputs or low before the supply goes, use a level shifter that can be switched off, and stay off long enough.",
	Tests:  []test{wiresOff.gives(0.9), moduleOnlyOff.gives(0.8), statusPin.gives(0.3)},
}

var powerKey = &Cause{
	Name: "power-key", Title: "the power key switches the module off instead of on", Prior: 0.03,
	Signs:  []sign{{offByItself, 0.6}, {noBytes, 0.5}, {wentDownEarly, 0.7}, {fellSilent, 0.15}},
	Remedy: "Send AT or look at the status pin first, pulse the key only when it is off, as long as the manual says, and wait for the ready line.",
	Tests:  []test{statusPin.gives(0.85), lamp.gives(0.85, 0.05, 0.05)},
}
