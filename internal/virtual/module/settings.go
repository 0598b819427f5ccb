package module

import "firstfix/internal/virtual/world"

// settings is every value that a command can set and read back. It is a plain
// value: saving it is copying it.
type settings struct {
	echo, quiet, numeric bool
	s                    [12]int // the S registers
	x, c, d              int     // X, &C, &D: kept and without effect here
	icf                  [2]int

	cmee, cfun             int
	creg, cgreg, cereg     int
	copsMode, copsFormat   int
	clip, cmgf, csdh, csms int
	ctzr, ctzu             int
	cscs                   string
	csmp                   [4]int
	cnmi                   [5]int
	memory                 [3]memoryName // +CPMS: read and delete; write and send; receive
	centre                 string        // +CSCA
	centreType             int

	gnss, stream, sleep bool
}

// memoryName is a store of texts, 27.005 clause 3.1.
type memoryName uint8

const (
	memoryCard memoryName = iota
	memoryModule
	memoryCount
)

var memoryWords = [memoryCount]string{"SM", "ME"}

// factory returns what AT&F brings: the standards' defaults. Where a standard
// has none, the value is the usual one.
func factory() settings {
	s := settings{echo: true, cfun: 1, x: 4, c: 1, d: 2, icf: [2]int{3, 3}, cscs: "GSM", csmp: [4]int{17, 167, 0, 0}}
	s.s[3], s.s[4], s.s[5] = 13, 10, 8 // V.250 6.2.1 to 6.2.3
	s.s[6], s.s[7], s.s[8], s.s[10] = 2, 60, 2, 15
	return s
}

// firstSettings returns what the module holds before anybody spoke to it.
func firstSettings(c *world.Conditions) settings {
	s := factory()
	s.echo, s.cmee, s.cmgf, s.cscs = c.Settings.Echo, c.Settings.CMEE, c.Settings.CMGF, c.Settings.CSCS
	copy(s.csmp[:], c.Settings.CSMP)
	copy(s.cnmi[:], c.Settings.CNMI)
	for i := range s.memory {
		if c.Settings.Memory == memoryWords[memoryModule] {
			s.memory[i] = memoryModule
		}
	}
	s.gnss = c.GNSS.OnAtStart
	return s
}

// restored returns next with the settings that neither ATZ nor AT&F touch
// taken from now: those that live on the card, in the radio or in the engine.
func restored(next, now settings) settings {
	next.cfun, next.copsMode, next.memory = now.cfun, now.copsMode, now.memory
	next.csmp, next.centre, next.centreType = now.csmp, now.centre, now.centreType
	next.gnss, next.sleep = now.gnss, now.sleep
	return next
}
