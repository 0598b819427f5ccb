package controller

import "strconv"

// Pin is one pin of a port: PinOf('D', 1) is PD1.
type Pin uint8

// NoPin stands where a part has none.
const NoPin Pin = 0xFF

const (
	maxPorts = 12 // A to L, as on the largest part of the family
	maxPins  = maxPorts * 8
)

// PinOf names a pin by its port's letter and its bit.
func PinOf(port byte, bit int) Pin { return Pin((port-'A')*8 + byte(bit)) }

func (p Pin) port() uint8 { return uint8(p) / 8 }
func (p Pin) mask() uint8 { return 1 << (p % 8) }

// String writes the pin as the datasheet does: PD1.
func (p Pin) String() string {
	if p == NoPin {
		return "no pin"
	}
	return "P" + string(rune('A'+p.port())) + strconv.Itoa(int(p%8))
}

// Drive is what one side does to a wire.
type Drive uint8

// The four things that a side can do.
const (
	Floating Drive = iota // nothing
	PulledUp              // a resistor to the supply
	Low                   // driven to ground
	High                  // driven to the supply
)

func (d Drive) String() string {
	return [...]string{"floating", "pulled up", "low", "high"}[d&3]
}

// Level is what the wire has when one side does d and the other does other. Nobody
// driving leaves it floating; two sides driving against each other is a fault of
// the board, and low wins, as it mostly does (common practice, no source).
func (d Drive) Level(other Drive) (high, floats bool) {
	if d == Low || other == Low {
		return false, false
	}
	if d == Floating && other == Floating {
		return false, true
	}
	return true, false
}
