package world

import "firstfix/internal/maybe"

// Fault is one thing that can go wrong. It changes the conditions while it is
// on and leaves no trace when it is over.
type Fault struct {
	Name  string
	Title string
	Truth string // what a judge should call it: one of Truths
	Doc   string
	Takes []string // the parameters it understands, see [Params]
	Apply func(c *Conditions, p Params)
}

// Faults lists every fault, in the order of the chain from supply to position.
// One file each, fault_<name>.go.
var Faults = []Fault{
	supplySags, supplyDip,
	wrongSpeed,
	noCard, cardContact, pinWanted,
	weakSignal, neverRegisters, registrationDenied, registrationFlaps,
	noServiceCentre, blankTextParameters, storeFull,
	antennasSwapped, noSky, engineOff,
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

// Scheduled is a fault in a world's life. Without at_s it is on from the start;
// without until_s it stays. With every_s it comes back: on for for_s in each
// period, later by up to jitter_s.
type Scheduled struct {
	Fault   string  `yaml:"fault"`
	AtS     float64 `yaml:"at_s"`
	UntilS  float64 `yaml:"until_s"` // 0: for good
	EveryS  float64 `yaml:"every_s"` // 0: once
	ForS    float64 `yaml:"for_s"`
	JitterS float64 `yaml:"jitter_s"`
	Params  `yaml:",inline"`
}

// Params are the figures a fault may take; each fault lists its own and has a
// figure for what is left out.
type Params struct {
	LossDB    maybe.Value[float64] `yaml:"loss_db"`
	SourceOhm maybe.Value[float64] `yaml:"source_ohm"`
	VoltageV  maybe.Value[float64] `yaml:"voltage_v"`
	Cause     maybe.Value[int]     `yaml:"cause"`
	TriesLeft maybe.Value[int]     `yaml:"tries_left"`
	Baud      maybe.Value[int]     `yaml:"baud"`
	Coding    maybe.Value[int]     `yaml:"coding"`
}

// given lists the parameters that were written down, by their keys.
func (p Params) given() []string {
	rows := []struct {
		key   string
		known bool
	}{
		{"loss_db", p.LossDB.IsKnown()},
		{"source_ohm", p.SourceOhm.IsKnown()},
		{"voltage_v", p.VoltageV.IsKnown()},
		{"cause", p.Cause.IsKnown()},
		{"tries_left", p.TriesLeft.IsKnown()},
		{"baud", p.Baud.IsKnown()},
		{"coding", p.Coding.IsKnown()},
	}
	var keys []string
	for _, r := range rows {
		if r.known {
			keys = append(keys, r.key)
		}
	}
	return keys
}
