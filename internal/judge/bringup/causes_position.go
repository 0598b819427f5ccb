package bringup

var noSky = &Cause{
	Name: "no-sky", Title: "the antenna sees too little sky", Prior: 0.09,
	Signs:  []sign{{nothingHeard, 0.35}, {heardFaintly, 0.6}, {goodSky, 0.02}, {weakLevel, 0.07}, {antennaSays, 0.005}, {heardUnused, 0.5}},
	Remedy: "Take it outdoors, antenna up, away from metal, and wait; indoors use no position, or say that it is old.",
	Tests:  []test{openSky.gives(0.95), toWindow.gives(0.8), antennaCurrent.gives(0.03)},
}

var gnssAntennaMissing = &Cause{
	Name: "gnss-antenna-missing", Title: "the GNSS antenna is missing, or has no supply", Prior: 0.04,
	Signs:  []sign{{nothingHeard, 0.8}, {heardFaintly, 0.2}, {goodSky, 0.01}, {antennaSays, 0.4}, {weakLevel, 0.06}},
	Remedy: "Put the antenna on its socket, give an active one its supply through the feed, and use one amplifier, not two.",
	Tests:  []test{antennaCurrent.gives(0.95), openSky.gives(0.03), toWindow.gives(0.05), changeSockets.gives(0.05)},
}

var faintSky = &Cause{
	Name: "weak-gnss-signal", Title: "the GNSS antenna hears too faintly: direction, metal, ground plane or cable", Prior: 0.03,
	Signs:  []sign{{marginal, 0.9}, {heardFaintly, 0.3}, {heardUnused, 0.4}, {goodSky, 0.05}, {nothingHeard, 0.01}},
	Remedy: "Patch towards the sky on 40 to 70 mm of ground plane, away from metal and displays, cable short; aim at four satellites above 35 dB-Hz.",
	Tests:  []test{openSky.gives(0.3), toWindow.gives(0.2), antennaCurrent.gives(0.1), radioOffSky.gives(0.03)},
}

var sharedRadio = &Cause{
	Name: "shared-radio", Title: "cellular radio and positions share one receiver, or the one disturbs the other", Prior: 0.02,
	Signs:  []sign{{fixOnlyRadioOff, 0.9}, {heardUnused, 0.2}, {nothingHeard, 0.2}, {goodSky, 0.5}},
	Remedy: "Take turns: radio off, fix, engine off, radio on, send; and keep the two antennas 20 cm apart.",
	Tests:  []test{radioOffSky.gives(0.95), openSky.gives(0.1)},
}

var coldStarts = &Cause{
	Name: "cold-starts", Title: "every fix is a cold start: memory and clock of the engine are lost", Prior: 0.02,
	Signs:  []sign{{slowFixes, 0.9}},
	Remedy: "Keep the engine's backup supply on, fix at least every two to four hours, and give it up to 120 s after a long pause.",
	Tests:  []test{warmRestart.gives(0.9), openSky.gives(0.3)},
}

var engineOff = &Cause{
	Name: "engine-off", Title: "the position engine does not run, or speaks elsewhere", Prior: 0.05,
	Signs:  []sign{{noSentences, 0.95}, {engineRefused, 0.3}, {nothingToRead, 0.6}},
	Remedy: "Start it after every start of the module, check its supply pin, and look on which port and at what speed its sentences come.",
	Tests:  []test{askEngine.gives(0.95)},
}

var voidFixUsed = &Cause{
	Name: "void-fix-used", Title: "a position is given away without a valid fix", Prior: 0.04,
	Signs:  []sign{{voidGiven, 0.97}},
	Remedy: "Let a position pass only with RMC status A, GGA quality above 0 and an age of seconds; else say that there is none.",
	Tests:  []test{rawBeside.gives(0.97)},
}

