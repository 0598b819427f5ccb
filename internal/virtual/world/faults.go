package world

import (
	"time"

	"firstfix/internal/maybe"
)

// Fault is one thing that can go wrong. It changes the conditions while it is
// on and leaves no trace when it is over.
type Fault struct {
	Name  string
	Title string
	Truth string // what a judge should call it: one of Truths
	Doc   string
	Takes []string // the parameters it understands, see [Params]

	// One or more of these. Moves is for a fault that grows while it is on: it is
	// asked again each Step, and told how long the fault has been on, in whole
	// steps. Arrives is what comes in each time the fault comes on.
	Apply   func(c *Conditions, p Params)
	Moves   func(c *Conditions, p Params, on time.Duration)
	Step    time.Duration
	Arrives func(p Params, period uint64) []Arrival
}

// Faults lists every fault, in the order of the chain from supply to position.
// One file each, fault_<name>.go.
var Faults = []Fault{
	supplySags, supplyDip, supplyDrift, supplyLow, supplyHigh, supplyGone, cellTired, capacitorDry, heat, powerKey,
	wrongSpeed, wrongFrame, slowToTrain, wiresCrossed, moduleDeaf, noisyGround, burstNoise, bytesLost, flowCharacters,
	flowStall, controllerBuffer, softwareSerial, otherMaster, bootText, startNoise,
	echoStays, numericResults, noResults, sleeps, breaksIn, latePrompt, lostPrompt, deafAfterPrompt, slowAnswers, slowStart,
	hangs, resets, charsetLeft,
	noCard, cardContact, cardDead, cardBusy, pinWanted, pukWanted, networkLock, deviceLock, storeFails,
	weakSignal, cellularAntennaMissing, neverRegisters, networkSwitchedOff, registrationDenied, subscriptionEnded, limitedService,
	slowRegistration, roaming, registrationFlaps, registrationStuck, cellsChange, radioLeftOff, deregistered,
	noNetworkTime, wrongZone,
	noServiceCentre, centreWrong, blankTextParameters, storeFull, noTexts, dataOnly, congestion, centreRefuses, quota,
	textsLate, textsDoubled, textsShuffled, textsLost, reportsFailed, reportsMissing, indicationsForgotten,
	adverts, flashTexts, foreignLetters, longTexts, flood, oldTexts,
	noVoice, callerWithheld, callerMissing, callsRepeat,
	attachRefused, contextRefused, contextDropped, noAddress,
	antennasSwapped, noSky, gnssAntennaMissing, gnssAntennaShort, weakSky, halfSky, jammed, desensitised, sharedRadio,
	engineOff, engineStops, coldEveryTime, weekRollover, leapSeconds, earlyDate, noDate,
	reflections, falseSignals, frozenPosition, estimatedPosition, voidFilled,
	damagedSentences, mergedSentences, otherTalkers, tooFast,
}

// FaultNamed finds a fault.
func FaultNamed(name string) (Fault, bool) {
	for _, f := range Faults {
		if f.Name == name {
			return f, true
		}
	}
	return Fault{}, false
}

func faultNames() []string {
	names := make([]string, len(Faults))
	for i, f := range Faults {
		names[i] = f.Name
	}
	return names
}

// Params are the figures a fault may take; each fault lists its own and has a
// figure for what is left out.
type Params struct {
	LossDB       maybe.Value[float64] `yaml:"loss_db"`
	SourceOhm    maybe.Value[float64] `yaml:"source_ohm"`
	VoltageV     maybe.Value[float64] `yaml:"voltage_v"`
	VPerHour     maybe.Value[float64] `yaml:"v_per_hour"`
	TemperatureC maybe.Value[float64] `yaml:"temperature_c"`
	Percent      maybe.Value[float64] `yaml:"percent"`
	PerMillion   maybe.Value[float64] `yaml:"per_million"`
	WaitS        maybe.Value[float64] `yaml:"wait_s"`
	Times        maybe.Value[float64] `yaml:"times"`
	DistanceM    maybe.Value[float64] `yaml:"distance_m"`
	RateHz       maybe.Value[float64] `yaml:"rate_hz"`
	Bytes        maybe.Value[int]     `yaml:"bytes"`
	Count        maybe.Value[int]     `yaml:"count"`
	Weeks        maybe.Value[int]     `yaml:"weeks"`
	Cause        maybe.Value[int]     `yaml:"cause"`
	TriesLeft    maybe.Value[int]     `yaml:"tries_left"`
	Baud         maybe.Value[int]     `yaml:"baud"`
	Coding       maybe.Value[int]     `yaml:"coding"`
	From         string               `yaml:"from"` // "": the fault's own
	Text         string               `yaml:"text"` // "": the fault's own
}

// figure is one parameter as a number, with the limits of the condition that it
// changes.
type figure struct {
	key       string
	known     bool
	value     float64
	low, high float64
}

// figures lists all parameters that are numbers.
func (p *Params) figures() []figure {
	real := func(key string, v maybe.Value[float64], low, high float64) figure {
		return figure{key, v.IsKnown(), v.Or(low), low, high}
	}
	whole := func(key string, v maybe.Value[int], low, high int) figure {
		return figure{key, v.IsKnown(), float64(v.Or(low)), float64(low), float64(high)}
	}
	return []figure{
		real("loss_db", p.LossDB, 0, 100),
		real("source_ohm", p.SourceOhm, 0, 100),
		real("voltage_v", p.VoltageV, 0, 30),
		real("v_per_hour", p.VPerHour, -100, 100),
		real("temperature_c", p.TemperatureC, -60, 150),
		real("percent", p.Percent, 0, 100),
		real("per_million", p.PerMillion, 0, 1e6),
		real("wait_s", p.WaitS, 0, 1e6),
		real("times", p.Times, 0.1, 1000),
		real("distance_m", p.DistanceM, 0, 1e6),
		real("rate_hz", p.RateHz, 0.1, 10),
		whole("bytes", p.Bytes, 1, 1<<20),
		whole("count", p.Count, 0, 1000),
		whole("weeks", p.Weeks, -4096, 4096),
		whole("cause", p.Cause, 1, 255),
		whole("tries_left", p.TriesLeft, 0, 3),
		whole("baud", p.Baud, 300, 4_000_000),
		whole("coding", p.Coding, 0, 255),
	}
}

// given lists the parameters that were written down, by their keys.
func (p *Params) given() []string {
	var keys []string
	for _, f := range p.figures() {
		if f.known {
			keys = append(keys, f.key)
		}
	}
	for _, t := range []struct{ key, text string }{{"from", p.From}, {"text", p.Text}} {
		if t.text != "" {
			keys = append(keys, t.key)
		}
	}
	return keys
}

// or returns text, or other when it was left out.
func or(text, other string) string {
	if text == "" {
		return other
	}
	return text
}
