package bringup

import (
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules/degreesminutes"
	"firstfix/internal/judge/rules/fewdigits"
	"firstfix/internal/judge/rules/floatdigits"
	"firstfix/internal/judge/rules/hemisphere"
	"firstfix/internal/judge/rules/lostzeros"
	"firstfix/internal/judge/rules/mergedsentences"
	"firstfix/internal/judge/rules/noheard"
	"firstfix/internal/judge/rules/sentencesum"
	"firstfix/internal/judge/rules/stalefix"
	"firstfix/internal/judge/rules/swappedaxes"
	"firstfix/internal/judge/rules/unprinted"
	"firstfix/internal/judge/rules/voidfix"
	"firstfix/internal/judge/rules/weekrollover"
)

var noSky = &Cause{
	Name: "no-sky", Title: "the antenna sees too little sky", Prior: 0.10,
	Signs:  []sign{{nothingHeard, 0.35}, {heardFaintly, 0.6}, {goodSky, 0.02}, {weakLevel, 0.10}, {antennaSays, 0.005}},
	Rules:  []*rulebook.Rule{noheard.Rule},
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
	Rules:  []*rulebook.Rule{voidfix.Rule},
	Remedy: "Let a position pass only with RMC status A, GGA quality above 0 and an age of seconds; else say that there is none.",
	Tests:  []test{{rawBeside, 0.97}},
}

var degreesAsDecimals = &Cause{
	Name: "degrees-as-decimals", Title: "degrees and minutes are read as decimal degrees", Prior: 0.04,
	Signs:  []sign{{byDegrees, 0.98}},
	Rules:  []*rulebook.Rule{degreesminutes.Rule},
	Remedy: "Divide the minutes by 60: ddmm.mmmm is dd + mm.mmmm / 60.",
	Tests:  []test{{rawBeside, 0.97}},
}

var hemisphereLost = &Cause{
	Name: "hemisphere-lost", Title: "south or west is lost on the way", Prior: 0.03,
	Signs:  []sign{{byHemisphere, 0.98}},
	Rules:  []*rulebook.Rule{hemisphere.Rule},
	Remedy: "Apply the sign of N, S, E and W last, to the whole value, also when the degrees are 0.",
	Tests:  []test{{rawBeside, 0.97}},
}

var latLonSwapped = &Cause{
	Name: "lat-lon-swapped", Title: "latitude and longitude change places", Prior: 0.02,
	Signs:  []sign{{bySwap, 0.98}},
	Rules:  []*rulebook.Rule{swappedaxes.Rule},
	Remedy: "Name the two values in the program; links and geo: take latitude first, GeoJSON longitude.",
	Tests:  []test{{rawBeside, 0.97}},
}

var digitsLost = &Cause{
	Name: "digits-lost", Title: "the position loses digits on the way", Prior: 0.03,
	Signs:  []sign{{byDigits, 0.97}},
	Rules:  []*rulebook.Rule{floatdigits.Rule, fewdigits.Rule},
	Remedy: "Keep 1e-7 degrees in whole numbers, not in 32-bit floats, and print five or six decimals.",
	Tests:  []test{{rawBeside, 0.97}},
}

var staleFixUsed = &Cause{
	Name: "stale-fix-used", Title: "an old position is given away as the present one", Prior: 0.03,
	Signs:  []sign{{staleGiven, 0.95}},
	Rules:  []*rulebook.Rule{stalefix.Rule},
	Remedy: "Send the time of the fix or its age with each position, and refuse one older than your limit.",
	Tests:  []test{{rawBeside, 0.9}},
}

var numberNotPrinted = &Cause{
	Name: "number-not-printed", Title: "the controller prints the numbers of a position wrongly", Prior: 0.02,
	Rules:  []*rulebook.Rule{unprinted.Rule, lostzeros.Rule},
	Remedy: "Print degrees from whole numbers with leading zeros kept, and a point as decimal sign; small print functions know no floats.",
	Tests:  []test{{rawBeside, 0.95}},
}

var sentencesDamaged = &Cause{
	Name: "sentences-damaged", Title: "bytes of the sentences are lost or damaged on the way", Prior: 0.03,
	Signs:  []sign{{badSums, 0.9}},
	Rules:  []*rulebook.Rule{mergedsentences.Rule, sentencesum.Rule},
	Remedy: "Read the port all the time, with a buffer for the longest pause, raise the speed or leave out sentences, and drop what fails its checksum.",
	Tests:  []test{{passThrough, 0.8}, {groundToGround, 0.15}},
}

var dateRollover = &Cause{
	Name: "date-rollover", Title: "the receiver's firmware counts the weeks from the wrong round of 1024", Prior: 0.01,
	Rules:  []*rulebook.Rule{weekrollover.Rule},
	Remedy: "Update the receiver's firmware; until then add 7168 days while the date lies before the day the program was built.",
	Tests:  []test{{rawBeside, 0.9}},
}
