package fix

import (
	"fmt"
	"math"
	"slices"
)

// An AntennaState is one thing that may be the matter with an antenna, and what it makes the
// receiver hear. All figures are our estimates: receivers and antennas differ by some decibels.
type AntennaState struct {
	Name   string // stable
	Title  string
	Remedy string
	prior  float64
	expect [features]expectation
}

// expectation is a figure and how far off it is usual.
type expectation struct{ value, deviation float64 }

// The figures that a state is judged by.
const (
	featureBest     = iota // level of the strongest satellite, dB-Hz
	featureFourth          // of the fourth strongest
	featureHeard           // satellites heard, on the mean; a dozen and more count as twelve
	featureRise            // high ones less low ones, dB
	featureArc             // the widest side that is blocked, degrees
	featureUneven          // deviation among satellites of one elevation, dB
	featureCellular        // level of the network, dBm: on the wrong antenna it is faint as well
	features
)

var featureNames = [features]struct{ name, format string }{
	{"strongest satellite", "%.0f dB-Hz"}, {"fourth strongest", "%.0f dB-Hz"}, {"satellites heard", "%.1f"},
	{"satellites above 30 degrees against those below", "%+.0f dB"}, {"widest blocked side", "%.0f degrees"}, {"unlike levels at one elevation", "%.0f dB"}, {"the network", "%.0f dBm"},
}

// antennaStates are what is weighed. The usual span of an open sky is 33 to 49 dB-Hz, 40 to 50 with a good
// antenna (forum-grade); an amplifier makes up for 10 to 15 dB of cable and noise; an antenna made for another
// band and polarisation loses about 25 dB, an empty socket more; one that looks down hears by reflection and
// over its edge, low satellites best.
var antennaStates = []AntennaState{
	{"good", "the antenna hears as it should", "", 0.4, [features]expectation{{47, 4}, {43, 4}, {10.5, 2.5}, {7, 4}, {0, 30}, {2, 1.5}, {-80, 14}}},
	{"blocked", "one side of the sky is blocked", "Move the antenna away from the wall or the machine, or higher.", 0.15,
		[features]expectation{{45, 4}, {38, 5}, {7.5, 2.5}, {7, 5}, {130, 50}, {6, 3}, {-80, 14}}},
	{"passive-for-active", "the antenna lacks its amplifier: a passive one where an active one is meant, or an active one without its supply",
		"Measure the voltage at the antenna's socket; use an active antenna, or the module's setting for its supply.", 0.12,
		[features]expectation{{35, 2.5}, {30.5, 2.5}, {9, 2.5}, {7, 4}, {0, 40}, {1.5, 1.2}, {-80, 14}}},
	{"face-down", "the antenna looks down", "Turn it over: the side with the patch, usually the plain one without a metal plate, looks to the sky.", 0.08,
		[features]expectation{{34, 5}, {29, 5}, {7.5, 3}, {-7, 4}, {0, 60}, {4, 2}, {-80, 14}}},
	{"swapped", "another antenna is on the GNSS socket, probably the cellular one", "See whether the network is faint too: then switch off, follow both cables, swap the plugs. Levels alone hardly tell this from a covered sky.", 0.08,
		[features]expectation{{23, 2.5}, {18, 3.5}, {4, 3.5}, {2.5, 3}, {0, 60}, {1.2, 1.2}, {-100, 7}}},
	{"missing", "no antenna is connected, or its cable is broken", "Switch off, look at plug and cable; measure the cable's resistance.", 0.1,
		[features]expectation{{11, 4}, {11, 4}, {0.2, 0.6}, {0, 8}, {0, 120}, {3, 3}, {-80, 14}}},
	{"covered", "the whole sky is covered: a roof, a metal lid, indoors", "Take it outdoors, antenna up, and compare.", 0.3,
		[features]expectation{{29, 5.5}, {22, 5}, {6, 3.5}, {3, 5}, {20, 60}, {3.5, 2}, {-80, 14}}},
}

// A Weighed is a state with how well it explains what was heard.
type Weighed struct {
	State   *AntennaState
	Weight  float64  // of 1, all states together; by our estimates
	For     []string // figures that fit it
	Against []string // figures that do not
}

// minReports is how many reports of the sky are asked for: half a minute of them.
const minReports = 30

// Antenna weighs what may be the matter with the antenna, the likeliest first; nil when
// too little was heard of the sky to say. Nothing heard is something; no report is not.
func (f *HearingFigures) Antenna() []Weighed {
	if f.Reports < minReports {
		return nil
	}
	value, known := f.features()
	out := make([]Weighed, 0, len(antennaStates))
	most := math.Inf(-1)
	for i := range antennaStates {
		s := &antennaStates[i]
		score := math.Log(s.prior)
		w := Weighed{State: s}
		for k := range features {
			if !known[k] {
				continue
			}
			e := s.expect[k]
			z := (value[k] - e.value) / e.deviation
			// A figure far off says no more than one that is four deviations off: receivers differ.
			score -= math.Min(z*z, 16)/2 + math.Log(e.deviation)
			text := featureNames[k].name + " " + fmt.Sprintf(featureNames[k].format, value[k])
			if k == featureBest && !f.BestDBHz.IsKnown() || k == featureFourth && !f.FourthDBHz.IsKnown() {
				text = featureNames[k].name + " not heard"
			}
			switch {
			case math.Abs(z) <= 1.5:
				w.For = append(w.For, text)
			case math.Abs(z) > 2.5:
				w.Against = append(w.Against, text+", expected about "+fmt.Sprintf(featureNames[k].format, e.value))
			}
		}
		w.Weight = score
		most = math.Max(most, score)
		out = append(out, w)
	}
	sum := 0.0
	for i := range out {
		out[i].Weight = math.Exp(out[i].Weight - most)
		sum += out[i].Weight
	}
	for i := range out {
		out[i].Weight /= sum
	}
	slices.SortStableFunc(out, func(a, b Weighed) int {
		switch {
		case a.Weight > b.Weight:
			return -1
		case a.Weight < b.Weight:
			return 1
		}
		return 0
	})
	return out
}

const (
	tooFaintDBHz       = 11 // for the strongest
	fourthTooFaintDBHz = 15 // for the fourth, when others are heard
	manyHeard          = 12 // receivers of several systems hear thirty, of one twelve at most
)

func (f *HearingFigures) features() (value [features]float64, known [features]bool) {
	// What is not heard is below what a receiver can hear; how far, nobody knows.
	value[featureBest], known[featureBest] = f.BestDBHz.Or(tooFaintDBHz), true
	value[featureFourth], known[featureFourth] = f.FourthDBHz.Or(math.Min(value[featureBest], fourthTooFaintDBHz)), true
	value[featureHeard], known[featureHeard] = math.Min(f.MeanHeard, manyHeard), true
	value[featureRise], known[featureRise] = f.RiseDB.Get()
	value[featureUneven], known[featureUneven] = f.UnevenDB.Get()
	for i := range f.BlockedArcs {
		value[featureArc] = math.Max(value[featureArc], f.BlockedArcs[i].WidthDeg())
	}
	known[featureArc] = len(f.Cells) >= 4
	value[featureCellular], known[featureCellular] = f.CellularDBm.Get()
	return value, known
}
