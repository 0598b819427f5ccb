package bringup

var noSky = &Cause{
	Name: "no-sky", Title: "the antenna sees too little sky", Prior: 0.10,
	Signs:  []sign{{nothingHeard, 0.35}, {heardFaintly, 0.6}, {goodSky, 0.02}, {weakLevel, 0.10}, {antennaSays, 0.005}},
	Remedy: "Take it outdoors, antenna up, away from metal, and wait; indoors use no position, or say that it is old.",
	Tests:  []test{{openSky, 0.95}, {antennaCurrent, 0.03}},
}

var gnssAntennaMissing = &Cause{
	Name: "gnss-antenna-missing", Title: "the GNSS antenna is missing, or has no supply", Prior: 0.04,
	Signs:  []sign{{nothingHeard, 0.8}, {heardFaintly, 0.2}, {goodSky, 0.01}, {antennaSays, 0.4}, {weakLevel, 0.08}},
	Remedy: "Put the antenna on its socket, give an active one its supply through the feed, and use one amplifier, not two.",
	Tests:  []test{{antennaCurrent, 0.95}, {openSky, 0.03}, {changeSockets, 0.05}},
}

var engineOff = &Cause{
	Name: "engine-off", Title: "the position engine does not run, or speaks elsewhere", Prior: 0.05,
	Signs:  []sign{{noSentences, 0.95}, {engineRefused, 0.3}},
	Remedy: "Start it after every start of the module, check its supply pin, and look on which port and at what speed its sentences come.",
	Tests:  []test{{askEngine, 0.95}},
}

var voidFixUsed = &Cause{
	Name: "void-fix-used", Title: "a position is given away without a valid fix", Prior: 0.04,
	Signs:  []sign{{voidGiven, 0.97}},
	Remedy: "Let a position pass only with RMC status A, GGA quality above 0 and an age of seconds; else say that there is none.",
	Tests:  []test{{rawBeside, 0.97}},
}

var degreesAsDecimals = &Cause{
	Name: "degrees-as-decimals", Title: "degrees and minutes are read as decimal degrees", Prior: 0.04,
	Signs:  []sign{{byDegrees, 0.98}},
	Remedy: "Divide the minutes by 60: ddmm.mmmm is dd + mm.mmmm / 60.",
	Tests:  []test{{rawBeside, 0.97}},
}

var hemisphereLost = &Cause{
	Name: "hemisphere-lost", Title: "south or west is lost on the way", Prior: 0.03,
	Signs:  []sign{{byHemisphere, 0.98}},
	Remedy: "Apply the sign of N, S, E and W last, to the whole value, also when the degrees are 0.",
	Tests:  []test{{rawBeside, 0.97}},
}

var latLonSwapped = &Cause{
	Name: "lat-lon-swapped", Title: "latitude and longitude change places", Prior: 0.02,
	Signs:  []sign{{bySwap, 0.98}},
	Remedy: "Name the two values in the program; links and geo: take latitude first, GeoJSON longitude.",
	Tests:  []test{{rawBeside, 0.97}},
}

var digitsLost = &Cause{
	Name: "digits-lost", Title: "the position loses digits on the way", Prior: 0.03,
	Signs:  []sign{{byDigits, 0.97}},
	Remedy: "Keep 1e-7 degrees in whole numbers, not in 32-bit floats, and print five or six decimals.",
	Tests:  []test{{rawBeside, 0.97}},
}