var degreesAsDecimals = &Cause{
	Name: "degrees-as-decimals", Title: "degrees and minutes are read as decimal degrees", Prior: 0.04,
	Signs:  []sign{{byDegrees, 0.98}},
	Remedy: "Divide the minutes by 60: ddmm.mmmm is dd + mm.mmmm / 60.",
	Tests:  []test{rawBeside.gives(0.97)},
}

var hemisphereLost = &Cause{
	Name: "hemisphere-lost", Title: "south or west is lost on the way", Prior: 0.03,
	Signs:  []sign{{byHemisphere, 0.98}},
	Remedy: "Apply the sign of N, S, E and W last, to the whole value, also when the degrees are 0.",
	Tests:  []test{rawBeside.gives(0.97)},
}

var latLonSwapped = &Cause{
	Name: "lat-lon-swapped", Title: "latitude and longitude change places", Prior: 0.02,
	Signs:  []sign{{bySwap, 0.98}},
	Remedy: "Name the two values in the program; links and geo: take latitude first, GeoJSON longitude.",
	Tests:  []test{rawBeside.gives(0.97)},
}

var digitsLost = &Cause{
	Name: "digits-lost", Title: "the position loses digits on the way", Prior: 0.03,
	Signs:  []sign{{byDigits, 0.97}},
	Remedy: "Keep 1e-7 degrees in whole numbers, not in 32-bit floats, and print five or six decimals.",
	Tests:  []test{rawBeside.gives(0.97)},
}

var staleFixUsed = &Cause{
	Name: "stale-fix-used", Title: "an old position is given away as the present one", Prior: 0.03,
	Signs:  []sign{{staleGiven, 0.95}},
	Remedy: "Send the time of the fix or its age with each position, and refuse one older than your limit.",
	Tests:  []test{rawBeside.gives(0.9)},
}

var numberNotPrinted = &Cause{
	Name: "number-not-printed", Title: "the controller prints the numbers of a position wrongly", Prior: 0.02,
	Signs:  []sign{{misprinted, 0.95}},
	Remedy: "Print degrees from whole numbers with leading zeros kept, and a point as decimal sign; small print functions know no floats.",
	Tests:  []test{rawBeside.gives(0.95)},
}

var sentencesDamaged = &Cause{
	Name: "sentences-damaged", Title: "bytes of the sentences are lost or damaged on the way", Prior: 0.03,
	Signs:  []sign{{badSums, 0.9}, {crowdedLine, 0.2}, {leaps, 0.1}},
	Remedy: "Read the port all the time, with a buffer for the longest pause, raise the speed or leave out sentences, and drop what fails its checksum.",
	Tests:  []test{passThrough.gives(0.8), groundToGround.gives(0.15)},
}

var tooManySentences = &Cause{
	Name: "line-overfull", Title: "the receiver says more than the line can carry", Prior: 0.015,
	Signs:  []sign{{crowdedLine, 0.95}, {badSums, 0.4}},
	Remedy: "Raise the speed to 38400 or more, or leave out GSV and VTG and stay at one position a second.",
	Tests:  []test{passThrough.gives(0.05)},
}

var dateRollover = &Cause{
	Name: "date-rollover", Title: "the receiver's firmware counts the weeks from the wrong round of 1024", Prior: 0.01,
	Signs:  []sign{{oldWeeks, 0.95}},
	Remedy: "Update the receiver's firmware; until then add 7168 days while the date lies before the day the program was built.",
	Tests:  []test{rawBeside.gives(0.1)},
}

var positionJumps = &Cause{
	Name: "position-jumps", Title: "reflections or a poor sky make the position jump", Prior: 0.025,
	Signs:  []sign{{leaps, 0.9}, {marginal, 0.2}, {badSums, 0.02}},
	Remedy: "Drop the first fixes after a gap and those with an HDOP above 3, and let a fence have a dead band of twice the usual wandering.",
	Tests:  []test{standStill.gives(0.85), openSky.gives(0.5)},
}
