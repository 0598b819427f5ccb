package nmea

import "slices"

// qualities are those of GGA, field 6. 3 to 8 came with version 2.3.
var qualities = [...]string{
	0: "no fix",
	1: "standard GPS service",
	2: "differential (SBAS included)",
	3: "precise positioning service",
	4: "RTK, fixed ambiguities",
	5: "RTK, float ambiguities",
	6: "estimated (dead reckoning)",
	7: "manual input",
	8: "simulator",
}

// QualityMeaning puts a GGA quality into words; "" for a number the table does not have.
func QualityMeaning(quality int) string {
	if quality < 0 || quality >= len(qualities) {
		return ""
	}
	return qualities[quality]
}

// Mode is the mode indicator of RMC, GLL, VTG and GNS: 'A', 'D', …; 0 when not said.
type Mode byte

// modes: A, D, E, M, N and S since version 2.3; F, P and R since 3.0 or later
// (the versions from memory).
var modes = [256]string{
	'A': "autonomous",
	'D': "differential",
	'E': "estimated (dead reckoning)",
	'F': "RTK float",
	'M': "manual input",
	'N': "not valid",
	'P': "precise",
	'R': "RTK fixed",
	'S': "simulator",
}

// String is the mode in words: "autonomous".
func (m Mode) String() string {
	if m == 0 {
		return "not known"
	}
	return orUnlisted(modes[m])
}

// Measured says that the mode stands for a position measured now: A, D, F, P or R.
// E, M, N and S do not, whatever numbers stand beside them; status is then V
// (version 2.3, from memory).
func (m Mode) Measured() bool {
	switch m {
	case 'A', 'D', 'F', 'P', 'R':
		return true
	}
	return false
}

// NavStatus is the navigational status of RMC and GNS since version 4.1; 0 when not said.
type NavStatus byte

var navStatuses = [256]string{
	'S': "safe",
	'C': "caution",
	'U': "unsafe",
	'V': "no statement of integrity (the usual value of equipment that makes none)",
}

// String is the status in words.
func (n NavStatus) String() string {
	if n == 0 {
		return "not known"
	}
	return orUnlisted(navStatuses[n])
}

var statuses = [256]string{'A': "valid", 'V': "not valid: a warning"}

var fixTypes = [...]string{1: "no fix", 2: "two-dimensional", 3: "three-dimensional"}

// HeadingMode is how the heading of THS is known; 0 when not said.
type HeadingMode byte

// String is the mode in words.
func (m HeadingMode) String() string {
	if m == 0 {
		return "not known"
	}
	return orUnlisted(headingModes[m])
}

// headingModes are those of THS, field 2.
var headingModes = [256]string{
	'A': "autonomous",
	'E': "estimated (dead reckoning)",
	'M': "manual input",
	'S': "simulator",
	'V': "not valid",
}

// The systems, as their names are written everywhere here.
const (
	GPS     = "GPS"
	GLONASS = "GLONASS"
	Galileo = "Galileo"
	BeiDou  = "BeiDou"
	QZSS    = "QZSS"
	NavIC   = "NavIC"
	SBAS    = "SBAS"
)

// systemNames are the system ids of GSA, GBS and GRS: 1 to 4 since version 4.10,
// 5 and 6 since 4.11 (these two from memory).
var systemNames = [...]string{1: GPS, 2: GLONASS, 3: Galileo, 4: BeiDou, 5: QZSS, 6: NavIC}

// SystemName returns the name for a system id, "" for one the table does not have.
func SystemName(id int) string {
	if id < 0 || id >= len(systemNames) {
		return ""
	}
	return systemNames[id]
}

// A Talker is who says a sentence.
type Talker struct {
	ID     string
	System string // the one system it speaks of; "" for several
	Title  string
}

// Talkers are the talkers a GNSS receiver uses.
var Talkers = []Talker{
	{"GP", GPS, "GPS alone"},
	{"GL", GLONASS, "GLONASS alone"},
	{"GA", Galileo, "Galileo alone"},
	{"GB", BeiDou, "BeiDou alone"},
	{"BD", BeiDou, "BeiDou, before version 4.11; never in the standard (from memory)"},
	{"GQ", QZSS, "QZSS alone"},
	{"QZ", QZSS, "QZSS, as some equipment writes it (from memory)"},
	{"GI", NavIC, "NavIC alone"},
	{"GN", "", "several systems together"},
}

