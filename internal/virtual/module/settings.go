package module

import (
	"firstfix/internal/virtual/world"
	"firstfix/internal/wire/uart"
)

// settings is every value that a command can set and read back. It is a plain
// value: saving it is copying it.
type settings struct {
	echo, quiet, numeric bool
	s                    [12]int // the S registers
	x, c, d, l, m        int     // X, &C, &D, L, M: kept and without effect here
	icf                  [2]int
	ifc                  [2]int
	ilrr                 int
	ipr                  int // -1: as it was found

	cmee, cfun             int
	creg, cgreg, cereg     int
	copsMode, copsFormat   int
	clip, crc, clir        int
	cusd                   int
	cmer                   [5]int
	cgerep                 [2]int
	cpsms                  psms
	edrx                   edrx
	cmgf, csdh, csms, cmms int
	ctzr, ctzu             int
	cscs                   string
	csmp                   [4]int
	cnmi                   [5]int
	cscb                   broadcasts
	memory                 [3]memoryName // +CPMS: read and delete; write and send; receive
	centre                 string        // +CSCA
	centreType             int

	gnss, stream, sleep bool
}

// psms and edrx are kept and without effect here: a module that saves power
// by them is not played.
type psms struct {
	on                 int
	tau, activeTime    string
	rau, gprsReadyTime string
}

type edrx struct {
	on     int
	access int
	value  string
}

// broadcasts is +CSCB: which messages of the cell are wanted.
type broadcasts struct {
	reject     int
	mids, dcss string
}

// profiles is how many sets of settings can be saved: 0, which a start brings
// back, and 1.
const profiles = 2

// memoryName is a store of texts, 27.005 clause 3.1.
type memoryName uint8

const (
	memoryCard memoryName = iota
	memoryModule
	memoryReports    // status reports
	memoryBroadcasts // messages of the cell
	memoryCount
)

var memoryWords = [memoryCount]string{"SM", "ME", "SR", "BM"}

// factory returns what AT&F brings: the standards' defaults. Where a standard
// has none, the value is the usual one.
func factory() settings {
	s := settings{echo: true, cfun: 1, x: 4, c: 1, d: 2, l: 2, m: 1, icf: [2]int{3, 3}, ipr: -1, cscs: "GSM", csmp: [4]int{17, 167, 0, 0}}
	s.s[3], s.s[4], s.s[5] = 13, 10, 8 // V.250 6.2.1 to 6.2.3
	s.s[6], s.s[7], s.s[8], s.s[10] = 2, 60, 2, 15
	s.edrx.access, s.edrx.value = 4, "0000"
	return s
}

// firstSettings returns what the module holds before anybody spoke to it.
func firstSettings(c *world.Conditions) settings {
	s := factory()
	w := &c.Settings
	s.echo, s.cmee, s.cmgf, s.cscs = w.Echo, w.CMEE, w.CMGF, w.CSCS
	s.numeric, s.quiet, s.sleep, s.cfun, s.copsMode = w.Numeric, w.Quiet, w.Sleep, w.CFUN, w.COPS
	copy(s.csmp[:], w.CSMP)
	copy(s.cnmi[:], w.CNMI)
	for i := range s.memory {
		if w.Memory == memoryWords[memoryModule] {
			s.memory[i] = memoryModule
		}
	}
	s.gnss = c.GNSS.OnAtStart
	s.icf = icfOf(c.Line.Frame)
	return s
}

// restored returns next with the settings that neither ATZ nor AT&F touch
// taken from now: those that live on the card, in the radio or in the engine.
func restored(next, now settings) settings {
	next.cfun, next.copsMode, next.memory = now.cfun, now.copsMode, now.memory
	next.csmp, next.cscb, next.centre, next.centreType = now.csmp, now.cscb, now.centre, now.centreType
	next.gnss, next.sleep, next.ipr = now.gnss, now.sleep, now.ipr
	return next
}

// frames are the formats of +ICF: V.250 clause 6.2.11. 0 finds the frame
// itself, which is played as 8N1.
var frames = []struct {
	format int
	frame  uart.Frame
	parity bool // the parity field counts
}{
	{0, uart.EightN1, false},
	{1, uart.Frame{DataBits: 8, StopBits: 2}, false},
	{2, uart.Frame{DataBits: 8, StopBits: 1}, true},
	{3, uart.EightN1, false},
	{4, uart.Frame{DataBits: 7, StopBits: 2}, false},
	{5, uart.Frame{DataBits: 7, StopBits: 1}, true},
	{6, uart.Frame{DataBits: 7, StopBits: 1}, false},
}

// parities: 0 odd, 1 even, 2 mark, 3 space (V.250 clause 6.2.11).
var parities = [...]uart.Parity{uart.Odd, uart.Even, uart.Mark, uart.Space}

// icfOf is the +ICF that goes with a frame as worlds spell it.
func icfOf(frame string) [2]int {
	f, fits := uart.ParseFrame(frame)
	if !fits {
		return [2]int{3, 3}
	}
	for _, row := range frames[1:] {
		same := row.frame.DataBits == f.DataBits && row.frame.StopBits == f.StopBits
		switch {
		case same && !row.parity && f.Parity == uart.None:
			return [2]int{row.format, 3}
		case same && row.parity && f.Parity != uart.None:
			for n, p := range parities {
				if p == f.Parity {
					return [2]int{row.format, n}
				}
			}
		}
	}
	return [2]int{3, 3}
}

// Frame is how the module's end wraps a character.
func (m *Module) Frame() uart.Frame {
	row := frames[m.settings.icf[0]]
	if row.parity {
		row.frame.Parity = parities[m.settings.icf[1]]
	}
	return row.frame
}