// TalkerTitle puts a talker into words; "" for one the table does not have.
func TalkerTitle(talker string) string {
	for i := range Talkers {
		if Talkers[i].ID == talker {
			return Talkers[i].Title
		}
	}
	return ""
}

// talkerSystem is the one system a talker speaks of; "" for several or an unknown one.
func talkerSystem(talker string) string {
	switch talker { // Talkers as a switch: epochs ask it for every GSV
	case "GP":
		return GPS
	case "GL":
		return GLONASS
	case "GA":
		return Galileo
	case "GB", "BD":
		return BeiDou
	case "GQ", "QZ":
		return QZSS
	case "GI":
		return NavIC
	}
	return ""
}

// A signalName names one signal of one system; ids are hexadecimal digits in GSV
// (field after the satellites), GBS and GRS, since version 4.1.
type signalName struct {
	System string
	ID     int
	Name   string
}

// signalNames: those marked † are from memory.
var signalNames = []signalName{
	{GPS, 0, "all signals"}, // †
	{GPS, 1, "L1 C/A"},
	{GPS, 2, "L1 P(Y)"}, // †
	{GPS, 3, "L1 M"},    // †
	{GPS, 4, "L2 P(Y)"}, // †
	{GPS, 5, "L2C-M"},
	{GPS, 6, "L2C-L"},
	{GPS, 7, "L5-I"},
	{GPS, 8, "L5-Q"},
	{GLONASS, 0, "all signals"}, // †
	{GLONASS, 1, "L1 OF (C/A)"},
	{GLONASS, 2, "L1 P"}, // †
	{GLONASS, 3, "L2 OF (C/A)"},
	{GLONASS, 4, "L2 P"},        // †
	{Galileo, 0, "all signals"}, // †
	{Galileo, 1, "E5a"},
	{Galileo, 2, "E5b"},
	{Galileo, 3, "E5 a+b"}, // †
	{Galileo, 4, "E6-A"},   // †
	{Galileo, 5, "E6-BC"},  // †
	{Galileo, 6, "L1-A"},   // †
	{Galileo, 7, "E1-BC"},
	{BeiDou, 0, "all signals"}, // †
	{BeiDou, 1, "B1I"},
	{BeiDou, 3, "B1C"},
	{BeiDou, 5, "B2a"},
	{BeiDou, 11, "B2I"},
	{QZSS, 0, "all signals"}, // †
	{QZSS, 1, "L1 C/A"},
	{QZSS, 4, "L1S"},
	{QZSS, 5, "L2C-M"},
	{QZSS, 6, "L2C-L"},
	{QZSS, 7, "L5-I"},
	{QZSS, 8, "L5-Q"},
	{NavIC, 1, "L5 SPS"},
}

// SignalName names a signal of a system; "" for one the table does not have.
func SignalName(system string, id int) string {
	i := slices.IndexFunc(signalNames, func(s signalName) bool { return s.System == system && s.ID == id })
	if i < 0 {
		return ""
	}
	return signalNames[i].Name
}

// A satelliteRange says which system a satellite id belongs to when the sentence
// names none, or names GPS and counts others among it.
type satelliteRange struct {
	First, Last int
	System      string
}

// satelliteRanges: version 2.3 and later up to 96; the rest is older or makers'
// practice, from memory. Galileo and BeiDou reuse 1 to 36 and 1 to 64 under their
// own talker or system id.
var satelliteRanges = []satelliteRange{
	{1, 32, GPS},
	{33, 64, SBAS},    // PRN minus 87
	{65, 96, GLONASS}, // slot plus 64
	{120, 158, SBAS},  // PRN itself; from memory
	{193, 202, QZSS},  // older equipment
	{201, 264, BeiDou},
	{301, 336, Galileo},
	{401, 464, BeiDou},
}

// SystemOf returns the system of a satellite id in a sentence of this talker.
// systemID is that of a GSA since version 4.10, 0 when the sentence has none.
// "" means that nothing tells: never a guess.
func SystemOf(talker string, systemID, satellite int) string {
	system := SystemName(systemID)
	if system == "" {
		system = talkerSystem(talker)
	}
	if system == GPS && satellite <= 32 {
		return GPS
	}
	if system != "" && system != GPS {
		return system
	}
	for i := range satelliteRanges {
		if r := &satelliteRanges[i]; r.First <= satellite && satellite <= r.Last {
			return r.System
		}
	}
	return system
}

func orUnlisted(s string) string {
	if s == "" {
		return "not in our table"
	}
	return s
}
